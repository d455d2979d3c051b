"""Damping: the settling of one mass on one spring."""

import math
from typing import Any

from tests.reference.rows import Compute
from tuning.engine import damping
from tuning.engine.units import FOOT, POUND_FORCE, convert


def _settled(given: dict[str, Any]) -> dict[str, float]:
    """Everything of a shock absorber of known mass and damped period, from the share left after ``cycles``."""
    delta = damping.log_decrement(1.0, given["left"], given["cycles"])
    zeta = damping.damping_ratio(delta)
    frequency = damping.natural_frequency(given["period"], zeta)
    rate = damping.wheel_rate_of(frequency, given["mass"])
    return {
        "delta": float(delta),
        "zeta": float(zeta),
        "omega": 2 * math.pi * float(frequency),
        "k": 1000 * float(rate),
        "c": float(damping.damping_coefficient(zeta, rate, given["mass"])),
    }


def _pounds(given: dict[str, Any]) -> dict[str, float]:
    """The same from rate (lbf/ft), mass (slug) and damping (lbf·s/ft)."""
    per_foot = POUND_FORCE / FOOT
    rate, mass = convert(given["rate"] / 12, "lbf/in", "N/mm"), given["mass"] * per_foot
    zeta = damping.ratio_of_coefficient(given["damping"] * per_foot, rate, mass)
    frequency = damping.ride_frequency(rate, mass)
    slow, fast = damping.decay_rates(zeta, frequency)
    return {"zeta": float(zeta), "frequency": float(frequency), "slow": -float(slow), "fast": -float(fast)}


COMPUTE: dict[str, Compute] = {
    "settled": lambda given: _settled(given)[given["what"]],
    "sprung_in_pounds": lambda given: _pounds(given)[given["what"]],
    "ride_frequency": lambda given: float(damping.ride_frequency(given["rate"], given["mass"])),
    "least_ratio": lambda given: float(damping.least_ratio(given["first"], given["smallest"], given["cycles"])),
    "decrement_of": lambda given: float(damping.decrement_of(given["zeta"])),
}
