"""Demo stories off the road, on small tracks and on old iron."""

from intake.services.asking import Ask
from reports.demo.stories import IMPERIAL, Report, Story, at_rear, document, lengths, one, pair, ridden, ring

#: The ring says less travel was used than the rider's own weight takes: it cannot be right.
FALSE_RING = Story(
    "false-ring",
    "The ring reads less than the sag with the rider aboard: ask, do not advise.",
    document(
        "Oskar Venn",
        bike={
            "name": "Ossley 300 E",
            "year": 2022,
            "front": "coil_split",
            "rear": "linkage",
            "front_tyre": "90/90-21",
            "rear_tyre": "140/80-18",
        },
        aim={"discipline": "enduro", "pace": "fast", "skill": "home_workshop", "budget": "springs"},
        readings=[
            *lengths("front", "mm", "620", "585", "547"),
            *lengths("rear", "mm", "615", "581", "515"),
            *ring("front", "mm", "300", "58"),
            *ring("rear", "mm", "310", "270"),
            one("rider_mass", "84", "kg", "scale"),
            one("bike_mass", "111", "kg"),
        ],
        adjusters=[
            {"key": "front.rebound.right", "unit": "click", "found": "12", "range_counted": "26"},
            {"key": "front.compression.left", "unit": "click", "found": "14", "range_counted": "26"},
            at_rear("preload", "mm", "12", counted_from="open", step_mm="1.0"),
            at_rear("rebound", "click", "13", "28"),
        ],
        answers=ridden("4"),
        symptoms=[("harsh_series", "front", 2)],
        words="Harsh in the roots. The ring hardly moved, I may have pushed it when loading the van.",
    ),
    reached="question",
    question="Two things before I can write your sheet:",
    asks=(
        Ask(
            "The ring shows less than your own weight takes up. Please push it to the seal, ride, and read it again "
            "before the bike goes on the van.",
            "travel",
            ("deepest_normal.front", "ring_true.front"),
        ),
        Ask(
            "And please take L2 at the rear once more, sitting as you ride.",
            "sag",
            ("length_rider_aboard.rear",),
        ),
    ),
)

#: Twin shocks wound to the last notch.
PRELOAD_EXHAUSTED = Story(
    "preload-exhausted",
    "A classic with both shocks on the last notch and still too low: springs, not notches.",
    document(
        "Bertil Amsworth",
        bike={
            "name": "Hexley Twin 750",
            "year": 1977,
            "front": "coil",
            "rear": "twin_shock",
            "service": "new dampers in 2024",
        },
        aim={"discipline": "classic", "pace": "easy", "skill": "hand_tools", "budget": "springs"},
        readings=[
            *lengths("front", "mm", "165", "143", "120"),
            *lengths("rear", "mm", "330", "315", "287"),
            *ring("front", "mm", "140", "112"),
            *ring("rear", "mm", "88", "80"),
            one("rider_mass", "104", "kg", "scale"),
            one("bike_mass", "218", "kg"),
            one("leverage", "1.1", "1", end="rear"),
        ],
        adjusters=[at_rear("preload", "step", "5", "5", counted_from="open", step_mm="4.0")],
        answers=ridden("3"),
        symptoms=[("rear_squats", "rear", 2), ("bottoms_bumps", "rear", 2)],
        words="Both collars are on the top notch and it still sits low with me on it.",
    ),
    reached="taken",
)

#: Everything in order but slow steering: geometry, in a small step.
BEHIND_ALL_GATES = Story(
    "behind-all-gates",
    "Sag, damping and reserve in order; it only steers slowly: legs up a few millimetres.",
    document(
        "Kaja Lindqvist-Moor",
        bike={
            "name": "Marrow 450 M",
            "year": 2020,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70-17",
            "rear_tyre": "160/60-17",
        },
        aim={"discipline": "supermoto", "pace": "race", "skill": "hand_tools", "words": "Quicker into the hairpin."},
        readings=[
            *lengths("front", "mm", "600", "565", "530"),
            *lengths("rear", "mm", "600", "563", "525"),
            *ring("front", "mm", "255", "242", "245"),
            *ring("rear", "mm", "270", "235"),
            one("rider_mass", "70", "kg", "scale"),
            one("bike_mass", "112", "kg"),
            one("rake", "25.5", "deg"),
            one("ground_trail", "92", "mm"),
            one("wheelbase", "1460", "mm"),
            one("fork_offset", "32", "mm"),
            one("bodywork_gap", "290", "mm", "tape", end="front"),
            one("leverage", "2.8", "1", end="rear"),
        ],
        adjusters=[
            *pair("rebound", "click", "12", counted="24"),
            *pair("compression", "click", "12", counted="24"),
            *pair("fork_position", "mm", "4.0"),
            at_rear("preload", "mm", "10", "20", counted_from="open", step_mm="1.0"),
            at_rear("rebound", "click", "12", "24"),
        ],
        answers=ridden("5"),
        symptoms=[("slow_turn_in", "front", 2)],
        words="I like everything but the way it turns into the hairpin.",
    ),
)

