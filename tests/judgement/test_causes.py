"""The causes that are listed, their order, and what spoke, held to what print and practice say."""

import time
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.judgement.bikes import Judged, bike, findings, left, sag, spoken
from tests.judgement.build import dossier
from tests.judgement.complaints import COMPLAINTS
from tests.judgement.judged import JUDGED
from tuning.engine.case import DISCIPLINES
from tuning.engine.vocabulary import SYMPTOM_IDS
from tuning.judgement import draft
from tuning.judgement.causebook import CAUSE_RULES, EVIDENCE, KINDS, STATEMENTS, CauseRule, without
from tuning.judgement.causes import rank
from tuning.judgement.model import Cause, Dossier
from tuning.judgement.moves import tried_by
from tuning.judgement.signs import Seen, Signs, place, read_signs

HOLDERS = (*KINDS.values(), *CAUSE_RULES)
NAMES = [f"{symptom}@{end} {'/'.join(what.values())}" for symptom, end, what, _ in COMPLAINTS]


def causes(case: Dossier, rules: tuple[CauseRule, ...] = CAUSE_RULES) -> dict[str, Cause]:
    return {cause.key: cause for cause in rank(case, findings(case), rules)}


def complaint_fits(at: int, rules: tuple[CauseRule, ...] = CAUSE_RULES) -> bool:
    symptom, end, what, expected = COMPLAINTS[at]
    return set(causes(bike(f"{symptom}@{end}", **what), rules)) == set(expected.split())  # type: ignore[arg-type]


def judged_faults(judged: Judged) -> list[str]:
    """Return where the ranking is not what a tuner would say."""
    found = causes(judged.case)
    order = list(found)
    faults = [] if order[:1] == [judged.first] else [f"first is {order[:1]}"]
    places = [order.index(key) if key in found else -1 for key in judged.order]
    if -1 in places or places != sorted(places):
        faults.append(f"order is {[(key, round(found[key].score, 2)) for key in order]}")
    for key, wanted in judged.speaks.items():
        missing = set(wanted) - spoken(found[key]) if key in found else set(wanted)
        faults += [f"{key} lacks {sorted(missing)}: {sorted(spoken(found[key]))}"] if missing else []
    decide = found[order[0]].decide
    if judged.decide and (decide is None or decide.ask != judged.decide):
        faults.append(f"decided by {decide}")
    return faults + [f"{key} is listed" for key in judged.absent if key in found]


@pytest.mark.parametrize("at", range(len(COMPLAINTS)), ids=NAMES)
def test_every_cause_that_print_names_is_listed_and_no_other(at: int) -> None:
    symptom, end, what, expected = COMPLAINTS[at]
    assert set(causes(bike(f"{symptom}@{end}", **what))) == set(expected.split())  # type: ignore[arg-type]


@pytest.mark.parametrize("name", JUDGED)
def test_judged_as_a_tuner_would(name: str) -> None:
    assert judged_faults(JUDGED[name]) == []


def test_every_complaint_has_a_case() -> None:
    assert {symptom for symptom, *_ in COMPLAINTS} == SYMPTOM_IDS


def test_taking_any_one_rule_away_fails_a_case() -> None:
    idle = []
    for rule in CAUSE_RULES:
        rest = without(CAUSE_RULES, rule.id)
        about = [at for at, row in enumerate(COMPLAINTS) if row[0] in rule.symptoms]
        if all(complaint_fits(at, rest) for at in about):
            idle.append(rule.id)
    assert idle == []


