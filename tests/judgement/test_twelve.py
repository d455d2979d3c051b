"""Which twelve numbers the short way asks for: those that decide the first change of a sheet.

Bikes of every discipline are drawn with sags, marks and adjusters in all the places that chance has them, judged
with everything told, and with less. Nothing here is taken from a source: it is the judgement's own rules that are
asked what they need, so that the short way and the rules cannot drift apart.
"""

import random
from collections.abc import Iterable
from dataclasses import dataclass, field

import pytest

from intake.steps.twelve import REAR_BY_SHARE
from tests.judgement.bikes import STROKES, right
from tests.judgement.build import knobs
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derive import derive
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement import draft
from tuning.judgement.model import Dossier, Symptom
from tuning.judgement.practice import SHIPPED

pytestmark = pytest.mark.slow

DRAWS = 40
#: Complaints as they come, none of which stops the ride.
COMPLAINTS = ("brake_dive", "runs_wide_mid", "rear_squats", "harsh_single", "wallows", "slow_turn_in", "pogo")
Key = tuple[str, str]


@dataclass
class Drawn:
    """A bike as chance has it: the readings every short request has, and what else could be told."""

    discipline: str
    readings: list[Reading]
    more: dict[str, list[Reading]]
    adjusters: dict[str, list[Adjuster]]
    symptoms: tuple[Symptom, ...]
    budget: str
    left_out: frozenset[Key] = field(default_factory=frozenset)

    def first_change(self, *told: str) -> tuple[str, str] | None:
        """Return kind and end of the first change when ``told`` is known besides; None when there is none."""
        rows = [row for row in self.readings if (row.quantity, row.end) not in self.left_out]
        rows += [row for name in told for row in self.more.get(name, ())]
        known = tuple(row for name in told for row in self.adjusters.get(name, ()))
        case = Case(self.discipline, "coil", "linkage", tuple(rows), known)
        judged = Dossier(
            case, derive(case), dict.fromkeys(STOP_QUESTIONS, "no"), symptoms=self.symptoms, budget=self.budget
        )
        changes = draft(judged).changes
        return (changes[0].kind, changes[0].adjuster.partition(".")[0]) if changes else None


EVERYTHING = (
    "stroke.rear", "front.preload", "rear.preload", "front.rebound", "rear.rebound", "front.compression",
    "rear.compression", "front.fork_position",
)  # fmt: skip


def drawn(disciplines: Iterable[str], seed: int = 4) -> list[Drawn]:
    chance = random.Random(seed)  # noqa: S311  (bikes, not secrets)
    names = sorted(disciplines)
    return [_draw(chance, names[number % len(names)]) for number in range(DRAWS)]


def _draw(chance: random.Random, discipline: str) -> Drawn:
    wanted, strokes = right(discipline), dict(zip(("front", "rear"), STROKES[discipline], strict=True))
    readings = [Reading("rider_mass", chance.uniform(60, 110), 0.5)]
    for end in ("front", "rear"):
        alone = wanted[f"sag_bike_alone.{end}"] * chance.uniform(0.3, 1.8)
        aboard = max(alone + 5, wanted[f"sag_rider_aboard.{end}"] * chance.uniform(0.6, 1.4))
        readings += [
            Reading("length_topped_out", 500, 1.0, end, "", "bike_alone"),
            Reading("length_bike_alone", round(500 - alone), 1.0, end, "", "bike_alone"),
            Reading("length_rider_aboard", round(500 - aboard), 1.0, end, "", "solo"),
            Reading("tyre_pressure", 230, 5, end),
        ]
        if end == "front":
            left = max(0.0, wanted["reserve_normal.front"] * chance.uniform(-0.2, 2.2))
            deepest = min(strokes[end], max(aboard + 10, strokes[end] - left))
            readings += [
                Reading("stroke", strokes[end], 1.0, end),
                Reading("deepest_normal", round(deepest), 1.0, end),
            ]
    rows = knobs(
        preload_front=float(chance.randint(0, 15)),
        preload_rear=float(chance.randint(0, 14)),
        rebound_front=float(chance.randint(0, 20)),
        rebound_rear=float(chance.randint(0, 20)),
        compression_front=float(chance.randint(0, 20)),
        compression_rear=float(chance.randint(0, 20)),
        fork_position=float(chance.randint(0, 8)),
    )
    adjusters: dict[str, list[Adjuster]] = {}
    for row in rows:
        adjusters.setdefault(f"{row.end}.{row.kind}", []).append(row)
    return Drawn(
        discipline,
        readings,
        {"stroke.rear": [Reading("stroke", strokes["rear"], 1.0, "rear")]},
        adjusters,
        tuple(Symptom(one) for one in chance.sample(COMPLAINTS, chance.randint(1, 3))),
        chance.choice(("none", "springs")),
    )


OTHERS = frozenset(STROKES) - REAR_BY_SHARE


def test_the_disciplines_that_need_the_rears_travel_are_those_that_aim_for_a_share_of_it() -> None:
    rider = {
        discipline: {target.key for target in SHIPPED.targets[discipline]}
        & {"sag_rider_aboard.rear", "sag_rider_aboard_share.rear"}
        for discipline in STROKES
    }
    by_share = {discipline for discipline, keys in rider.items() if keys == {"sag_rider_aboard_share.rear"}}
    assert by_share == REAR_BY_SHARE


@pytest.mark.parametrize(
    "missing",
    [(length, end) for length in ("length_topped_out", "length_rider_aboard") for end in ("front", "rear")],
    ids=".".join,
)
def test_without_any_one_of_these_nothing_is_changed(missing: Key) -> None:
    for bike in drawn(OTHERS):
        bike.left_out = frozenset({missing})
        assert bike.first_change("front.preload") is None


def test_bike_alone_and_the_forks_travel_and_mark_decide_some() -> None:
    for missing in (("length_bike_alone", "front"), ("stroke", "front"), ("deepest_normal", "front")):
        differs = 0
        for bike in drawn(OTHERS):
            told = bike.first_change("front.preload")
            bike.left_out = frozenset({missing})
            differs += bike.first_change("front.preload") != told
        assert differs, missing


def test_where_the_rear_is_aimed_for_by_share_its_travel_decides_everything() -> None:
    bikes = drawn(REAR_BY_SHARE)
    assert [bike.first_change() for bike in bikes] == [None] * DRAWS
    # With all else that could be told instead, still nothing.
    without = [name for name in EVERYTHING if name != "stroke.rear"]
    assert [bike.first_change(*without) for bike in bikes] == [None] * DRAWS
    assert any(bike.first_change("stroke.rear") for bike in bikes)


def test_elsewhere_no_number_decides_more_first_changes_than_the_forks_preload() -> None:
    bikes = drawn(OTHERS)
    whole = [bike.first_change(*EVERYTHING) for bike in bikes]
    alike = {
        name: sum(bike.first_change(name) == everything for bike, everything in zip(bikes, whole, strict=True))
        for name in EVERYTHING
    }
    best = alike.pop("front.preload")
    assert best > max(alike.values())
    assert best > DRAWS * 2 / 3
