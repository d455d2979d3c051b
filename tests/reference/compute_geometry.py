"""Geometry, tyres and clearance. Angles in degrees; lengths as the row gives them."""

import math
from typing import Any

from tests.reference.rows import Compute
from tuning.engine import clearance, plane, tyres

ANGLES = ("rake", "swingarm_angle")


def _radians(given: dict[str, Any]) -> dict[str, float]:
    return {name: math.radians(value) if name in ANGLES else value for name, value in given.items()}


def _bicycle(head_angle: float, roll_out: float, offset: float, turns: float) -> float:
    return float(
        plane.ground_trail(math.radians(90 - head_angle), plane.radius_from_roll_out(roll_out, turns), offset)
    )


def _bicycle_sigma(given: dict[str, Any]) -> float:
    """Propagate the published standard uncertainties to first order, by central differences of the engine."""
    variance = 0.0
    for name, sigma in (("head_angle", 0.2), ("roll_out", 0.01), ("offset", 0.001)):
        step = 1e-3 * sigma
        above, below = (_bicycle(**given | {name: given[name] + sign * step}) for sign in (1, -1))
        variance += ((above - below) / (2 * step) * sigma) ** 2
    return math.sqrt(variance)


def _attitude(given: dict[str, Any]) -> float:
    """Return one figure of a chassis in a state."""
    chassis = plane.Chassis(**_radians(given["chassis"]))
    value = float(getattr(plane.attitude(chassis, **given["state"]), given["of"]))
    return math.degrees(value) if given["of"] in ANGLES else value


def _change(given: dict[str, Any]) -> float:
    return _attitude(given) - _attitude(given | {"state": {}})


COMPUTE: dict[str, Compute] = {
    "bicycle_trail": lambda given: _bicycle(**given),
    "bicycle_trail_sigma": _bicycle_sigma,
    "offset_from_trail": lambda given: float(plane.offset_from_trail(**_radians(given))),
    "ground_trail": lambda given: float(plane.ground_trail(**_radians(given))),
    "normal_trail": lambda given: float(plane.normal_trail(**_radians(given))),
    "radius_from_trail": lambda given: float(plane.radius_from_trail(**_radians(given))),
    "trail_per_rake": lambda given: float(plane.trail_per_rake(**_radians(given))),
    "radius_from_roll_out": lambda given: float(plane.radius_from_roll_out(**given)),
    "attitude_of": _attitude,
    "attitude_change": _change,
    "tyre_diameter": lambda given: tyres.nominal_diameter(given["size"]),
    "radius_growth": lambda given: float(tyres.radius_growth(**given)),
    "growth_by_size": lambda given: tyres.growth_by_size(**given),
    "clearance": lambda given: float(clearance.full_compression(**given).left),
}
