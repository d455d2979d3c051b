"""What the engine takes where no reading says, each with its rectangular half-width.

Values and sources are those of ``tuning.engine.loads`` and ``tuning.engine.published``. Each is tagged with the
reading that would replace it, so that a value that leans on it names the reading to take.
"""

from collections.abc import Container, Mapping
from functools import lru_cache

from tuning.engine import loads, published
from tuning.engine.case import Case
from tuning.engine.errors import EngineInputError
from tuning.engine.tyres import nominal_diameter

#: Name → (value, half-width, tag among the contributions).
Assumed = Mapping[str, tuple[float, float, str]]

#: Assumed input → (its default among the loads, the reading that would replace it).
_BY_CLASS: Mapping[str, tuple[str, str]] = {
    "bike_mass": ("bike_mass", "bike_mass"),
    "bike_front_share": ("bike_front_share", "scale_bike_alone.front"),
    "rider_front_share": ("rider_front_share", "scale_rider_aboard.front"),
    "passenger_front_share": ("passenger_front_share", "scale_rider_aboard.front"),
    "luggage_front_share": ("luggage_front_share", "scale_rider_aboard.front"),
    "unsprung_mass.front": ("unsprung_front", "unsprung_mass.front"),
    "unsprung_mass.rear": ("unsprung_rear", "unsprung_mass.rear"),
    "com_height_ridden": ("com_height_ridden", "com_height_rider"),
    "tyre_grip": ("grip", "tyre_grip"),
}
#: Figures of the chassis: each is assumed where it is missing, and the reading that would replace it.
_CHASSIS: Mapping[str, str] = {
    "rake": "rake",
    "wheelbase": "wheelbase",
    "fork_offset": "fork_offset",
    "wheel_radius.front": "wheel_radius.front",
    "wheel_radius.rear": "wheel_radius.rear",
    "stroke.front": "stroke.front",
    "stroke.rear": "stroke.rear",
}
#: Air exponent of quick travel: 1.2 to 1.4 (common practice).
RIDING_EXPONENT = (1.3, 0.1)


def assumptions_for(case: Case, given: Container[str]) -> Assumed:
    """Return the assumptions for what a case leaves out. ``given``: the inputs it has."""
    found = {
        name: (*loads.usual(known, case.discipline), tag)
        for name, (known, tag) in _BY_CLASS.items()
        if name not in given
    }
    found |= _chassis(case, given)
    if any(name in given for name in ("air_volume.front", "oil_level", "oil_level.left", "oil_level.right")):
        found["riding_exponent"] = (*RIDING_EXPONENT, "air_exponent")
    return found


def _chassis(case: Case, given: Container[str]) -> Assumed:
    usual = published.usual(case.discipline)
    sizes = {end for end in case.tyre_size if nominal(case, end) is not None}
    found: dict[str, tuple[float, float, str]] = {}

    def take(name: str, tag: str) -> None:
        value, half_width = usual[name]
        found[name] = (float(value), float(half_width), tag)

    for name, tag in _CHASSIS.items():
        quantity, _, end = name.partition(".")
        known = name in given or (quantity == "wheel_radius" and (end in sizes or f"roll_out.{end}" in given))
        if not known:
            take(name, tag)
    for end in ("front", "rear"):
        take(f"travel_share.{end}", "geometry_state")
        if end in sizes and f"wheel_radius.{end}" not in given and f"roll_out.{end}" not in given:
            take(f"squash.{end}", f"wheel_radius.{end}")
    if ("swingarm_length" in given) != ("swingarm_angle" in given):
        take("swingarm_share", "swingarm_length")
        take("swingarm_angle", "swingarm_angle")
    return found


def nominal(case: Case, end: str) -> float | None:
    """Return the nominal diameter of an end's tyre, mm; None where its size is not told or states no aspect."""
    size = case.tyre_size.get(end)
    return _diameter(size) if size else None


@lru_cache(maxsize=1000)
def _diameter(size: str) -> float | None:
    try:
        return nominal_diameter(size)
    except EngineInputError:
        return None
