"""Whole bikes as chance has them: an answer as its schema says, all of it finite and in its unit, or a refusal."""

import json
import math
from collections.abc import Callable, Iterable
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from tests.engine.documents import SOUND, mangled, spoilt
from tests.engine.documents.wild import wild, wild_problem, wild_wishes
from tuning.engine import answers
from tuning.engine.asked import rounds_from_json, what_if_from_json
from tuning.engine.curves import curves
from tuning.engine.derive import derive
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.learn import learn
from tuning.engine.schemas import load
from tuning.engine.serial import derivation_to_json
from tuning.engine.solve import problem_from_json, solutions_to_json, solve
from tuning.engine.values import VALUES
from tuning.engine.whatif import what_if

SLOW = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
SCHEMAS = {
    name: Draft202012Validator(load(name))
    for name in ("derivation", "whatif", "learned", "curves", "solutions", "faults")
}
ENDS = ("front", "rear")
#: Units of what is learnt, by the first part of its key.
LEARNT = {
    "effective_rate": "N/mm",
    "effective_preload": "mm",
    "friction": "mm",
    "bike_mass": "kg",
    "bike_front_share": "1",
    "rider_mass": "kg",
    "rider_front_share": "1",
}


def answered(schema: str, asks: Callable[[], dict[str, Any]]) -> dict[str, Any] | None:
    """Return what is answered, None for a refusal; both as JSON carries them."""
    try:
        made, name = asks(), schema
    except EngineInputError as error:
        made, name = answers.faults_to_json(error), "faults"
    # No NaN and no infinity anywhere.
    back: dict[str, Any] = json.loads(json.dumps(made, allow_nan=False))
    SCHEMAS[name].validate(back)
    return back if name == schema else None


def hold_values(rows: Iterable[dict[str, Any]]) -> None:
    seen = set()
    for row in rows:
        name, _, where = row["key"].partition(".")
        kind = VALUES[name]
        assert row["key"] not in seen
        seen.add(row["key"])
        if kind.unit:
            assert row["unit"] == kind.unit, row
        if kind.where in ("", "end"):
            assert where in (ENDS if kind.where else ("",)), row
        if row["status"] in ("ok", "at_least", "at_most"):
            assert math.isfinite(row["value"])
            assert row["half_width"] is None or row["half_width"] >= 0
        else:
            assert row["value"] is None
        assert sum(share for _, share in row["contributions"]) <= 1 + 1e-9


def derived(document: object) -> bool:
    made = answered("derivation", lambda: derivation_to_json(derive(read_document(document))))
    if made is not None:
        hold_values(made["values"])
    return made is not None


def foretold(document: object, wishes: object) -> bool:
    asked = {"document": document, "set": wishes}
    made = answered("whatif", lambda: answers.what_if_to_json(what_if(*what_if_from_json(asked))))
    if made is None:
        return False
    for side in ("before", "after", "difference"):
        hold_values(made[side])
    before, after = ({row["key"]: row for row in made[side]} for side in ("before", "after"))
    for row in made["difference"]:
        if row["value"] is not None:
            change = after[row["key"]]["value"] - before[row["key"]]["value"]
            assert row["value"] == pytest.approx(change, rel=1e-6, abs=1e-6)
    return True


def learnt(rounds: list[dict[str, Any]]) -> bool:
    made = answered("learned", lambda: answers.learned_to_json(learn(rounds_from_json({"rounds": rounds}))))
    if made is None:
        return False
    for key, one in made["parameters"].items():
        assert one["unit"] == LEARNT[key.partition(".")[0]]
    assert {row["round"] for row in made["readings"]} <= set(range(1, len(rounds) + 1))
    return True


def drawn(document: object) -> bool:
    made = answered("curves", lambda: answers.curves_to_json(curves(read_document(document))))
    for curve in made["curves"] if made else ():
        assert curve["travel"] == sorted(curve["travel"])
    return made is not None


def solved(problem: dict[str, Any]) -> bool:
    made = answered("solutions", lambda: solutions_to_json(solve(problem_from_json(problem))))
    if made is None:
        return False
    for solution in made["solutions"]:
        assert solution["meets"]
        for outcome in solution["outcomes"]:
            band = problem["targets"][outcome["target"]]
            for value in (outcome["value"], outcome["other"]):
                if value is not None and outcome["other"] is None:
                    assert band.get("low", -math.inf) - 1e-6 <= value <= band.get("high", math.inf) + 1e-6
    assert bool(made["solutions"]) != (made["reason"] is not None)
    return True


def of_one_bike(random: Random, first: dict[str, Any]) -> list[dict[str, Any]]:
    rounds = [first] + [wild(random, first) for _ in range(random.randint(0, 3))]
    return [one | {name: first[name] for name in ("front_architecture", "rear_architecture")} for one in rounds]


def ask_all(seeds: Iterable[int]) -> dict[str, int]:
    """Ask everything of a wild document for each seed; return how often each was answered."""
    count = {"derive": 0, "whatif": 0, "learn": 0, "curve": 0, "solve": 0}
    for seed in seeds:
        random = Random(seed)  # noqa: S311
        document = wild(random)
        try:
            count["derive"] += derived(document)
            count["curve"] += drawn(document)
            count["whatif"] += foretold(document, wild_wishes(random, document))
            if seed % 4 == 0:
                count["learn"] += learnt(of_one_bike(random, document))
                count["solve"] += solved(wild_problem(random, document))
        except Exception as error:
            error.add_note(f"seed {seed}: {json.dumps(document)}")
            raise
    return count


pytestmark = [pytest.mark.filterwarnings("error"), pytest.mark.slow]


def test_wild_documents_are_answered_or_refused() -> None:
    count = ask_all(range(120))
    # The test says nothing if all are refused.
    assert count["derive"] > 90
    assert count["curve"] > 90
    assert count["whatif"] > 40
    assert count["learn"] > 5
    assert count["solve"] > 10


@pytest.mark.slow
@pytest.mark.parametrize("part", range(2))
def test_thousands_of_wild_documents_are_answered_or_refused(part: int) -> None:
    ask_all(range(1000 * (part + 1), 1000 * (part + 2)))


WISHES = st.dictionaries(
    st.sampled_from(("front.preload_mm", "rear.spring_rate", "rider_mass", "front.preload", "\ud800", "x" * 99)),
    st.text(max_size=6) | st.floats() | st.integers() | st.none() | st.sampled_from(("+6", "-6", "−6", "6", "16")),
    max_size=3,
)


@SLOW
@given(SOUND, WISHES)
def test_sound_documents_are_answered(document: dict[str, Any], wishes: dict[str, Any]) -> None:
    assert derived(document)
    drawn(document)
    foretold(document, wishes)
    learnt([document, document])


@SLOW
@given(spoilt(), WISHES)
def test_spoilt_documents_are_answered_or_refused(document: Any, wishes: dict[str, Any]) -> None:
    derived(document)
    foretold(document, wishes)
    learnt([document])


@SLOW
@given(st.integers(0, 2**32 - 1))
def test_mangled_examples_are_answered_or_refused(seed: int) -> None:
    document = mangled(Random(seed))  # noqa: S311
    derived(document)
    drawn(document)