#: A leaking seal: nothing is tuned.
LEAKING = Story(
    "leaking",
    "Oil on the stanchion: do not ride until it is seen to.",
    document(
        "Dov Harrow",
        units=IMPERIAL,
        bike={"name": "Ossley Rambler 650", "year": 2009, "front": "coil", "rear": "linkage"},
        aim={"discipline": "dual_sport", "skill": "hand_tools"},
        readings=[
            *lengths("front", "in", "21.0", "19.6", "18.4"),
            *lengths("rear", "in", "24.0", "22.6", "21.0"),
            *ring("front", "in", "8.3", "7.9"),
            one("rider_mass", "178", "lb", "scale"),
            one("bike_mass", "345", "lb"),
        ],
        adjusters=[at_rear("preload", "turn", "6", "16", counted_from="open", step_mm="1.5")],
        answers=ridden("3", front="unsure", fluid="older"),
        symptoms=[("pogo", "front", 2)],
        words="There is oil on the right leg and some of it has reached the brake disc.",
        stop={"leak": "yes"},
    ),
)

#: The same fault mended: the sheet said not to ride, the next report says that the seals are new.
REPAIRED = Story(
    "repaired",
    "Fork seals leaked in the first round and were replaced before the second: the stop gate is asked again.",
    document(
        "Edda Moorling",
        bike={"name": "Brenk Sirocco 500", "year": 2014, "front": "coil", "rear": "direct"},
        aim={"discipline": "naked", "skill": "hand_tools", "budget": "springs"},
        readings=[
            *lengths("front", "mm", "130", "105", "88"),
            *lengths("rear", "mm", "610", "602", "574"),
            *ring("front", "mm", "120", "104"),
            *ring("rear", "mm", "125", "104"),
            one("rider_mass", "79", "kg", "scale"),
            one("bike_mass", "184", "kg"),
            one("leverage", "2.4", "1", end="rear"),
        ],
        adjusters=[
            *pair("preload", "turn", "4", counted="12", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "9", counted="20"),
            at_rear("rebound", "click", "10", "20"),
        ],
        answers=ridden("3", fluid="older"),
        symptoms=[("brake_dive", "front", 2)],
        words="It dives, and there is an oil ring on the left leg.",
        stop={"leak": "yes"},
    ),
    reached="sheet",
    reports=(
        Report(
            readings=[
                *lengths("front", "mm", "130", "106", "90"),
                *lengths("rear", "mm", "610", "602", "574"),
                *ring("front", "mm", "", "101"),
                *ring("rear", "mm", "", "103"),
            ],
            answers=[*ridden("3"), ("outcome", "", "better")],
            words="New seals and new oil in both legs, dry since. It still dives a little.",
        ),
    ),
)

#: Semi-active suspension: modes, no spring number.
SEMI_ACTIVE = Story(
    "semi-active",
    "An electronic bike: modes and offsets, and no false spring rate.",
    document(
        "Noor Bexhill",
        bike={"name": "Brenk Traverse 1200", "year": 2023, "front": "semi_active", "rear": "semi_active"},
        aim={"discipline": "adventure", "skill": "adjusters"},
        readings=[
            *lengths("front", "mm", "230", "192", "168"),
            *lengths("rear", "mm", "670", "633", "608"),
            *ring("front", "mm", "200", "165"),
            *ring("rear", "mm", "210", "175"),
            one("rider_mass", "90", "kg", "scale"),
            one("bike_mass", "252", "kg"),
        ],
        adjusters=[{"key": "front.mode", "unit": "mode", "mode": "road", "found": ""}],
        answers=[*ridden("3"), ("levelling_done", "", "unsure")],
        symptoms=[("floats", "", 1)],
        words="Feels floaty on the motorway in the road mode.",
    ),
)

#: Still being typed: the client comes back tomorrow.
HALF_TYPED = Story(
    "half-typed",
    "A motocross rider who has not finished yet.",
    document(
        "Tam Okerby",
        bike={"name": "Quillon 250 X", "year": 2024, "front": "air", "rear": "linkage"},
        aim={"discipline": "motocross", "pace": "race", "skill": "home_workshop", "budget": "springs"},
        readings=[one("rider_mass", "66", "kg", "scale")],
        adjusters=[],
        answers=[],
        symptoms=[],
        words="",
        send=False,
    ),
    reached="draft",
)

STORIES = (FALSE_RING, PRELOAD_EXHAUSTED, BEHIND_ALL_GATES, LEAKING, REPAIRED, SEMI_ACTIVE, HALF_TYPED)
