"""Each rule fires where a tuner would want it to, and nothing else does its work when it is taken away."""

from dataclasses import replace

import pytest

from tests.judgement.build import dossier, knobs
from tests.judgement.cases import CASES
from tuning.engine.case import Reading
from tuning.engine.derivation import Check
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement import assess, draft
from tuning.judgement.model import Draft
from tuning.judgement.practice import Practice
from tuning.judgement.rulebook import RULES


def changes(made: Draft) -> list[tuple[str, str, float | None, float | None]]:
    return [(change.kind, change.adjuster, change.start, change.target) for change in made.changes]


@pytest.mark.parametrize("rule", [rule.id for rule in RULES])
def test_rule_proposes_what_a_tuner_would(rule: str) -> None:
    case, expected = CASES[rule]
    made = draft(case)
    assert changes(made) == expected
    assert {change.rule for change in made.changes} == {rule}


@pytest.mark.parametrize("rule", [rule.id for rule in RULES])
def test_case_changes_when_the_rule_is_taken_away(rule: str) -> None:
    case, _ = CASES[rule]
    rest = Practice(rules=tuple(row for row in RULES if row.id != rule))
    assert draft(case, rest).changes != draft(case).changes


@pytest.mark.parametrize("question", STOP_QUESTIONS)
def test_a_yes_at_the_stop_gate_stops_everything(question: str) -> None:
    made = draft(dossier({"sag_rider_aboard.front": 28}, stop={question: "yes"}))
    assert [said.id for said in made.stop] == [f"stop_{question}"]
    assert made.changes == ()


@pytest.mark.parametrize(("answer", "asked"), [("unsure", "ask_unsure"), ("", "ask_unanswered")])
def test_unsure_or_missing_is_a_question_not_a_pass(answer: str, asked: str) -> None:
    case = dossier({"sag_rider_aboard.front": 28}, stop={"leak": answer})
    assert assess(case).stands_at == "safe"
    made = draft(case)
    assert [(said.id, said.params) for said in made.questions] == [(asked, {"question": "leak"})]
    assert made.changes == ()


def test_safety_words_are_asked_about_unless_negated() -> None:
    told = draft(dossier(words="There is a knock from the head."))
    assert [(said.id, said.params["question"]) for said in told.questions] == [("ask_words", "play")]
    assert draft(dossier(words="No leaks. The lever is bent.")).questions[0].params == {"question": "damage"}
    assert draft(dossier(words="It has no leaks.")).questions == ()


def test_false_ring_is_read_again_and_nothing_rests_on_it() -> None:
    false_ring = Check("ring_false", "blocks", "front", ("deepest_normal.front",))
    case = dossier({"sag_rider_aboard.front": 28}, checks=(false_ring,))
    assert assess(case).stands_at == "trust"
    made = draft(case)
    assert made.changes == ()
    assert [(s.id, s.params) for s in made.questions] == [("ask_again", {"check": "ring_false", "end": "front"})]


def test_much_reserve_with_little_sag_is_preload_and_nothing_else() -> None:
    case = dossier({"sag_rider_aboard.front": 28, "reserve_normal.front": 50}, symptoms=("slow_turn_in", "pogo@rear"))
    made = draft(case)
    assert {change.kind for change in made.changes} == {"preload"}
    assert "reserve_much_sag_little" in [said.id for said in made.notes]


def test_spring_without_an_implied_rate_gets_no_number() -> None:
    case, _ = CASES["spring_stiffer"]
    assert "spring_no_number" in [said.id for said in draft(case).notes]


def test_uncertain_sag_does_not_buy_a_spring() -> None:
    # 40.5 ± 1 against 33–40 with all preload in: likely too much, not certainly.
    case = dossier({"sag_rider_aboard.front": 40.5}, adjusters=knobs(preload_front=15), budget="springs")
    made = draft(case)
    assert made.changes == ()
    assert [said.id for said in made.questions] == ["ask_decide"]


def test_geometry_compromise_says_that_it_gives_no_travel() -> None:
    made = draft(CASES["legs_down_instead_of_spring"][0])
    assert all(change.compromise for change in made.changes)
    assert "height_not_travel" in [said.id for said in made.notes]


