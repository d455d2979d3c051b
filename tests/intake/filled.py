"""A whole request as a rider would type it, in inches and pounds, step by step. Invented throughout."""

from tuning.engine.vocabulary import STOP_QUESTIONS

STEPS = ("safety", "you", "bike", "rider", "settings", "sag", "travel", "behaviour")

FILLED: dict[str, dict[str, str]] = {
    "safety": dict.fromkeys(STOP_QUESTIONS, "no"),
    "you": {
        "name": "Nell Arkwright",
        "email": "nell@riders.example",
        "discipline": "road_sport",
        "pace": "brisk",
        "aim": "Brake late without the fork diving.",
        "skill": "hand_tools",
        "budget": "springs",
        "length_unit": "in",
        "mass_unit": "lb",
        "pressure_unit": "psi",
        "rate_unit": "lbf/in",
        "torque_unit": "lbf.ft",
        "paper": "Letter",
    },
    "bike": {
        "name": "Corvane 600 S",
        "year": "2016",
        "front": "coil",
        "rear": "linkage",
        "front_tyre": "120/70 ZR17",
        "tyre_pressure.front": "36",
        "tyre_pressure_manual.front": "36",
        "bike_mass": "430",
        "fluid_age": "under_two_years",
        "leverage.rear": "2.0",
        "rake": "24",
    },
    "rider": {"load_state": "solo", "rider_mass": "214 lbs"},
    "settings": {
        "front.preload.counted_in": "turn",
        "front.preload.left.found": "13",
        "front.preload.left.range": "15",
        "front.preload.right.found": "13",
        "front.preload.right.range": "15",
        "front.rebound.counted_in": "click",
        "front.rebound.left.found": "10",
        "front.rebound.left.range": "22",
        "front.rebound.right.found": "10",
        "front.rebound.right.range": "22",
        "front.fork_position.left.found": "0.2",
        "front.fork_position.right.found": "0.2",
        "rear.preload.counted_in": "line",
        "rear.preload.found": "5",
    },
    "sag": {
        "length_topped_out.front": "5 1/8",
        "length_bike_alone.front": "4 3/8",
        "length_rider_aboard.front": "3 5/8",
        "length_topped_out.rear": "24 3/4",
        "length_bike_alone.rear": "24 3/8",
        "length_rider_aboard.rear": "23.5",
    },
    "travel": {
        "ride_hardness": "4",
        "ring.front": "cable_tie",
        "stroke.front": "4.7",
        "deepest_normal.front": "4.2",
        "ring_true.front": "yes",
        "bottomed.front": "no",
        "settle.front": "no_bounce",
    },
    "behaviour": {
        "s.brake_dive": "on",
        "s.brake_dive.severity": "3",
        "s.harsh_single": "on",
        "s.harsh_single.severity": "2",
        "s.harsh_single.end": "front",
        "words": "Dives at the roundabout.",
    },
}

SHORT_STEPS = ("safety", "basics", "twelve", "behaviour")

#: The short way, in millimetres. What the numbers say of the bike is worked out in ``tests/desk/test_short_way.py``.
SHORT: dict[str, dict[str, str]] = {
    "safety": dict.fromkeys(STOP_QUESTIONS, "no"),
    "basics": {
        "name": "Corvane 600 S",
        "front": "coil",
        "rear": "linkage",
        "discipline": "road_sport",
        "skill": "adjusters",
        "budget": "none",
        "email": "nell@riders.example",
    },
    "twelve": {
        "tyre_pressure.front": "2,3",
        "tyre_pressure.rear": "2.5",
        "length_topped_out.front": "130",
        "deepest_normal.front": "97",
        "length_topped_out.rear": "600",
        "length_bike_alone.front": "100",
        "length_bike_alone.rear": "592",
        "front.preload.counted_in": "turn",
        "front.preload.left.found": "3",
        "length_rider_aboard.front": "84",
        "length_rider_aboard.rear": "569",
        "rider_mass": "84",
        "stroke.front": "120",
    },
    "behaviour": {
        "s.brake_dive": "on",
        "s.brake_dive.severity": "3",
        "s.runs_wide_mid": "on",
        "s.runs_wide_mid.severity": "2",
        "s.rear_squats": "on",
        "s.rear_squats.severity": "1",
        "words": "It runs out of fork at the first roundabout.",
    },
}
