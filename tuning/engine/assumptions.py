"""What the engine takes where no reading says, each with its rectangular half-width and where it comes from.

Every value that leans on one of these names it among its contributions.
"""

from collections.abc import Container, Mapping
from types import MappingProxyType

from tuning.engine.case import Case
from tuning.engine.errors import EngineInputError
from tuning.engine.tyres import nominal_diameter

#: Name → (value, half-width, tag among the contributions).
Assumed = Mapping[str, tuple[float, float, str]]

#: Front share of what the rider adds. About 40 % on sport and touring bikes in two published sets, 25–35 % sitting
#: bolt upright; common practice elsewhere.
RIDER_FRONT_SHARE = MappingProxyType(
    {
        "road_sport": (0.42, 0.08),
        "track": (0.44, 0.08),
        "naked": (0.38, 0.08),
        "touring": (0.36, 0.08),
        "supermoto": (0.36, 0.08),
    }
)
UPRIGHT_SHARE = (0.30, 0.08)
#: A passenger and luggage sit over the rear axle or behind it: common practice, wide.
BEHIND_SHARE = (0.08, 0.10)
#: Steering axis from the vertical, degrees: the range of road and off-road bikes (common practice).
USUAL_RAKE = (25.5, 3.0)
#: Front and rear radius told apart by no reading: alike, give or take the usual difference, mm (common practice).
RADII_APART = 20.0
#: Half-width of a radius taken from the size on the sidewall, mm: road tyres squash some 7–9 mm under load (from
#: memory, no page seen), so the middle of nominal and loaded is taken.
SQUASH = 4.0


def assumptions_for(case: Case, given: Container[str]) -> Assumed:
    """Return the assumptions for what a case leaves out. ``given``: the inputs it has."""
    share, share_half_width = RIDER_FRONT_SHARE.get(case.discipline, UPRIGHT_SHARE)
    found = {"rider_front_share": (share, share_half_width, "rider_front_share")}
    for load in ("passenger", "luggage"):
        found[f"{load}_front_share"] = (*BEHIND_SHARE, f"{load}_mass_front_share")
    found["rake"] = (*USUAL_RAKE, "usual_rake")
    found["radii_alike"] = (0.0, RADII_APART, "radii_alike")
    for end, size in case.tyre_size.items():
        try:
            radius = nominal_diameter(size) / 2
        except EngineInputError:
            continue
        found[f"wheel_radius.{end}"] = (radius - SQUASH, SQUASH, f"tyre_size.{end}")
    return {name: row for name, row in found.items() if name not in given}
