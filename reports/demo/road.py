"""Demo stories on the road and on the track."""

from reports.demo.stories import IMPERIAL, Report, Story, at_rear, document, lengths, one, pair, ridden, ring

#: Front bottoms under braking, spring soft and wound up: little sag of the bike alone, plenty with the rider.
SOFT_AND_WOUND_UP = Story(
    "soft-and-wound-up",
    "A soft fork spring wound up on preload; the ring is at the end of its way.",
    document(
        "Hanne Rusk",
        units=IMPERIAL,
        bike={
            "name": "Corvane 600 S",
            "year": 2016,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70ZR17 M/C (58W)",
            "rear_tyre": "180/55ZR17 M/C (73W)",
            "service": "fork oil last winter",
        },
        aim={
            "discipline": "road_sport",
            "skill": "home_workshop",
            "budget": "springs",
            "words": "Brake late without the bang.",
        },
        readings=[
            *lengths("front", "in", "5 1/8", "4 3/4", "3 5/8"),
            *lengths("rear", "in", "24 3/4", "24 7/16", "23 7/16"),
            *ring("front", "in", "4.7", "4.65", "4.7"),
            *ring("rear", "in", "4.9", "4.2"),
            one("rider_mass", "214 lb", "lb", "scale"),
            one("bike_mass", "430", "lb"),
            one("rake", "24", "deg"),
            one("ground_trail", "3.82", "in"),
            one("wheelbase", "55.3", "in"),
            one("leverage", "2.0", "1", end="rear"),
        ],
        adjusters=[
            *pair("preload", "turn", "13", counted="15", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "10", counted="22"),
            *pair("compression", "click", "3", counted="20"),
            *pair("fork_position", "mm", "5.0"),
            at_rear("preload", "turn", "5", "14", counted_from="open", step_mm="1.5"),
            at_rear("rebound", "click", "11", "22"),
        ],
        answers=ridden("5", front="yes"),
        symptoms=[("brake_bottoms", "front", 3), ("brake_dive", "front", 3), ("harsh_single", "front", 2)],
        words="Dives and hits something hard when I brake for the roundabout. I wound the preload nearly all in.",
    ),
)

#: Front rides high: little sag, much travel never used.
HIGH_AND_STIFF = Story(
    "high-and-stiff",
    "Too much travel left over because there is too little sag: preload out, nothing else.",
    document(
        "Ilan Dorsey",
        bike={
            "name": "Tarnbeck 700 N",
            "year": 2021,
            "front": "coil",
            "rear": "direct",
            "front_tyre": "120/70ZR17",
            "rear_tyre": "160/60ZR17",
        },
        aim={"discipline": "naked", "words": "Turn in without pushing."},
        readings=[
            *lengths("front", "mm", "132", "117", "106"),
            *lengths("rear", "mm", "618", "610", "587"),
            *ring("front", "mm", "120", "72", "80"),
            *ring("rear", "mm", "130", "108"),
            one("rider_mass", "68", "kg", "scale"),
            one("bike_mass", "186", "kg"),
            one("rake", "24.8", "deg"),
            one("ground_trail", "98", "mm"),
            one("wheelbase", "1402", "mm"),
            one("leverage", "2.6", "1", end="rear"),
        ],
        adjusters=[
            *pair("preload", "turn", "12", counted="15", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "8", counted="18"),
            *pair("fork_position", "mm", "0"),
            at_rear("preload", "step", "3", "7", counted_from="open", step_mm="2.0"),
            at_rear("rebound", "click", "9", "20"),
        ],
        answers=ridden("3"),
        symptoms=[("slow_turn_in", "front", 2), ("harsh_series", "front", 2), ("feels_stiff", "front", 2)],
        words="The front feels tall and wooden and I have to push it into corners.",
    ),
    reached="drafted",
)

#: Two-up tourer, rear low, preload left to use.
TWO_UP = Story(
    "two-up-rear-low",
    "Rear sag too large two-up with cases; the preload still has plenty to give.",
    document(
        "Perla Quist",
        bike={
            "name": "Brenk Wayfarer 1100",
            "year": 2019,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70ZR17",
            "rear_tyre": "180/55ZR17",
        },
        aim={
            "discipline": "touring",
            "skill": "adjusters",
            "words": "Two weeks over the passes, with passenger and cases.",
        },
        load_state="two_up_luggage",
        readings=[
            *lengths("front", "mm", "140", "113", "97", "two_up_luggage"),
            *lengths("rear", "mm", "640", "626", "584", "two_up_luggage"),
            *ring("front", "mm", "130", "103"),
            *ring("rear", "mm", "135", "126"),
            one("rider_mass", "82", "kg", "scale"),
            one("passenger_mass", "60", "kg", "scale"),
            one("luggage_mass", "18", "kg", "scale"),
            one("bike_mass", "228", "kg"),
            one("gross_mass_limit", "430", "kg"),
            one("leverage", "2.5", "1", end="rear"),
        ],
        adjusters=[
            *pair("rebound", "click", "9", counted="20"),
            at_rear("preload", "click", "8", "30", counted_from="open", step_mm="0.4"),
            at_rear("rebound", "click", "12", "24"),
        ],
        answers=ridden("3"),
        symptoms=[("runs_wide_exit", "rear", 2), ("rear_squats", "rear", 2)],
        words="With both of us and the cases it sits down at the back and runs wide out of hairpins.",
    ),
    reached="sheet",
)

