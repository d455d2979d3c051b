"""A rider who tells what became of each change: one done, one left, one done otherwise, over three rounds."""

from intake.choices import Done
from reports.demo.stories import Report, Story, at_rear, document, lengths, one, pair, ridden, ring

HALF_DONE = Story(
    "half-done",
    "Two sags to mend, one change left undone: it is not judged as if it had been, and asked for again.",
    document(
        "Jorun Aldersey",
        bike={
            "name": "Wexholm Kite 650",
            "year": 2018,
            "front": "coil",
            "rear": "linkage",
            "front_tyre": "120/70ZR17",
            "rear_tyre": "160/60ZR17",
        },
        aim={"discipline": "naked", "words": "Steady on the brakes into the hairpins above the lake."},
        readings=[
            *lengths("front", "mm", "135", "105", "90"),
            *lengths("rear", "mm", "612", "594", "571"),
            *ring("front", "mm", "125", "108", "112"),
            *ring("rear", "mm", "130", "112"),
            one("rider_mass", "81", "kg", "scale"),
            one("bike_mass", "188", "kg"),
            one("leverage", "2.3", "1", end="rear"),
        ],
        adjusters=[
            *pair("preload", "turn", "3", counted="12", counted_from="open", step_mm="1.0"),
            *pair("rebound", "click", "10", counted="20"),
            *pair("fork_position", "mm", "2.0"),
            at_rear("preload", "turn", "2", "12", counted_from="open", step_mm="1.5"),
            at_rear("rebound", "click", "10", "20"),
        ],
        answers=ridden("4"),
        symptoms=[("brake_dive", "front", 2), ("rear_squats", "rear", 2)],
        words="It dives when I brake for the hairpins, and sits down behind when I drive out of them.",
    ),
    reached="sheet",
    reports=(
        Report(
            readings=[
                *lengths("front", "mm", "135", "113.5", "98.5"),
                *lengths("rear", "mm", "612", "594", "571.5"),
                *ring("front", "mm", "", "104", "108"),
                *ring("rear", "mm", "", "112"),
            ],
            answers=[*ridden("4"), ("outcome", "", "better")],
            symptoms=[("brake_dive", "front", 2, "better"), ("rear_squats", "rear", 2, "same")],
            words="The front is much better. I had no spanner for the collar of the shock, so the rear is as it was.",
            followed={"rear.preload": (Done.NOT_DONE, "")},
        ),
        Report(
            readings=[
                *lengths("front", "mm", "135", "113.5", "98"),
                *lengths("rear", "mm", "612", "602.5", "579.5"),
                *ring("front", "mm", "", "104", "107"),
                *ring("rear", "mm", "", "109"),
            ],
            answers=[*ridden("4"), ("outcome", "", "better")],
            symptoms=[("rear_squats", "rear", 2, "better")],
            words="Borrowed a spanner. Two and a quarter turns, the last quarter would not go. It drives out now.",
            followed={"rear.preload": (Done.OTHERWISE, "4.25")},
        ),
    ),
)

STORIES = (HALF_DONE,)
