"""Riders of every discipline, as they would fill in the form. Invented throughout.

The sags are near the middle of what each discipline is set to, so that the checks have nothing to ask; what a bike
does not have is in ``LACKS``: the form must not ask for it.
"""

from typing import NamedTuple

from intake.choices import Discipline
from tuning.engine.vocabulary import STOP_QUESTIONS


class Rider(NamedTuple):
    """How one rider comes: by which way, on what screen, with or without scripts; what they tell; what their bike
    has nothing of."""

    way: str
    phone: bool
    script: bool
    units: str
    fields: dict[str, str]
    lacks: tuple[str, ...] = ()


SAFE = dict.fromkeys(STOP_QUESTIONS, "no")
#: Told alike by everybody; what a step does not ask is left out.
COMMON = {
    "skill": "hand_tools",
    "budget": "none",
    "load_state": "solo",
    "ring_true.front": "yes",
    "bottomed.front": "no",
}


def _lengths(front: tuple[float, ...], rear: tuple[float, ...]) -> dict[str, str]:
    """Return L0, and L1 and L2 from the sags of the bike alone and with the rider, both ends, mm."""
    told = {}
    for end, (top, alone, aboard) in (("front", front), ("rear", rear)):
        told |= {
            f"length_topped_out.{end}": f"{top:g}",
            f"length_bike_alone.{end}": f"{top - alone:g}",
            f"length_rider_aboard.{end}": f"{top - aboard:g}",
        }
    return told


def _rider(name: str, front: str, rear: str, lengths: dict[str, str], **more: str) -> dict[str, str]:
    bike = {"name": name, "front": front, "rear": rear, "s.brake_dive": "on", "s.brake_dive.severity": "2"}
    return COMMON | bike | lengths | {name.replace("__", "."): value for name, value in more.items()}


#: What two shocks have nothing of: a linkage's rising leverage, and an adjuster of its length.
TWIN = ("leverage_end.rear", "rear.ride_height.found", "air_pressure.front", "levelling_done")
#: What an air fork has nothing of.
AIR = (
    "spring_rate.front.left", "spring_rate.front.right", "front.preload.left.found", "front.preload.right.found",
    "front.preload.counted_in", "levelling_done",
)  # fmt: skip
#: What electronics do by themselves.
ELECTRONIC = (
    "front.rebound.left.found", "front.compression.left.found", "rear.rebound.found", "rear.compression_low.found",
    "leverage.rear", "air_pressure.front", "passenger_mass", "luggage_mass",
)  # fmt: skip
RIDERS: dict[str, Rider] = {
    Discipline.ROAD_SPORT: Rider(
        "whole", True, True, "metric",
        _rider("Corvane 600 S", "coil", "linkage", _lengths((128, 28, 37), (620, 10, 34)),
               rider_mass="84", stroke__front="120", deepest_normal__front="104", tyre_pressure__front="2,4",
               tyre_pressure__rear="2.5 bar"),
    ),
    Discipline.NAKED: Rider(
        "short", True, False, "metric",
        _rider("Ostrel Roadster", "coil", "direct", _lengths((125, 27, 37), (610, 11, 35)),
               rider_mass="78 kg", stroke__front="120", deepest_normal__front="101", tyre_pressure__front="2.3",
               tyre_pressure__rear="2.5"),
    ),
    Discipline.TOURING: Rider(
        "whole", False, True, "metric",
        _rider("Halmer Grand 1100", "semi_active", "semi_active", _lengths((140, 30, 42), (640, 14, 40)),
               rider_mass="92", tyre_pressure__front="2.5", tyre_pressure__rear="2.9", levelling_done="yes"),
        lacks=ELECTRONIC,
    ),
    Discipline.TRACK: Rider(
        "whole", False, True, "metric",
        _rider("Corvane 600 R", "coil", "linkage", _lengths((126, 24, 34), (618, 8, 28)),
               rider_mass="74", stroke__front="120", deepest_normal__front="112", tyre_pressure__front="2.1"),
    ),
    Discipline.ADVENTURE: Rider(
        "short", True, True, "imperial",
        _rider("Tessaro Trek 900", "coil", "linkage",
               {"length_topped_out.front": "8 1/4", "length_bike_alone.front": "6 7/8",
                "length_rider_aboard.front": "6 1/8", "length_topped_out.rear": "25 1/2",
                "length_bike_alone.rear": "24 3/4", "length_rider_aboard.rear": "23 1/8"},
               rider_mass="196 lbs", stroke__front="7.9", stroke__rear="7.7", deepest_normal__front="6 3/4",
               tyre_pressure__front="33", tyre_pressure__rear="36psi"),
    ),
    Discipline.DUAL_SPORT: Rider(
        "whole", True, False, "metric",
        _rider("Tessaro 450 L", "coil", "linkage", _lengths((260, 55, 78), (650, 25, 85)),
               rider_mass="81", stroke__front="250", stroke__rear="250", deepest_normal__front="205"),
    ),
    Discipline.ENDURO: Rider(
        "whole", True, True, "metric",
        _rider("Brand Kestrel 300 E", "coil_split", "linkage", _lengths((312, 40, 70), (655, 35, 105)),
               rider_mass="83", stroke__front="300", deepest_normal__front="268"),
    ),
    Discipline.MOTOCROSS: Rider(
        "whole", False, False, "metric",
        _rider("Kestrel 450 M", "air", "linkage", _lengths((318, 38, 70), (660, 35, 105)),
               rider_mass="77", stroke__front="305", deepest_normal__front="285", air_pressure__front="10.5 bar"),
        lacks=AIR,
    ),
    Discipline.SUPERMOTO: Rider(
        "short", False, True, "metric",
        _rider("Kestrel 450 SM", "coil", "linkage", _lengths((262, 35, 58), (640, 25, 80)),
               rider_mass="73", stroke__front="250", stroke__rear="260", deepest_normal__front="215",
               tyre_pressure__front="2.0", tyre_pressure__rear="2.0"),
    ),
    Discipline.CRUISER: Rider(
        "whole", True, True, "imperial",
        _rider("Marlow Drifter", "coil", "twin_shock",
               {"length_topped_out.front": "5 1/2", "length_bike_alone.front": "4 3/8",
                "length_rider_aboard.front": "4 1/8", "length_topped_out.rear": "15 1/4",
                "length_bike_alone.rear": "14 7/8", "length_rider_aboard.rear": "14 1/4"},
               rider_mass="210", stroke__front="5", stroke__rear="3.5", deepest_normal__front="4 1/8"),
        lacks=TWIN,
    ),
    Discipline.CLASSIC: Rider(
        "short", False, False, "metric",
        _rider("Alder Twin 650", "coil", "twin_shock", _lengths((122, 26, 40), (360, 9, 26)),
               rider_mass="80,5", stroke__front="115", stroke__rear="90", deepest_normal__front="98",
               tyre_pressure__front="2", tyre_pressure__rear="2.2"),
        lacks=TWIN,
    ),
}  # fmt: skip
