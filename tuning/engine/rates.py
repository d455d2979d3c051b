"""Spring rates implied by what a known load does to the sag.

Only differences count: the bike's own mass and the preload drop out, since k = ΔF/Δx whatever the preload. Where
the lighter state tops out or the heavier bottoms, the travel understates the load's effect and the rate is an upper
bound.
"""

import math
from collections.abc import Iterator
from typing import Any

from uncertainties import ufloat, umath

from tuning.engine.case import FRONT_REFUSED
from tuning.engine.derivation import Derived
from tuning.engine.measured import COVERAGE, Readings, derived, unstated
from tuning.engine.sag import sag_of
from tuning.engine.units import STANDARD_GRAVITY

#: Front share of what the rider adds, with a rectangular half-width wide enough for the class. About 40 % on sport
#: and touring bikes in two published sets, 25–35 % sitting bolt upright; common practice elsewhere.
RIDER_FRONT_SHARE = {
    "road_sport": (0.42, 0.08),
    "track": (0.44, 0.08),
    "naked": (0.38, 0.08),
    "touring": (0.36, 0.08),
    "supermoto": (0.36, 0.08),
}
UPRIGHT_SHARE = (0.30, 0.08)
#: A passenger and luggage sit over the rear axle or behind it: common practice, wide.
PASSENGER_FRONT_SHARE = (0.08, 0.10)
#: Steering axis angle taken when none was given, degrees, rectangular half-width.
USUAL_RAKE = (25.5, 3.0)
#: A bike alone that sags less than this is taken as topped out, mm.
TOPPED_OUT = 2.0
#: Left over, mm: less than this and the end of the stroke has been reached.
BOTTOMED = 3.0


def _assumed(pair: tuple[float, float], tag: str) -> Any:
    return ufloat(pair[0], pair[1] / math.sqrt(3), tag=tag)


def added_loads(readings: Readings) -> dict[str, Any]:
    """Return the mass (kg) that going from bike alone to rider aboard adds at each end: by scales, else by shares."""
    by_scale: dict[str, Any] = {}
    for end in ("front", "rear"):
        alone = readings.value("scale_bike_alone", end)
        aboard = readings.value("scale_rider_aboard", end)
        if alone is not None and aboard is not None:
            by_scale[end] = aboard - alone
    if by_scale:
        return by_scale
    rider = readings.value("rider_mass")
    if rider is None:
        return {}
    state = readings.case.load_state
    share = _assumed(RIDER_FRONT_SHARE.get(readings.case.discipline, UPRIGHT_SHARE), "rider_front_share")
    front, total = rider * share, rider
    extras = [name for name, said in (("passenger_mass", "two_up"), ("luggage_mass", "luggage")) if said in state]
    for name in extras:
        mass = readings.value(name)
        if mass is None:
            return {}
        front = front + mass * _assumed(PASSENGER_FRONT_SHARE, f"{name}_front_share")
        total = total + mass
    return {"front": front, "rear": total - front}


def derive_rates(readings: Readings) -> Iterator[Derived]:
    """Yield the load share on the front wheel and the implied rates: fork (axial, both legs), rear wheel, shock."""
    scales = [readings.value("scale_rider_aboard", end) for end in ("front", "rear")]
    if scales[0] is not None and scales[1] is not None:
        yield derived("load_share_front", scales[0] / (scales[0] + scales[1]), "1", "load_share")
    loads = added_loads(readings)
    if "front" in loads:
        yield from _front(readings, loads["front"])
    if "rear" in loads:
        yield from _rear(readings, loads["rear"])


def _front(readings: Readings, load: Any) -> Iterator[Derived]:
    key, formula = "implied_fork_rate", "implied_fork_rate"
    architecture = readings.case.front_architecture
    if architecture in FRONT_REFUSED:
        yield unstated(key, "N/mm", formula, "refused", reason=architecture)
        return
    if architecture == "semi_active":
        yield unstated(key, "N/mm", formula, "cannot_state", reason="levelling_hides_the_spring")
        return
    rake = readings.value("rake")
    assumed = rake is None
    angle = (_assumed(USUAL_RAKE, "usual_rake") if rake is None else rake) * (math.pi / 180)
    force = load * STANDARD_GRAVITY * umath.cos(angle)
    yield from _rate(readings, "front", force, key, formula, rake_assumed=assumed)


def _rear(readings: Readings, load: Any) -> Iterator[Derived]:
    key = "implied_rear_wheel_rate"
    if readings.case.rear_architecture == "semi_active":
        yield unstated(key, "N/mm", key, "cannot_state", reason="levelling_hides_the_spring")
        return
    wheel = list(_rate(readings, "rear", load * STANDARD_GRAVITY, key, key))
    yield from wheel
    leverage = readings.value("leverage", "rear")
    if leverage is not None and wheel and wheel[0].value is not None:
        travel = sag_difference(readings, "rear")
        rate = load * STANDARD_GRAVITY / travel * leverage**2
        yield derived("implied_shock_rate", rate, "N/mm", "implied_shock_rate", wheel[0].status, **wheel[0].params)


def sag_difference(readings: Readings, end: str) -> Any:
    """Return how much further the end goes down with the rider than alone, mm; both sags must be there."""
    alone, rider = sag_of(readings, end)
    if alone is None or rider is None:
        raise LookupError(f"the {end} has not both sags")
    return rider - alone


def _rate(readings: Readings, end: str, force: Any, key: str, formula: str, **params: object) -> Iterator[Derived]:
    alone, rider = sag_of(readings, end)
    if alone is None or rider is None:
        return
    travel = rider - alone
    if any(part.nominal_value <= COVERAGE * part.std_dev for part in (travel, force)):
        yield unstated(key, "N/mm", formula, "cannot_state", reason="difference_within_resolution", end=end)
        return
    stroke = readings.value("stroke", end)
    status = "ok"
    if alone.nominal_value < TOPPED_OUT:
        status, params["bound"] = "at_most", "topped_out"
    elif stroke is not None and stroke.nominal_value - rider.nominal_value < BOTTOMED:
        status, params["bound"] = "at_most", "bottomed"
    yield derived(key, force / travel, "N/mm", formula, status, **params)
