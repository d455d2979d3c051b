"""Springs too soft or too stiff, preload at its end, and what stands in where no spring is to be bought."""

from tests.judgement.written.sent import COMMON, Written, document, knob, knobs

_ALL_IN = {"front.preload": 15.0}
_ALL_OUT = {"front.preload": 0.0}
_REAR_IN = {"rear.preload": 14.0}

CASES = (
    Written(
        id="fork_soft_wound_up",
        source=COMMON,
        why="Right with the rider, hardly any with the bike alone: a soft spring wound up. Only a spring cures it.",
        sent=document(front=(600, 594, 563.5)),
        gate="sag",
        budget="springs",
        first=("spring front",),
        along=("preload",),
        never=("preload", "fork_position", "oil_level", "compression"),
    ),
    Written(
        id="fork_soft_bottoms_no_money",
        source="published guides (2)",
        why="The spring is beyond the budget; more oil is the cheap proper help for the end of the stroke.",
        sent=document(front=(600, 594, 563.5), rings=(119.5, 114)),
        gate="sag",
        complaints=("brake_bottoms",),
        first=("oil_level front",),
        never=("preload", "spring", "fork_position"),
        compromise=True,
    ),
    Written(
        id="fork_soft_with_reserve_no_money",
        source=COMMON,
        why="Soft and wound up, yet it keeps its reserve: ride on, and say that a spring would be the cure.",
        sent=document(front=(600, 594, 563.5)),
        gate="",
        never=("spring", "preload", "fork_position", "oil_level"),
        notes=("spring_wanted_budget",),
        unsaid=("nothing_to_change",),
    ),
    Written(
        id="fork_stiff",
        source=COMMON,
        why="Right with the rider, far too much with the bike alone: too stiff a spring with no preload on it.",
        sent=document(front=(600, 569, 560.5)),
        gate="sag",
        budget="springs",
        first=("spring front",),
        along=("preload",),
        never=("preload", "fork_position"),
    ),
    Written(
        id="fork_all_wound_in",
        source="published guides (4)",
        why="46 mm with every turn in: a stiffer spring.",
        sent=document(front=(600, 568, 554), adjusters=knobs(at=_ALL_IN)),
        gate="sag",
        budget="springs",
        first=("spring front",),
        along=("preload",),
        never=("preload", "fork_position"),
    ),
    Written(
        id="fork_all_wound_in_no_money",
        source=COMMON,
        why="Front too low and no spring to be had: legs down 3 mm give the attitude back, never travel.",
        sent=document(front=(600, 568, 554), adjusters=knobs(at=_ALL_IN)),
        gate="sag",
        first=(
            "fork_position front.fork_position.left down 5→2",
            "fork_position front.fork_position.right down 5→2",
        ),
        never=("spring", "preload"),
        notes=("height_not_travel",),
        compromise=True,
    ),
    Written(
        id="fork_all_wound_out_no_money",
        source=COMMON,
        why="Front too high with nothing left to take out: legs up 3 mm meanwhile, clearance asked first.",
        sent=document(front=(600, 584, 572), adjusters=knobs(at=_ALL_OUT)),
        gate="sag",
        first=(
            "fork_position front.fork_position.left up 5→8",
            "fork_position front.fork_position.right up 5→8",
        ),
        never=("spring", "preload"),
        asks=("ask_clearance",),
        notes=("height_not_travel",),
        compromise=True,
    ),
    Written(
        id="fork_all_wound_out",
        source="published guides (3)",
        why="28 mm with every turn out: a softer spring.",
        sent=document(front=(600, 584, 572), adjusters=knobs(at=_ALL_OUT)),
        gate="sag",
        budget="springs",
        first=("spring front",),
        along=("preload",),
        never=("preload", "fork_position"),
    ),
    Written(
        id="rear_soft_with_bags",
        source="published guides (2)",
        why="With luggage 48 mm and the adjuster at its end: a stiffer spring, and a shock is had done.",
        sent=document("touring", rear=(520, 501, 472), load="solo_luggage", adjusters=knobs(at=_REAR_IN)),
        gate="sag",
        budget="springs",
        first=("spring rear",),
        along=("preload",),
        done_for=("spring",),
        never=("fork_position", "compression", "preload"),
    ),
    Written(
        id="classic_rear_low_no_money",
        source=COMMON,
        why="All notches in, still low, no money: legs up level it a little, and the spring is named.",
        sent=document(
            "classic",
            shock="twin_shock",
            rear=(400, 383, 366),
            adjusters=[
                *knobs("rear.preload"),
                *(
                    knob(f"rear.preload.{leg}", 5, 5, "step", counted_from="open", step_mm=4.0)
                    for leg in ("left", "right")
                ),
            ],
        ),
        gate="geometry",
        complaints=("slow_turn_in",),
        first=(
            "fork_position front.fork_position.left up 5→8",
            "fork_position front.fork_position.right up 5→8",
        ),
        never=("preload", "spring"),
        asks=("ask_clearance",),
        notes=("spring_wanted_budget", "height_not_travel"),
        unsaid=("nothing_to_change",),
    ),
)
