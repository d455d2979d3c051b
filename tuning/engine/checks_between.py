"""Tests of one end, leg or weighing against another: slips of the pen that each number alone does not show."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from tuning.engine.derivation import Check
from tuning.engine.quantities import ENDS, LEGS
from tuning.engine.settings import DAMPING

if TYPE_CHECKING:
    from tuning.engine.checks import Evidence

CORE = ("length_topped_out", "length_bike_alone", "length_rider_aboard")

#: Implied rates that springs for such riding have, N/mm: of the fork, both legs together; of the rear, at the wheel
#: (common practice: from the softest springs sold for a light rider to the stiffest for two with luggage, wide for
#: what a tape makes of them). A motocross fork has two springs of 4 to 5 N/mm, a sporting one two of 9 to 11; a shock
#: spring of 50 N/mm behind 3 to 1 is 50 / 3² = 5.6 N/mm at the wheel, one of 95 behind 2 to 1 is 24.
PLAUSIBLE_RATE: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "road_sport": {"front": (9.0, 35.0), "rear": (10.0, 60.0)},
    "track": {"front": (11.0, 40.0), "rear": (12.0, 70.0)},
    "naked": {"front": (8.0, 32.0), "rear": (9.0, 60.0)},
    "touring": {"front": (8.0, 35.0), "rear": (10.0, 80.0)},
    "adventure": {"front": (7.0, 25.0), "rear": (7.0, 45.0)},
    "dual_sport": {"front": (5.0, 20.0), "rear": (4.0, 25.0)},
    "enduro": {"front": (5.0, 17.0), "rear": (3.0, 15.0)},
    "motocross": {"front": (5.0, 18.0), "rear": (3.0, 15.0)},
    "supermoto": {"front": (6.0, 22.0), "rear": (4.0, 25.0)},
    "cruiser": {"front": (8.0, 40.0), "rear": (10.0, 80.0)},
    "classic": {"front": (7.0, 35.0), "rear": (8.0, 60.0)},
}
#: For any other riding: what any motorcycle has.
ANY_RATE: Mapping[str, tuple[float, float]] = {"front": (5.0, 40.0), "rear": (3.0, 80.0)}
RATE_OF = {"front": "implied_fork_rate", "rear": "implied_rear_wheel_rate"}
#: Springs of one fork may be a step apart, to make a rate that is not sold (0.90 and 0.95 kgf/mm: 5 %); two steps are
#: no mix any more (common practice).
SPRINGS_APART = 0.12
#: Two weighings differ by what a bathroom scale is wrong by at each wheel, or by this share (common practice).
WEIGHINGS_AGREE_KG = 5.0
WEIGHINGS_AGREE = 0.06
#: Legs of a fork are set alike, but for a click counted wrong (common practice).
CLICKS_APART = 1.0
#: What one click is, in turns and mm of preload: half a turn, and a tape's half-width.
APART: Mapping[str, float] = {"click": CLICKS_APART, "step": 0.0, "line": 0.5, "turn": 0.5, "mm": 1.0}


def rate_band(discipline: str, end: str) -> tuple[float, float]:
    """Return the plausible range of an implied rate, N/mm."""
    return PLAUSIBLE_RATE.get(discipline, ANY_RATE)[end]


def plausible(seen: "Evidence") -> Iterator[Check]:
    """The rates that lengths and weight imply, each for itself; or both, where they fit the other end only."""
    found = {}
    for end in ENDS:
        value = seen.values.get(RATE_OF[end])
        if value is not None and value.value is not None and value.half_width is not None:
            found[end] = (value.value, value.half_width)
    fits = {end: _within(*found[end], rate_band(seen.case.discipline, end)) for end in found}
    again = tuple(f"{quantity}.{end}" for end in ENDS for quantity in CORE)
    if len(found) == len(ENDS):
        swapped = not all(fits.values()) and _fit_swapped(seen, found)
        yield Check("ends_swapped", "second_look" if swapped else "passes", "", again)
        if swapped:
            return
    for end in found:
        low, high = rate_band(seen.case.discipline, end)
        yield Check(
            "rate_implausible",
            "passes" if fits[end] else "second_look",
            end,
            (*(f"{quantity}.{end}" for quantity in CORE[1:]), "rider_mass"),
            {"rate_nmm": found[end][0], "low_nmm": low, "high_nmm": high},
        )


def _within(rate: float, half_width: float, band: tuple[float, float]) -> bool:
    return rate + half_width >= band[0] and rate - half_width <= band[1]


def _fit_swapped(seen: "Evidence", found: Mapping[str, tuple[float, float]]) -> bool:
    """Say whether both rates are plausible once each end's load meets the other end's travel (k = ΔF/Δx)."""
    travel = {}
    for end in ENDS:
        alone, rider = (seen.value(f"sag_{name}.{end}") for name in ("bike_alone", "rider_aboard"))
        if alone is None or rider is None or rider <= alone:
            return False
        travel[end] = rider - alone
    ratio = travel["front"] / travel["rear"]
    for end, times in (("front", ratio), ("rear", 1 / ratio)):
        rate, half_width = (number * times for number in found[end])
        low, high = rate_band(seen.case.discipline, end)
        # Without the half-width: a suspicion must not lean on how little is known.
        if not low <= rate <= high or half_width <= 0:
            return False
    return True


def ends_equal(seen: "Evidence") -> Iterator[Check]:
    """Three lengths alike at both ends, to the last digit, were written down twice: other points give others."""
    rows = [[seen.read(f"{quantity}.{end}") for quantity in CORE] for end in ENDS]
    if all(value is not None for row in rows for value in row):
        again = tuple(f"{quantity}.{end}" for end in ENDS for quantity in CORE)
        yield Check("ends_equal", "second_look" if rows[0] == rows[1] else "passes", "", again)


def springs_unequal(seen: "Evidence") -> Iterator[Check]:
    """Each leg has its own reading; where the legs have separate jobs, one spring is all there is."""
    left, right = (seen.read(f"spring_rate.front.{leg}") for leg in LEGS)
    if left is None or right is None or seen.case.front_architecture == "coil_split":
        return
    apart = abs(left - right) / max(left, right)
    yield Check(
        "springs_unequal",
        "passes" if apart <= SPRINGS_APART else "second_look",
        "front",
        tuple(f"spring_rate.front.{leg}" for leg in LEGS),
        {"left_nmm": left, "right_nmm": right},
    )


def weighings(seen: "Evidence") -> Iterator[Check]:
    """What two scales show more with everybody aboard is what is aboard."""
    shown = [seen.read(f"scale_{state}.{end}") for state in ("rider_aboard", "bike_alone") for end in ENDS]
    aboard = _aboard(seen)
    if aboard is None or any(value is None for value in shown):
        return
    front, rear, front_alone, rear_alone = (value or 0.0 for value in shown)
    more = front + rear - front_alone - rear_alone
    fine = abs(more - aboard) <= max(WEIGHINGS_AGREE * aboard, WEIGHINGS_AGREE_KG)
    yield Check(
        "scales_load_disagree",
        "passes" if fine else "second_look",
        "",
        (*(f"scale_rider_aboard.{end}" for end in ENDS), *(f"scale_bike_alone.{end}" for end in ENDS), "rider_mass"),
        {"more_kg": more, "told_kg": aboard},
    )


def _aboard(seen: "Evidence") -> float | None:
    """Return the weight of who and what is aboard, kg; None where a part of it is not told."""
    parts = ["rider_mass"]
    parts += ["passenger_mass"] if "two_up" in seen.case.load_state else []
    parts += ["luggage_mass"] if "luggage" in seen.case.load_state else []
    masses = [seen.read(part) for part in parts]
    return None if any(mass is None for mass in masses) else sum(mass or 0.0 for mass in masses)


def legs_set_unlike(seen: "Evidence") -> Iterator[Check]:
    """The same adjuster of both legs, counted alike, stands alike."""
    standing = {adjuster.key: adjuster for adjuster in seen.case.adjusters if adjuster.found is not None}
    for key, left in standing.items():
        right = standing.get(key.removesuffix("left") + "right")
        if left.end != "front" or left.leg != "left" or right is None or left.kind not in {*DAMPING, "preload"}:
            continue
        if (left.unit, left.counted_from) != (right.unit, right.counted_from):
            continue
        apart = abs((left.found or 0.0) - (right.found or 0.0))
        yield Check(
            "legs_set_unlike",
            "passes" if apart <= APART.get(left.unit, CLICKS_APART) else "second_look",
            "front",
            (f"setting.{left.key}", f"setting.{right.key}"),
            {"kind": left.kind, "left": left.found, "right": right.found},
        )
