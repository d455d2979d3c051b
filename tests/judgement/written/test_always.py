"""What holds of every draft, whatever a client sends: whole requests as chance has them, through the real engine."""

from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.engine.documents.wild import wild
from tests.judgement.written.sent import RIGHT, Lengths, document, knob, knobs, reading
from tuning.engine.case import DISCIPLINES, FRONT_ARCHITECTURES, REAR_ARCHITECTURES
from tuning.engine.derive import derive
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import Wish
from tuning.engine.quantities import ENDS
from tuning.engine.vocabulary import STOP_QUESTIONS, SYMPTOM_IDS
from tuning.engine.whatif import what_if
from tuning.judgement import assess, draft
from tuning.judgement.facts import finding
from tuning.judgement.model import BUDGETS, SKILLS, Change, Dossier, Draft, Symptom
from tuning.judgement.moves import SMALLEST, apply, undo
from tuning.judgement.rulebook import PROCEDURES

GEOMETRY = ("fork_position", "ride_height")
DAMPERS = ("rebound", "compression")
#: Of one draft and end, at most one of these: each undoes what another was to show.
ONE_OF = (("preload", "fork_position", "oil_level"), ("rebound", "compression", "service"), ("preload", "rebound"))
SETTLES = st.sampled_from(("no_bounce", "one_bounce", "many_bounces", "slow"))
THOUSANDS = settings(
    max_examples=2000, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
SOME = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def lengths(draw: st.DrawFn, topped_out: float, stroke: float) -> Lengths:
    """The lengths of an end whose sags are in order, from hardly any to nearly all."""
    rider = draw(st.floats(0.03, 0.9)) * stroke
    alone = draw(st.floats(0, 0.99)) * rider
    return topped_out, topped_out - alone, topped_out - rider


@st.composite
def adjusters(draw: st.DrawFn) -> list[dict[str, Any]]:
    counts = st.none() | st.integers(0, 20)
    at = {f"{end}.{kind}": draw(counts) for end in ENDS for kind in DAMPERS}
    at |= {f"{end}.preload": draw(st.none() | st.integers(0, 14)) for end in ENDS}
    without = draw(st.sets(st.sampled_from(sorted(at)), max_size=2))
    legs = draw(st.none() | st.sampled_from(((5, 5), (0, 0), (2, 2), (5, 7))))
    rows = knobs(*without, at=at, legs=legs, front_legs=draw(st.booleans()))
    if draw(st.booleans()):
        rows.append(knob("rear.ride_height", draw(st.none() | st.integers(0, 12)), 12, "mm"))
    for row in rows:
        if draw(st.integers(0, 9)) == 0:
            row["range_counted"] = None
    return rows


@st.composite
def requests(draw: st.DrawFn) -> Dossier:
    """A whole request that is sound, wanted or not."""
    discipline = draw(st.sampled_from(DISCIPLINES))
    bike = RIGHT[discipline]
    ends = {}
    for end, right, stroke in zip(ENDS, (bike.front, bike.rear), bike.strokes, strict=True):
        ends[end] = draw(st.none() | lengths(right[0], stroke))
    rings = tuple(
        draw(st.sampled_from((ring, ring, None, stroke - 0.5, round(0.6 * stroke))))
        for ring, stroke in zip(bike.rings, bike.strokes, strict=True)
    )
    answers = {f"settle.{end}": draw(SETTLES) for end in ENDS if draw(st.booleans())}
    answers["levelling_done"] = draw(st.sampled_from(("yes", "yes", "no")))
    answers["fluid_age"] = draw(st.sampled_from(("under_two_years", "older", "unknown")))
    more = (reading("bodywork_gap", bike.strokes[0] + draw(st.floats(0, 40)), "front"),)
    sent = document(
        discipline,
        fork=draw(st.sampled_from(FRONT_ARCHITECTURES)),
        shock=draw(st.sampled_from(REAR_ARCHITECTURES)),
        front=ends["front"],
        rear=ends["rear"],
        bands=draw(st.sampled_from(((2.0, 2.0), (1.0, 1.0), (9.0, 2.0)))),
        rings=rings,
        adjusters=draw(adjusters()),
        more=more if draw(st.booleans()) else (),
        drop=draw(st.sampled_from(((), (), ("leverage",), ("stroke.rear",), ("length_bike_alone.front",)))),
        answers=answers,
    )
    return asked_of(draw, sent)


def asked_of(draw: st.DrawFn, sent: dict[str, Any]) -> Dossier:
    case = read_document(sent)
    complaints = draw(st.lists(st.sampled_from(sorted(SYMPTOM_IDS)), max_size=2, unique=True))
    return Dossier(
        case,
        derive(case),
        dict.fromkeys(STOP_QUESTIONS, "no")
        | ({draw(st.sampled_from(STOP_QUESTIONS)): "yes"} if draw(st.integers(0, 9)) == 0 else {}),
        tuple(Symptom(name, draw(st.sampled_from(("front", "rear", "")))) for name in complaints),
        draw(st.sampled_from(SKILLS)),
        draw(st.sampled_from(BUDGETS)),
    )


@st.composite
def wild_requests(draw: st.DrawFn) -> Dossier | None:
    """A document as chance has it, None where the engine refuses it."""
    sent = wild(Random(draw(st.integers(0, 2**32 - 1))))  # noqa: S311
    try:
        return asked_of(draw, sent)
    except EngineInputError:
        return None


def hold(dossier: Dossier) -> Draft:
    made = draft(dossier)
    assert draft(dossier) == made
    if made.stop or "yes" in dossier.stop_answers.values():
        assert made.stop
        assert made.changes == ()
    gate = assess(dossier).stands_at
    for change in made.changes:
        _hold_change(change, dossier, gate)
    _hold_together(made)
    back = apply(apply(dossier.case, made.changes), undo(made))
    assert back == dossier.case
    return made


def _hold_change(change: Change, dossier: Dossier, gate: str) -> None:
    steps = PROCEDURES[change.kind]
    assert (change.how, change.cautions, change.critical) == (steps.how, steps.cautions, steps.critical)
    assert change.why
    if change.kind in GEOMETRY:
        assert change.compromise or gate == "geometry"
    row = next((row for row in dossier.case.adjusters if row.key == change.adjuster), None)
    if row is None or change.target is None or change.start is None:
        return
    top = row.range_counted
    size = abs(change.target - change.start)
    if top is None or 0 <= change.start <= top:
        assert change.target >= 0
        assert top is None or change.target <= top
    if change.kind in GEOMETRY and row.unit == "mm":
        assert size <= 3
    if change.kind in DAMPERS and top:
        assert size <= max(0.15 * top, SMALLEST.get(row.unit, 1.0)) or not 0 <= change.start <= top
    smallest = SMALLEST.get(row.unit, 1.0)
    clipped = change.target in (0.0, top)
    legs = change.kind == "legs_even"
    assert clipped or legs or size / smallest == pytest.approx(round(size / smallest), abs=1e-6)


def _hold_together(made: Draft) -> None:
    keys = [change.adjuster for change in made.changes if change.adjuster]
    assert len(keys) == len(set(keys))
    own = [change for change in made.changes if not change.together]
    for end in ENDS:
        kinds = {change.kind for change in own if change.end == end}
        assert all(len(kinds & set(group)) <= 1 for group in ONE_OF)
    assert len({change.kind for change in own if change.kind in GEOMETRY}) <= 1
    for kind in {change.kind for change in own}:
        for end in ENDS:
            moves = {
                (change.target > change.start)
                for change in own
                if (change.kind, change.end) == (kind, end) and change.start is not None and change.target is not None
            }
            assert len(moves) <= 1 or kind == "legs_even"


def nearer(dossier: Dossier, made: Draft) -> int:
    """Require that preload brings each rider's sag no further from its band's middle; return how many were told."""
    rows = {row.key: row for row in dossier.case.adjusters}
    moved = [
        change
        for change in made.changes
        if change.kind == "preload" and change.target is not None and rows[change.adjuster].step_mm is not None
    ]
    if not moved:
        return 0
    try:
        after = what_if(dossier.case, [Wish(change.adjuster, to=change.target) for change in moved])
    except EngineInputError:
        return 0
    count = 0
    for end in {change.end for change in moved}:
        item = finding(assess(dossier).findings, "sag_rider_aboard", end)
        assert item is not None
        before, gain = dossier.derivation.get(item.key), after.difference.get(item.key)
        if before is None or gain is None or before.value is None or gain.value is None:
            continue
        middle = (item.target.low + item.target.high) / 2
        assert abs(before.value + gain.value - middle) <= abs(before.value - middle) + 1e-9
        count += 1
    return count


@SOME
@given(requests())
def test_a_draft_is_safe_small_and_goes_back(dossier: Dossier) -> None:
    nearer(dossier, hold(dossier))


@SOME
@given(wild_requests())
def test_a_draft_of_a_wild_document_is_too(dossier: Dossier | None) -> None:
    if dossier is not None:
        hold(dossier)


@pytest.mark.slow
@THOUSANDS
@given(requests())
def test_thousands_of_drafts_are_safe_small_and_go_back(dossier: Dossier) -> None:
    nearer(dossier, hold(dossier))


@pytest.mark.slow
@THOUSANDS
@given(wild_requests())
def test_thousands_of_drafts_of_wild_documents_are_too(dossier: Dossier | None) -> None:
    if dossier is not None:
        hold(dossier)