def test_disagreeing_complaints_are_asked_about() -> None:
    made = draft(dossier(symptoms=("pogo@rear", "packs_down@rear")))
    assert made.changes == ()
    assert [said.id for said in made.questions] == ["ask_symptoms_disagree"]


def test_work_above_the_clients_skill_is_had_done() -> None:
    case, _ = CASES["reserve_oil"]
    assert draft(case).changes[0].have_it_done
    assert not draft(dossier(bottomed="front", skill="home_workshop")).changes[0].have_it_done


def test_preload_predicts_both_sags() -> None:
    # Five turns of 1 mm out of a fork: both sags grow by 5 mm.
    predicted = {item.key: item.value for item in draft(CASES["preload_less"][0]).predictions}
    assert predicted == {"sag_rider_aboard.front": pytest.approx(36.5), "sag_bike_alone.front": pytest.approx(29.0)}


def test_fork_position_predicts_rake_and_trail() -> None:
    # 3 mm up at −0.037° and −0.2 mm a millimetre: −0.111° and −0.6 mm.
    case = dossier({"ground_trail": 98, "ground_trail_per_mm_fork_position": -0.2}, symptoms=("slow_turn_in",))
    made = draft(case)
    note = next(said for said in made.notes if said.id == "trail_change")
    assert note.params == {"trail_mm": pytest.approx(-0.6), "rake_deg": pytest.approx(-0.111)}
    assert {item.key: item.value for item in made.predictions}["ground_trail"] == pytest.approx(97.4)


def test_clicks_on_fluid_of_unknown_age_ask_for_its_age() -> None:
    assert [said.id for said in draft(dossier(symptoms=("pogo@rear",))).questions] == ["ask_fluid_age"]
    told = dossier(symptoms=("pogo@rear",), answers={"fluid_age": "under_two_years"})
    assert draft(told).questions == ()


def test_legs_do_not_go_up_into_the_bodywork() -> None:
    # Gap 128 − stroke 120 − 3 up leaves 5 mm, less than the 8 wanted.
    gap = (Reading("bodywork_gap", 128, 2, "front"), Reading("stroke", 120, 1, "front"))
    made = draft(dossier(symptoms=("slow_turn_in",), readings=gap))
    assert made.changes == ()
    assert {said.id: said.params for said in made.notes}["clearance_short"] == {"clearance_mm": 5}


def test_a_step_of_unknown_size_is_one_turn_and_a_question() -> None:
    rows = tuple(replace(row, step_mm=None) if row.key == "rear.preload" else row for row in knobs())
    made = draft(dossier({"sag_rider_aboard.rear": 40}, adjusters=rows))
    assert changes(made) == [("preload", "rear.preload", 6.0, 7.0)]
    assert [said.id for said in made.questions] == ["ask_preload_step"]


def test_settle_test_that_bounces_firms_rebound_and_says_so() -> None:
    made = draft(dossier(answers={"settle.rear": "many_bounces", "fluid_age": "under_two_years"}))
    assert changes(made) == [("rebound", "rear.rebound", 10.0, 8.0)]
    assert [said.id for said in made.changes[0].why] == ["settles_bouncing"]


def test_compression_at_its_end_is_served_not_forced() -> None:
    made = draft(dossier(symptoms=("bottoms_bumps@rear",), adjusters=knobs(compression_rear=0)))
    assert [change.kind for change in made.changes] == ["service"]
    assert [(said.id, said.params["compression_share"]) for said in made.changes[0].why] == [
        ("compression_out_of_range", 0.0)
    ]


def test_preload_told_in_millimetres_needs_no_step() -> None:
    # 8.5 mm at the axle over a leverage of 2: 4.25 mm at the shock, set to the half millimetre.
    rows = tuple(replace(row, unit="mm", step_mm=None) if row.key == "rear.preload" else row for row in knobs())
    made = draft(dossier({"sag_rider_aboard.rear": 40}, adjusters=rows))
    assert changes(made) == [("preload", "rear.preload", 6.0, 10.0)]
    assert made.questions == ()