#: Over the gross mass: no advice, not even a click.
OVERLOADED = Story(
    "overloaded",
    "Two-up with cases over the maker's gross mass: stop before any advice.",
    document(
        "Ruben Askill",
        bike={"name": "Brenk Wayfarer 800", "year": 2012, "front": "coil", "rear": "linkage"},
        aim={"discipline": "touring", "skill": "adjusters"},
        load_state="two_up_luggage",
        readings=[
            *lengths("front", "mm", "150", "121", "100", "two_up_luggage"),
            *lengths("rear", "mm", "655", "640", "585", "two_up_luggage"),
            one("rider_mass", "112", "kg", "scale"),
            one("passenger_mass", "84", "kg", "scale"),
            one("luggage_mass", "45", "kg", "scale"),
            one("bike_mass", "212", "kg"),
            one("gross_mass_limit", "405", "kg"),
        ],
        adjusters=[at_rear("preload", "turn", "24", "24", counted_from="open", step_mm="1.0")],
        answers=ridden("2", rear="yes", fluid="older"),
        symptoms=[("bottoms_bumps", "rear", 3), ("weaves", "", 2)],
        words="It thumps over speed bumps and weaves a little on the motorway with everything on.",
        stop={"overload": "unsure"},
    ),
)

#: Fork legs at unequal heights.
UNEQUAL_LEGS = Story(
    "unequal-legs",
    "One fork leg stands 4 mm higher than the other: even them first, judge nothing before.",
    document(
        "Yusra Delane",
        bike={
            "name": "Corvane 1000 R",
            "year": 2018,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70ZR17",
            "rear_tyre": "190/55ZR17",
        },
        aim={"discipline": "track", "pace": "fast", "skill": "home_workshop", "budget": "springs"},
        readings=[
            *lengths("front", "mm", "128", "106", "96"),
            *lengths("rear", "mm", "600", "592", "572"),
            *ring("front", "mm", "118", "106", "109"),
            *ring("rear", "mm", "125", "108"),
            one("rider_mass", "71", "kg", "scale"),
            one("bike_mass", "182", "kg"),
            one("rake", "23.5", "deg"),
            one("ground_trail", "96", "mm"),
            one("wheelbase", "1410", "mm"),
        ],
        adjusters=[
            *pair("preload", "turn", "7", counted="15", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "9", counted="20"),
            *pair("compression", "click", "10", counted="20"),
            *pair("fork_position", "mm", "6.0", "10.0"),
            at_rear("preload", "turn", "6", "14", counted_from="open", step_mm="1.0"),
            at_rear("rebound", "click", "10", "20"),
        ],
        answers=ridden("5"),
        symptoms=[("feels_stiff", "front", 2), ("front_vague", "front", 2)],
        words="Since I changed the tyre the fork feels sticky and the front vague.",
    ),
)

#: Over three rounds to settled.
THREE_ROUNDS = Story(
    "three-rounds",
    "Rear preload first, which is kept; then rebound for the new bounce; then a happy rider: settled in round three.",
    document(
        "Mina Torvald",
        bike={
            "name": "Tarnbeck 900 S",
            "year": 2020,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70ZR17",
            "rear_tyre": "180/55ZR17",
        },
        aim={"discipline": "road_sport", "words": "Hold a line over the ridge road."},
        readings=[
            *lengths("front", "mm", "130", "107", "94"),
            *lengths("rear", "mm", "630", "616", "591"),
            *ring("front", "mm", "120", "97", "104"),
            *ring("rear", "mm", "128", "112"),
            one("rider_mass", "76", "kg", "scale"),
            one("bike_mass", "196", "kg"),
            one("rake", "24.0", "deg"),
            one("ground_trail", "97", "mm"),
            one("wheelbase", "1420", "mm"),
            one("leverage", "2.2", "1", end="rear"),
        ],
        adjusters=[
            *pair("preload", "turn", "6", counted="15", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "10", counted="20"),
            *pair("fork_position", "mm", "3.0"),
            at_rear("preload", "turn", "3", "14", counted_from="open", step_mm="1.5"),
            at_rear("rebound", "click", "11", "22"),
        ],
        answers=ridden("4"),
        symptoms=[("runs_wide_exit", "rear", 2), ("rear_squats", "rear", 2)],
        words="Out of corners the back sits down and the front wants to go straight on.",
    ),
    reached="settled",
    reports=(
        Report(
            readings=[
                *lengths("front", "mm", "130", "107", "94.5"),
                *lengths("rear", "mm", "630", "622", "597"),
                *ring("front", "mm", "", "97", "103"),
                *ring("rear", "mm", "", "111"),
            ],
            answers=[*ridden("4"), ("settle", "rear", "one_bounce"), ("outcome", "", "better")],
            symptoms=[
                ("rear_squats", "rear", 2, "better"),
                ("runs_wide_exit", "rear", 2, "better"),
                ("pogo", "rear", 2, ""),
            ],
            words="Much better on the exits. Over the ridge the rear comes up, goes down and comes up again.",
        ),
        Report(
            readings=[
                *lengths("front", "mm", "130", "107", "94"),
                *lengths("rear", "mm", "630", "622.5", "598"),
                *ring("front", "mm", "", "97", "103"),
                *ring("rear", "mm", "", "109"),
            ],
            answers=[*ridden("4"), ("outcome", "", "better")],
            words="That is it. It turns when I look and holds its line. Thank you.",
        ),
    ),
)

STORIES = (SOFT_AND_WOUND_UP, HIGH_AND_STIFF, TWO_UP, OVERLOADED, UNEQUAL_LEGS, THREE_ROUNDS)
