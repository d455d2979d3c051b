"""Every value the engine can derive: its id, its theme, its unit. Faces take their words and order from here."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

#: Themes in the order a tuner reads them.
THEMES = ("sag", "reserve", "springs", "loads", "damping", "braking", "geometry", "per_mm", "settings")
#: States in which the geometry is told, after what was published.
_STATES = ("topped_out", "bike_alone", "rider_aboard", "braking")
_STOPS = ("gentle", "firm", "limit")


@dataclass(frozen=True, slots=True)
class Kind:
    """One derived value: ``where`` says what follows its id in a key: nothing, an end, or an adjuster's key."""

    id: str
    theme: str
    unit: str
    where: str = ""


def _kinds(theme: str, unit: str, where: str, ids: str) -> tuple[Kind, ...]:
    return tuple(Kind(name, theme, unit, where) for name in ids.split())


def _each(pattern: str, parts: tuple[str, ...]) -> str:
    return " ".join(pattern.format(part) for part in parts)


_ALL = (
    *_kinds("sag", "mm", "end", "sag_bike_alone sag_rider_aboard friction_band"),
    *_kinds("sag", "1", "end", "sag_bike_alone_share sag_rider_aboard_share"),
    *_kinds("reserve", "mm", "end", "reserve_normal reserve_hardest clearance"),
    *_kinds("reserve", "1", "end", "reserve_normal_share"),
    *_kinds("reserve", "mm", "end", "reserve_normal_by_force reserve_normal_by_energy"),
    *_kinds("reserve", "mm", "end", "reserve_hardest_by_force reserve_hardest_by_energy"),
    *_kinds("springs", "N/mm", "", "implied_fork_rate implied_rear_wheel_rate implied_shock_rate"),
    *_kinds("springs", "N/mm", "", "fork_spring_rate shock_spring_rate"),
    *_kinds("springs", "mm", "", "fork_spring_preload shock_spring_preload"),
    *_kinds("springs", "N/mm", "end", "wheel_rate"),
    *_kinds("springs", "mm", "end", "sag_expected_bike_alone sag_misfit"),
    *_kinds("springs", "N", "end", "friction_force end_force_still end_force_quick"),
    *_kinds("loads", "kg", "end", "wheel_mass_bike_alone wheel_mass_rider_aboard"),
    *_kinds("loads", "1", "", "load_share_front"),
    *_kinds("loads", "mm", "", "centre_of_mass_ahead centre_of_mass_height"),
    *_kinds("damping", "1", "end", "damping_ratio"),
    *_kinds("damping", "Hz", "end", "ride_frequency settle_frequency"),
    *_kinds("damping", "1", "", "ride_frequency_ratio"),
    *_kinds("braking", "mm", "end", _each("brake_travel_{}", _STOPS) + " " + _each("brake_reserve_{}", _STOPS)),
    *_kinds("braking", "deg", "", _each("brake_pitch_{}", _STOPS)),
    *_kinds("braking", "1", "", _each("brake_load_share_{}", _STOPS) + " brake_limit"),
    *_kinds("geometry", "deg", "", "rake " + _each("rake_{}", _STATES) + " " + _each("swingarm_angle_{}", _STATES)),
    *_kinds("geometry", "mm", "", "ground_trail " + _each("ground_trail_{}", _STATES)),
    *_kinds("geometry", "mm", "", "normal_trail " + _each("normal_trail_{}", _STATES)),
    *_kinds("geometry", "mm", "", "wheelbase " + _each("wheelbase_{}", _STATES)),
    *_kinds("geometry", "mm", "", _each("head_drop_{}", _STATES[1:]) + " " + _each("seat_drop_{}", _STATES[1:])),
    *_kinds("per_mm", "deg", "", _each("rake_per_mm_{}", ("fork_position", "rear_height", "front_sag", "rear_sag"))),
    *_kinds("per_mm", "mm", "", "ground_trail_per_mm_fork_position ground_trail_per_mm_rear_height"),
    *_kinds("per_mm", "mm", "", "ground_trail_per_mm_front_sag ground_trail_per_mm_rear_sag"),
    *_kinds("per_mm", "mm", "", "wheelbase_per_mm_fork_position wheelbase_per_mm_rear_height"),
    *_kinds("per_mm", "mm", "", "wheelbase_per_mm_front_sag wheelbase_per_mm_rear_sag"),
    *_kinds("settings", "1", "adjuster", "clicker_position preload_position"),
    # In the adjuster's own unit.
    *_kinds("settings", "", "adjuster", "preload_left"),
    *_kinds("settings", "mm", "", "fork_leg_difference"),
)
VALUES: Mapping[str, Kind] = MappingProxyType({kind.id: kind for kind in _ALL})