def test_every_clause_speaks_when_its_sign_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each state that a clause names is shown to a complaint that its cause may explain: the clause must speak."""
    due = {(held.id, clause, state) for held in HOLDERS for clause in held.clauses for state in clause.states}
    for symptom, end, what, _ in COMPLAINTS:
        case = bike(f"{symptom}@{end}", **what)  # type: ignore[arg-type]
        found = findings(case)
        signs = read_signs(case, found)
        for cause in rank(case, found):
            for by, clause, state in [item for item in due if item[0] in (*cause.rules, cause.id)]:
                shown = forced(signs, clause.ref, cause.end, state)
                monkeypatch.setattr("tuning.judgement.causes.read_signs", lambda *_, shown=shown: shown)
                again = next((item for item in rank(case, found) if item.key == cause.key), cause)
                said = {(item.by, item.state, item.weight) for item in (*again.evidence_for, *again.evidence_against)}
                if (by, state, clause.weight) in said:
                    due.discard((by, clause, state))
        monkeypatch.undo()
    assert due == set()


def forced(signs: Signs, ref: str, end: str, state: str) -> Signs:
    """Return the signs with one of them showing ``state``."""
    where, name = place(ref, end)
    if name.startswith("felt."):
        symptom = name.removeprefix("felt.")
        others = {(known, spot) for known, spot in signs.felt if known != symptom}
        return replace(signs, felt=frozenset(others | ({(symptom, where)} if state == "yes" else set())))
    return replace(signs, seen=dict(signs.seen) | {(where, name): Seen(state)})


def test_disagreement_in_print_is_shown_both_ways() -> None:
    found = causes(bike("runs_wide_exit@rear"))
    assert found["rebound_high.rear"].opposed_by == ("rebound_low.rear",)
    assert found["rebound_low.rear"].opposed_by == ("rebound_high.rear",)
    assert found["rebound_low.rear"].sources == ("published guides (4)",)


def test_the_score_is_the_sum_of_its_parts() -> None:
    # Fair 0.8 and four voices ½ ln 4 = 0.693, clearly felt; the settle test is strong, 1.4.
    held = causes(bike("runs_wide_exit@rear", answers={"settle.rear": "slow"}))["rebound_high.rear"]
    assert held.prior == pytest.approx(1.493, abs=1e-3)
    assert held.score == pytest.approx(2.893, abs=1e-3)
    assert [(item.said.id, item.weight, item.by) for item in held.evidence_for] == [
        ("settle_slow", 1.4, "rebound_high")
    ]


def test_a_bad_complaint_weighs_more_than_a_slight_one() -> None:
    # ln(3/2) − ln(1/2) = ln 3.
    bad, slight = (causes(bike("pogo@rear", severity=s))["rebound_low.rear"].score for s in (3, 1))
    assert bad - slight == pytest.approx(1.0986, abs=1e-4)


def test_evidence_carries_the_number_that_spoke() -> None:
    found = causes(bike("rear_squats@rear", values=sag(rear=42)))["preload_low.rear"]
    said = next(item.said for item in found.evidence_for if item.sign == "rider_sag")
    assert said.params == {"end": "rear", "sag_mm": 42}


def test_a_rule_speaks_before_its_kind() -> None:
    # Too little air is a strong sign of wrong pressure in general, and strong against it for a knock.
    found = causes(
        bike("harsh_single@rear", checks=JUDGED["harsh, and the tyre is soft: not the tyre"].case.derivation.checks)
    )
    against = found["tyre_pressure.rear"].evidence_against
    assert [(item.weight, item.by) for item in against] == [(-1.4, "sharp_tyre")]


def test_what_is_unknown_says_nothing() -> None:
    # Neither sag nor ring was read at the rear: no sag, rate, reserve or attitude speaks.
    gone = tuple(
        f"{name}{share}.rear"
        for name in ("sag_bike_alone", "sag_rider_aboard", "reserve_normal")
        for share in ("", "_share")
    )
    for cause in causes(bike("bottoms_bumps@rear", drop=gone)).values():
        signs = {item.sign for item in (*cause.evidence_for, *cause.evidence_against) if item.end == "rear"}
        assert not signs & {"rider_sag", "alone_sag", "rate", "reserve"}
        assert "attitude" not in {item.sign for item in (*cause.evidence_for, *cause.evidence_against)}


def test_an_unread_sag_is_what_would_decide() -> None:
    # Too little preload or a soft spring: the pair of sags tells, and of the pair the one with the rider is missing.
    case = bike("rear_squats@rear", drop=("sag_rider_aboard.rear", "sag_rider_aboard_share.rear"))
    first = rank(case, findings(case))[0]
    assert first.decide is not None
    assert first.decide.between == ("preload_low.rear", "spring_soft.rear")
    assert (first.decide.sign, first.decide.ask) == ("rate", "length_rider_aboard.rear")
    assert first.decide.turns == ("soft",)


def test_nothing_unknown_means_nothing_would_decide() -> None:
    # Fresh oil puts service at 1.15 − 0.8; rebound leads by 1.4 + 1.4, and 1.4 back is the most a sign could take.
    case = bike("pogo@rear", answers={"settle.rear": "many_bounces", "fluid_age": "under_two_years"})
    assert all(cause.decide is None for cause in rank(case, findings(case)))


def test_what_would_decide_stands_at_the_first_two() -> None:
    listed = rank(*(case := bike("rear_kicks@rear"), findings(case)))
    assert listed[0].decide == listed[1].decide
    assert listed[0].decide is not None
    # Each way its clauses speak for the one and against the other: (1.4 + 1.4) − (−1.4 − 1.4).
    assert listed[0].decide.swing == pytest.approx(5.6)
    assert all(cause.decide is None for cause in listed[2:])


def test_what_a_round_tried_is_told_by_the_way_the_damping_went() -> None:
    # Counted out from closed, 10 to 8 is firmer; both legs go alike and count as one change.
    made = draft(dossier(symptoms=("pogo@rear",), answers={"fluid_age": "under_two_years"}))
    assert tried_by(made.changes, bike().case) == {"rear.rebound": "more"}
    made = draft(dossier({"sag_rider_aboard.front": 31.5}))
    assert tried_by(made.changes, bike().case) == {"front.preload": "less"}
    # Two things at once: the outcome says nothing of either.
    both = draft(dossier({"sag_rider_aboard.front": 31.5, "sag_rider_aboard.rear": 40}))
    assert {change.end for change in both.changes} == {"front", "rear"}
    assert tried_by(both.changes, bike().case) == {}


def test_no_complaint_no_cause() -> None:
    case = bike(values=left(front=60))
    assert rank(case, findings(case)) == ()


def test_the_end_where_it_is_felt_counts() -> None:
    assert {cause.end for cause in causes(bike("pogo@front")).values()} == {"front"}
    assert {cause.end for cause in causes(bike("pogo")).values()} == {"front", "rear"}


@given(
    st.lists(st.sampled_from(sorted(SYMPTOM_IDS)), min_size=1, max_size=6, unique=True),
    st.sampled_from(DISCIPLINES),
    st.sampled_from(("coil", "coil_split", "air", "semi_active")),
    st.sampled_from(("linkage", "direct", "twin_shock", "cantilever", "semi_active")),
    st.sampled_from(("solo", "two_up", "solo_luggage")),
    st.floats(0, 80),
)
def test_whatever_is_told_is_ranked_alike_twice(
    told: list[str], discipline: str, front: str, rear: str, load: str, rider: float
) -> None:
    case = bike(*told, discipline=discipline, front=front, rear=rear, load=load, values=sag(discipline, front=rider))
    listed = rank(case, findings(case))
    assert listed == rank(case, findings(case))
    scores = [round(cause.score, 6) for cause in listed]
    assert scores == sorted(scores, reverse=True)
    for cause in listed:
        assert cause.sources
        assert cause.symptoms
        assert {said.id for said in cause.statements} <= set(STATEMENTS)
        parts = sum(item.weight for item in (*cause.evidence_for, *cause.evidence_against))
        assert cause.score == pytest.approx(cause.prior + parts)
        for item in (*cause.evidence_for, *cause.evidence_against):
            assert set(item.said.params) <= set(EVIDENCE[item.said.id])


def test_ranking_answers_within_five_milliseconds() -> None:
    case = bike("runs_wide_exit@rear", "harsh_single@front", "pogo@rear", "headshake_exit@front", "brake_dive@front")
    found = findings(case)
    best = min(_seconds(case, found) for _ in range(20))
    assert best < 0.005


def _seconds(case: Dossier, found: object) -> float:
    start = time.perf_counter()
    rank(case, found)  # type: ignore[arg-type]
    return time.perf_counter() - start
