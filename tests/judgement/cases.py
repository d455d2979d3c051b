"""One case for each rule: what a client would send, and the changes a tuner would make of it.

The expectations are common practice, reasoned from the bands and the order of work before anything was run: rule id →
(dossier, [(kind, adjuster, start, target), ...]).
"""

from dataclasses import replace

from tests.judgement.build import dossier, knobs
from tuning.engine.case import Adjuster
from tuning.engine.derivation import Check

UNEQUAL = Check("legs_unequal", "second_look", "front")
_legs = tuple(
    replace(row, found=6.5) if row.key == "front.fork_position.right" else row for row in knobs(fork_position=5.0)
)
_no_position = tuple(row for row in knobs() if row.kind != "fork_position")
_height = (*_no_position, Adjuster("rear.ride_height", "ride_height", "rear", "mm", "", 4.0, 0, 12))
_air = dossier(bottomed="front")

#: Damper ranges are 20 clicks: 10–15 % is two or three; 12.5 % of 20 is 2.5, which a detent rounds to two.
CASES = {
    "legs_even": (
        dossier(adjusters=_legs, checks=(UNEQUAL,)),
        [("legs_even", "front.fork_position.right", 6.5, 5.0)],
    ),
    # Bike alone nearly topped out while the rider's sag is right: soft and wound up.
    "spring_stiffer": (
        dossier({"sag_bike_alone.front": 3}, bottomed="front", budget="springs"),
        [("spring", "", None, None), ("preload", "", None, None)],
    ),
    "spring_stiffer_all_in": (
        dossier({"sag_rider_aboard.rear": 45}, adjusters=knobs(preload_rear=14), budget="springs"),
        [("spring", "", None, None), ("preload", "", None, None)],
    ),
    "spring_softer": (
        dossier({"sag_bike_alone.front": 33}, budget="springs"),
        [("spring", "", None, None), ("preload", "", None, None)],
    ),
    "spring_softer_all_out": (
        dossier({"sag_rider_aboard.front": 26}, adjusters=knobs(preload_front=0), budget="springs"),
        [("spring", "", None, None), ("preload", "", None, None)],
    ),
    "oil_instead_of_spring": (
        dossier({"sag_bike_alone.front": 3}, bottomed="front"),
        [("oil_level", "", None, None)],
    ),
    # Rear 40, middle of 28–35 is 31.5: 8.5 mm at the axle is 4.25 at the shock (LR 2), 2.83 turns of 1.5 mm: 2¾.
    "preload_more": (dossier({"sag_rider_aboard.rear": 40}), [("preload", "rear.preload", 6.0, 8.75)]),
    # Front 31.5, middle of 33–40 is 36.5: 5 mm, one turn is 1 mm: five turns out in both legs.
    "preload_less": (
        dossier({"sag_rider_aboard.front": 31.5}),
        [("preload", "front.preload.left", 7.0, 2.0), ("preload", "front.preload.right", 7.0, 2.0)],
    ),
    "legs_down_instead_of_spring": (
        dossier({"sag_rider_aboard.front": 48}, adjusters=knobs(preload_front=15)),
        [("fork_position", f"front.fork_position.{leg}", 5.0, 2.0) for leg in ("left", "right")],
    ),
    "legs_up_instead_of_spring": (
        dossier({"sag_rider_aboard.front": 26}, adjusters=knobs(preload_front=0)),
        [("fork_position", f"front.fork_position.{leg}", 5.0, 8.0) for leg in ("left", "right")],
    ),
    "service_fluid": (
        dossier(symptoms=("pogo@rear",), answers={"fluid_age": "older"}),
        [("service", "", None, None)],
    ),
    "service_rebound_closed": (
        dossier(symptoms=("pogo@rear",), adjusters=knobs(rebound_rear=1)),
        [("service", "", None, None)],
    ),
    "service_rebound_open": (
        dossier(symptoms=("packs_down@rear",), adjusters=knobs(rebound_rear=19)),
        [("service", "", None, None)],
    ),
    # Firmer is wanted and the needle is nearly home, or softer and it is nearly out: worn, or out of its range.
    "service_compression_closed": (
        dossier(symptoms=("bottoms_bumps@rear",), adjusters=knobs(compression_rear=1)),
        [("service", "", None, None)],
    ),
    "service_compression_open": (
        dossier(symptoms=("harsh_single@front",), adjusters=knobs(compression_front=19)),
        [("service", "", None, None)],
    ),
    # Counted out from closed: firmer is a lower count.
    "rebound_firmer": (dossier(symptoms=("pogo@rear",)), [("rebound", "rear.rebound", 10.0, 8.0)]),
    "rebound_softer": (dossier(symptoms=("packs_down@rear",)), [("rebound", "rear.rebound", 10.0, 12.0)]),
    "compression_softer": (
        dossier(symptoms=("harsh_single@front",)),
        [("compression", f"front.compression.{leg}", 10.0, 12.0) for leg in ("left", "right")],
    ),
    "compression_firmer": (
        dossier(symptoms=("bottoms_bumps@rear",)),
        [("compression", "rear.compression", 10.0, 8.0)],
    ),
    "reserve_air": (
        replace(_air, case=replace(_air.case, front_architecture="air")),
        [("compression", f"front.compression.{leg}", 10.0, 8.0) for leg in ("left", "right")],
    ),
    "reserve_oil": (dossier(bottomed="front"), [("oil_level", "", None, None)]),
    "reserve_service_fluid": (
        dossier(bottomed="rear", answers={"fluid_age": "older"}),
        [("service", "", None, None)],
    ),
    "reserve_service_closed": (
        dossier(bottomed="rear", adjusters=knobs(compression_rear=2)),
        [("service", "", None, None)],
    ),
    "reserve_compression": (dossier(bottomed="rear"), [("compression", "rear.compression", 10.0, 8.0)]),
    "steer_quicker": (
        dossier(symptoms=("slow_turn_in",)),
        [("fork_position", f"front.fork_position.{leg}", 5.0, 8.0) for leg in ("left", "right")],
    ),
    "steer_calmer": (
        dossier(symptoms=("twitchy",)),
        [("fork_position", f"front.fork_position.{leg}", 5.0, 2.0) for leg in ("left", "right")],
    ),
    "height_quicker": (
        dossier(symptoms=("slow_turn_in",), adjusters=_height),
        [("ride_height", "rear.ride_height", 4.0, 7.0), ("chain_and_headlamp", "", None, None)],
    ),
    "height_calmer": (
        dossier(symptoms=("twitchy",), adjusters=_height),
        [("ride_height", "rear.ride_height", 4.0, 1.0), ("chain_and_headlamp", "", None, None)],
    ),
}
