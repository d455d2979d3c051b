"""Trees as a tuner would write them for one mail round; reasoned from common practice before anything was run.

Name → (dossier, [(step, what it sets, branches), ...]); a branch is "condition goto to", in the order they are
printed. Damper ranges are 20 clicks: a step is two, half of one more is one.
"""

from collections.abc import Mapping

from tests.judgement.build import dossier, knobs
from tests.judgement.cases import CASES
from tuning.judgement.model import Dossier

Told = tuple[str, tuple[tuple[str, float, float], ...], tuple[str, ...]]


def lines(gone: str, better: str = "", same: str = "") -> tuple[str, ...]:
    """Return the four branches of a step: where better and same lead on to, "" to report."""
    return (
        f"{gone} report",
        f"tree_better next {better}" if better else "tree_better report",
        f"tree_same back {same}".rstrip(),
        "tree_worse back",
    )


FRONT = (("front.rebound.left", 10, 8), ("front.rebound.right", 10, 8))
FRONT_FURTHER = (("front.rebound.left", 8, 7), ("front.rebound.right", 8, 7))
WORN = (("front.rebound.left", 5, 3), ("front.rebound.right", 5, 3))

TREES: Mapping[str, tuple[Dossier, list[Told]]] = {
    # Half a step further where it helped; the causes of bouncing and wide exits name compression behind rebound.
    "bounces and runs wide": (
        dossier(
            symptoms=("pogo@rear", "runs_wide_exit@rear"), answers={"settle.rear": "many_bounces"}
        ),
        [
            ("first", (("rear.rebound", 10, 8),), lines("tree_gone", "further", "other.compression.rear")),
            ("further", (("rear.rebound", 8, 7),), lines("tree_gone")),
            ("other.compression.rear", (("rear.compression", 10, 8),), lines("tree_gone")),
        ],
    ),
    "bounces, and nothing else is likely": (
        CASES["rebound_firmer"][0],
        [
            ("first", (("rear.rebound", 10, 8),), lines("tree_gone", "further")),
            ("further", (("rear.rebound", 8, 7),), lines("tree_gone")),
        ],
    ),
    "packs down": (
        CASES["rebound_softer"][0],
        [
            ("first", (("rear.rebound", 10, 12),), lines("tree_gone", "further")),
            ("further", (("rear.rebound", 12, 13),), lines("tree_gone")),
        ],
    ),
    # Both legs alike, in every step.
    "harsh in front": (
        CASES["compression_softer"][0],
        [
            (
                "first",
                (("front.compression.left", 10, 12), ("front.compression.right", 10, 12)),
                lines("tree_gone", "further"),
            ),
            (
                "further",
                (("front.compression.left", 12, 13), ("front.compression.right", 12, 13)),
                lines("tree_gone"),
            ),
        ],
    ),
    # Nothing is felt, the settle test shows it: then the settle test tells when it is right.
    "a settle test that bounces": (
        dossier(answers={"settle.rear": "many_bounces", "fluid_age": "under_two_years"}),
        [
            ("first", (("rear.rebound", 10, 8),), lines("tree_settles", "further")),
            ("further", (("rear.rebound", 8, 7),), lines("tree_settles")),
        ],
    ),
    # The ring is read after each ride anyway: the travel left says whether it is enough.
    "rear reserve short": (
        CASES["reserve_compression"][0],
        [
            ("first", (("rear.compression", 10, 8),), lines("tree_reserve", "further")),
            ("further", (("rear.compression", 8, 7),), lines("tree_reserve")),
        ],
    ),
    # From 5 clicks to 3; one more would be 2 of 20, a tenth: nearly closed, where clicks no longer help. So what
    # helped stays, and the next likely thing comes on top or, where nothing came of it, in its place.
    "near the end of the range": (
        dossier(
            symptoms=("pogo@rear", "runs_wide_exit@rear"),
            answers={"settle.rear": "many_bounces"},
            adjusters=knobs(rebound_rear=5),
        ),
        [
            (
                "first",
                (("rear.rebound", 5, 3),),
                lines("tree_gone", "other.compression.rear", "other.compression.rear"),
            ),
            ("other.compression.rear", (("rear.compression", 10, 8),), lines("tree_gone")),
        ],
    ),
    # It squats and runs wide: compression holds it up, and behind it stands rebound, print says.
    "squats and runs wide": (
        dossier(symptoms=("rear_squats@rear", "runs_wide_exit@rear"), answers={"settle.rear": "no_bounce"}),
        [
            ("first", (("rear.compression", 10, 8),), lines("tree_gone", "further", "other.rebound.rear")),
            ("further", (("rear.compression", 8, 7),), lines("tree_gone")),
            ("other.rebound.rear", (("rear.rebound", 10, 8),), lines("tree_gone")),
        ],
    ),
    # Felt all over: where the front's rebound does nothing, the rear's is next, and the other way round for a damper
    # that can go no further. Compression in front comes last: rebound before compression.
    "floats, felt all over": (
        dossier(symptoms=("floats",)),
        [
            ("first", FRONT, lines("tree_gone", "further", "other.rebound.rear")),
            ("further", FRONT_FURTHER, lines("tree_gone")),
            ("other.rebound.rear", (("rear.rebound", 10, 8),), lines("tree_gone")),
        ],
    ),
    "floats, nearly closed": (
        dossier(symptoms=("floats",), adjusters=knobs(rebound_front=5)),
        [
            ("first", WORN, lines("tree_gone", "other.rebound.rear", "other.rebound.rear")),
            ("other.rebound.rear", (("rear.rebound", 10, 8),), lines("tree_gone", same="other.compression.front")),
            (
                "other.compression.front",
                (("front.compression.left", 10, 8), ("front.compression.right", 10, 8)),
                lines("tree_gone"),
            ),
        ],
    ),
    # Harsh where nobody said which end: compression, softer, at the other end.
    "harsh, felt all over": (
        dossier(symptoms=("harsh_single",)),
        [
            (
                "first",
                (("front.compression.left", 10, 12), ("front.compression.right", 10, 12)),
                lines("tree_gone", "further", "other.compression.rear"),
            ),
            (
                "further",
                (("front.compression.left", 12, 13), ("front.compression.right", 12, 13)),
                lines("tree_gone"),
            ),
            ("other.compression.rear", (("rear.compression", 10, 12),), lines("tree_gone")),
        ],
    ),
}  # fmt: skip

#: One change and its ride test say all: nothing may follow without measuring afresh.
NO_TREE: Mapping[str, Dossier] = {
    "preload: the sag is measured afresh": CASES["preload_more"][0],
    "a spring": CASES["spring_stiffer"][0],
    "oil": CASES["reserve_oil"][0],
    "service": CASES["service_fluid"][0],
    "fork legs": CASES["steer_quicker"][0],
    "ride height": CASES["height_quicker"][0],
    "a compromise by the legs": CASES["legs_down_instead_of_spring"][0],
    "nothing to change": dossier(),
    "do not ride": dossier(symptoms=("pogo@rear",), stop={"leak": "yes"}),
    "a step of one click at the very end": dossier(symptoms=("pogo@rear",), adjusters=knobs(rebound_rear=4)),
}
