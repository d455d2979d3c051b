"""Uncertainty: standard uncertainties and 95 % factors."""

from typing import Any

import numpy as np

from tests.reference.rows import Compute
from tuning.engine import interval


def _expanded(given: dict[str, Any]) -> float:
    half_widths = np.sqrt(3.0) * np.array(given["rectangular_u"])
    return float(interval.expanded(*interval.of_rectangular(half_widths)))


def _coverage(given: dict[str, Any]) -> float:
    u, dominant = interval.of_rectangular(np.array(given["half_widths"]))
    return float(interval.coverage(np.hypot(u, given.get("normal_u", 0.0)), dominant))


def _friction_pair(given: dict[str, Any]) -> float:
    u, dominant = interval.of_rectangular(np.array([given["unladen"], given["laden"] / 2, given["laden"] / 2]))
    return float(u) if given["what"] == "u" else float(interval.expanded(u, dominant))


COMPUTE: dict[str, Compute] = {
    "rectangular_u": lambda given: float(interval.rectangular(given["half_width"])),
    "triangular_u": lambda given: float(interval.triangular(given["half_width"])),
    "trapezoidal_u": lambda given: float(interval.trapezoidal(given["half_width"], given["top"])),
    "resolution_u": lambda given: float(interval.resolution(given["step"])),
    "combined_u": lambda given: float(interval.combined(np.array(given["parts"]))),
    "coverage": _coverage,
    "expanded": _expanded,
    "sag_with_friction_pair": _friction_pair,
}
