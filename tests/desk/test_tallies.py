"""How often rules fired and what tuners made of it: each round once, moved with every draft and approval."""

import copy
from collections.abc import Callable
from typing import Any

import pytest
from django.core.management import call_command

from intake.models import SetupRequest, User
from tuning.desk import casefile, services, tallies
from tuning.desk.models import Recommendation, RuleTally
from tuning.judgement.causebook import KINDS

pytestmark = pytest.mark.slow


def counts() -> dict[str, tuple[int, ...]]:
    return {
        row.rule: tuple(getattr(row, count) for count in tallies.COUNTS)
        for row in RuleTally.objects.all()
        if any(getattr(row, count) for count in tallies.COUNTS)
    }


def change(key: str, rule: str = "preload_more", **more: Any) -> dict[str, Any]:
    return {"key": key, "rule": rule, "target": 1.0, "text": {"title": ""}} | more


def test_kept_edited_and_dropped() -> None:
    before = {"changes": [change("a"), change("b", "legs_even"), change("c", "service_fluid"), change("own", "")]}
    after = {"changes": [change("b", "legs_even", target=2.0), change("a"), change("new", "")]}
    assert tallies.outcomes(before, after) == {
        "preload_more": "kept",
        "legs_even": "edited",
        "service_fluid": "dropped",
    }


@pytest.mark.parametrize(
    ("after", "became"),
    [
        ([change("l"), change("r")], "kept"),
        ([change("l")], "edited"),
        ([change("l"), change("r", target=3.0)], "edited"),
        ([change("l"), change("r", text={"title": "Mine"})], "edited"),
        ([], "dropped"),
    ],
)
def test_both_legs_of_one_rule_are_one_proposal(after: list[dict[str, Any]], became: str) -> None:
    before = {"changes": [change("l"), change("r")]}
    assert tallies.outcomes(before, {"changes": after}) == {"preload_more": became}


def test_a_round_counts_once_by_its_last_version() -> None:
    first = tallies.Version(True, {"changes": [change("a")]}, {"changes": []}, ["dive_oil_low"])
    second = tallies.Version(False, {"changes": [change("a")]}, {"changes": [change("a")]}, ["dive_oil_low"])
    told = tallies.of_round([first, second])
    assert told["draft.preload_more", "fired"] == told[tallies.ROUNDS, "fired"] == 1
    assert told["draft.preload_more", "dropped"] == 1
    assert told["cause.dive_oil_low", "fired"] == told["kind.oil_low", "fired"] == 1
    assert tallies.of_round([]) == {}


def test_drafting_stores_and_counts_what_fired(draft: Recommendation) -> None:
    assert draft.causes
    told = counts()
    assert told["rounds"] == (1, 0, 0, 0)
    assert {key for key in told if key.startswith("cause.")} == {f"cause.{rule}" for rule in draft.causes}
    assert {key.removeprefix("kind.") for key in told if key.startswith("kind.")} <= set(KINDS)
    proposed = {f"draft.{one['rule']}" for one in draft.proposed["changes"]}
    assert proposed
    assert {key for key in told if key.startswith("draft.")} == proposed


def test_approval_and_correction_move_the_counts(tuner: User, draft: Recommendation) -> None:
    rule = f"draft.{draft.proposed['changes'][0]['rule']}"
    same = [one for one in draft.proposed["changes"] if f"draft.{one['rule']}" == rule]
    assert len(same) == len(draft.proposed["changes"])
    services.approve(draft, draft.lock, tuner)
    assert counts()[rule] == (1, 1, 0, 0)
    fresh = services.correct(draft, tuner)
    assert counts()[rule] == (1, 1, 0, 0)
    edited = copy.deepcopy(fresh.content)
    edited["changes"][0]["text"]["why"] = "In my own words."
    services.save_draft(fresh, edited, fresh.lock, tuner)
    services.approve(fresh, fresh.lock, tuner)
    assert counts()[rule] == (1, 0, 1, 0)
    assert counts()["rounds"] == (1, 0, 0, 0)


def test_counting_anew_comes_to_the_same(
    tuner: User, make: Callable[..., SetupRequest], capsys: pytest.CaptureFixture[str]
) -> None:
    for at in range(3):
        draft = services.open_draft(casefile.sent_rounds(make())[0], tuner)
        if at:
            services.approve(draft, draft.lock, tuner)
    told = counts()
    RuleTally.objects.filter(rule="rounds").update(fired=99)
    RuleTally.objects.create(rule="draft.renamed", fired=7)
    call_command("tally_rules")
    assert capsys.readouterr().out == "3 rounds counted\n"
    assert counts() == told
    assert not RuleTally.objects.filter(rule="draft.renamed").exists()


def test_counting_costs_the_same_however_much_was_drafted(
    tuner: User, make: Callable[..., SetupRequest], django_assert_max_num_queries: Any
) -> None:
    drafts = [services.open_draft(casefile.sent_rounds(make())[0], tuner) for _ in range(3)]
    # The round's versions; rows made where there are none; the rows; one update.
    for draft in drafts:
        with django_assert_max_num_queries(8):
            tallies.drafted(draft)


def test_an_approval_that_fails_counts_nothing(tuner: User, draft: Recommendation) -> None:
    told = counts()
    with pytest.raises(services.StaleDraft):
        services.approve(draft, draft.lock + 1, tuner)
    assert counts() == told
