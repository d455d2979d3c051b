"""The causes on the case page and over the API: in words, ranked, with their evidence, and what would decide."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake.choices import Step
from intake.models import SetupRequest, User
from intake.presentation import UnitPrefs
from intake.steps import PAGES, At
from intake.steps.base import answers, measures
from tests.judgement.bikes import bike, findings
from tests.judgement.judged import JUDGED
from tuning.desk import causes
from tuning.judgement.causebook import DECIDERS
from tuning.judgement.causes import rank
from tuning.judgement.model import Cause

METRIC = UnitPrefs.metric()
PAIR = [{"id": "slow_turn_in", "severity": 2}, {"id": "front_vague", "severity": 2}]


def ranked(name: str) -> tuple[causes.Shown, ...]:
    judged = JUDGED[name]
    return causes.shown(rank(judged.case, findings(judged.case)), METRIC)


def page_of(desk: Client, request: SetupRequest) -> str:
    return desk.get(reverse("desk:case", args=[request.reference])).content.decode()


@pytest.mark.parametrize("name", sorted(JUDGED))
def test_every_judged_case_is_shown_whole(name: str) -> None:
    told = ranked(name)
    entries = causes.entries(told)
    beside = [one.rank for entry in entries for one in entry.causes]
    assert sorted(beside) == [one.rank for one in told] == list(range(1, len(told) + 1))
    opened, folded = causes.folded(entries)
    assert [*opened, *folded] == entries
    assert {one.rank for entry in opened for one in entry.causes} >= set(range(1, min(5, len(told)) + 1))
    for one in told:
        assert one.name
        assert one.standing
        assert 1 <= one.level <= causes.FULL
        assert sum(full for _x, full in one.bar) == one.level
        assert len([voice for said in one.statements for voice in said.voices]) == len(one.cause.rules)
    levels = [one.level for one in told]
    assert levels == sorted(levels, reverse=True)


def test_standing_falls_with_the_distance_to_the_first() -> None:
    # A weak clause is 0.4, a strong one 1.4 (docs/judgement.md).
    assert causes.standing_of(1, 0.0) == (5, "most likely")
    assert [causes.standing_of(2, behind)[0] for behind in (0.0, 0.4, 0.41, 1.4, 1.41, 2.8, 2.81, 9.0)] == [
        4, 4, 3, 3, 2, 2, 1, 1,
    ]  # fmt: skip


def one_of(key: str, symptoms: tuple[str, ...], opposed: tuple[str, ...]) -> causes.Shown:
    name, _, end = key.partition(".")
    cause = Cause(name, end, 1.0, 1.0, (), (), (), (), symptoms, (), opposed)
    return causes.shown((cause, cause), METRIC)[0] if not opposed else causes.Shown(
        cause, 1, key, 1, "", False, (), (), (), (), opposed
    )  # fmt: skip


def test_opposites_stand_side_by_side_and_say_whether_print_or_the_complaints_disagree() -> None:
    low, high = "rebound_low.rear", "rebound_high.rear"
    for symptoms, disagree in (((("pogo",), ("pogo",)), True), ((("pogo",), ("packs_down",)), False)):
        pair = (one_of(low, symptoms[0], (high,)), one_of(high, symptoms[1], (low,)))
        (entry,) = causes.entries(pair)
        assert [one.cause.key for one in entry.causes] == [low, high]
        assert entry.disagree is disagree


def test_page_shows_ranked_causes_with_evidence_values_and_sources(desk: Client, setup_request: SetupRequest) -> None:
    page = page_of(desk, setup_request)
    # From the example: 26 mm and 44 mm of front sag, a fork that dives.
    first = page.split('<article class="cause"')[1]
    assert "most likely" in first
    assert "would explain: dives a lot under braking" in " ".join(first.split()).replace("</span>", "")
    assert "44\u00a0mm of sag with the rider aboard, more than wanted" in page
    assert "published guides (2)" in page
    assert reverse("desk:rules") + "?rule=cause.dive_" in page
    assert "<script" not in page


def test_what_is_to_be_inspected_is_said_before_all_else(desk: Client, make: Callable[..., SetupRequest]) -> None:
    page = page_of(desk, make(symptoms=[{"id": "slow_turn_in", "severity": 2}]))
    line = page.split('<p class="inspect">')[1].split("</p>")[0]
    assert "wrong tyre pressure" in line
    assert page.index('<p class="inspect">') < page.index('<article class="cause"')


def test_without_complaints_no_cause_is_looked_for(desk: Client, make: Callable[..., SetupRequest]) -> None:
    page = page_of(desk, make(symptoms=[]))
    assert "No complaint was ticked" in page
    assert '<article class="cause"' not in page


def decisions(desk: Client, make: Callable[..., SetupRequest]) -> tuple[SetupRequest, Any]:
    request = make(symptoms=[{"id": "front_vague", "severity": 2}])
    decision = desk.get(reverse("desk:case", args=[request.reference])).context["decision"]
    assert decision is not None
    return request, decision


def test_the_reading_that_decides_is_asked_of_the_client_with_one_press(
    desk: Client, make: Callable[..., SetupRequest]
) -> None:
    request, decision = decisions(desk, make)
    page = page_of(desk, request)
    assert "Ask the client for just this" in page
    assert "csrfmiddlewaretoken" in page.split('<div class="notice decides">')[1].split("</div>")[0]
    desk.post(
        reverse("desk:say", args=[request.reference]),
        {"kind": "question", "step": decision.step, "body": decision.question},
    )
    request.refresh_from_db()
    assert request.state == "question"
    message = request.messages.get()
    assert (message.body, message.step) == (decision.question, decision.step)
    assert decision.text in message.body
    page = page_of(desk, request)
    assert "Ask the client for just this" not in page
    assert '<span class="chip ok">asked</span>' in page


def test_nothing_is_asked_of_a_request_that_may_not_be_asked(desk: Client, make: Callable[..., SetupRequest]) -> None:
    request, _decision = decisions(desk, make)
    SetupRequest.objects.filter(pk=request.pk).update(state="settled")
    assert "Ask the client for just this" not in page_of(desk, request)


def test_a_later_round_leads_only_to_steps_it_has(setup_request: SetupRequest) -> None:
    assert causes.step_for("tyre_pressure", setup_request) == "bike"
    setup_request.current_round = 2
    assert causes.step_for("tyre_pressure", setup_request) == ""
    assert causes.step_for("settle", setup_request) == "travel"
    assert causes.step_for("rebound_trial", setup_request) == ""


def test_each_step_asks_for_what_it_is_said_to_ask_for(setup_request: SetupRequest) -> None:
    at = At(setup_request, setup_request.round())
    asked: dict[str, set[str]] = {}
    for step in Step.values:
        specs = PAGES[step].specs(at)
        asked[step] = {spec.quantity for spec in measures(specs)} | {spec.question for spec in answers(specs)}
    known = {"reserve": "deepest_normal", "ride": "ride_hardness", "settle": "settle", "fluid": "fluid_age",
             "tyre_pressure": "tyre_pressure", "tyre_age": "tyre_age", "trail": "ground_trail",
             "gross": "gross_mass_limit", "rider_sag": "length_rider_aboard",
             "alone_sag": "length_bike_alone", "play": "play", "leak": "leak", "damage": "damage",
             "crash": "recent_crash", "worn_tyres": "tyres", "lamp": "warning_lamp", "wobble": "wobble"}  # fmt: skip
    for sign, what in known.items():
        assert what in asked[causes.STEP_OF_SIGN[sign]], sign
    trials = {sign for sign in DECIDERS if sign.endswith("_trial")}
    assert DECIDERS - trials - {"levelling"} <= set(causes.STEP_OF_SIGN)


def test_a_change_to_be_tried_is_not_asked_for_as_a_reading(setup_request: SetupRequest) -> None:
    for name in sorted(JUDGED):
        told = ranked(name)
        decision = causes.decision(told, setup_request)
        if decision and decision.decider.ask.startswith("trial."):
            assert decision.question == ""
            return
    pytest.fail("no judged case is decided by a trial")


def test_api_answers_the_same_as_ids_and_words(
    desk: Client, tuner: User, make: Callable[..., SetupRequest], django_assert_max_num_queries: Any
) -> None:
    request, decision = decisions(desk, make)
    address = f"/api/v1/desk/requests/{request.reference}/causes/"
    assert Client().get(address).status_code == 401
    with django_assert_max_num_queries(20):
        told = desk.get(address).json()
    file = desk.get(reverse("desk:case", args=[request.reference])).context["file"]
    assert [row["key"] for row in told["causes"]] == [one.cause.key for one in file.causes]
    assert [row["name"] for row in told["causes"]] == [one.name for one in file.causes]
    assert [row["standing"] for row in told["causes"]] == [one.level for one in file.causes]
    spoken = [item["text"] for row in told["causes"] for item in row["evidence_for"]]
    assert spoken == [item.text for one in file.causes for item in one.evidence_for]
    assert told["decide"]["text"] == decision.text
    assert told["decide"]["between"] == [row["key"] for row in told["causes"][:2]]
    assert told["decide"]["step"] == decision.step


def test_api_refuses_what_is_unknown(desk: Client) -> None:
    assert desk.get("/api/v1/desk/requests/FP-0000-00/causes/").status_code == 404


def test_a_bike_without_trouble_has_no_causes() -> None:
    assert causes.shown(rank(bike(), findings(bike())), METRIC) == ()
    assert causes.entries(()) == []
