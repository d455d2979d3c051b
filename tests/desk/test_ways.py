"""Options and the tree of steps at the desk: chosen, dropped, reordered, saved, frozen, read over the API."""

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake.models import SetupRequest, User
from tests.desk.test_draft import address, form_of
from tuning.desk import casefile, services, ways
from tuning.desk.models import Recommendation
from tuning.judgement.rulebook import PROCEDURES

Make = Callable[..., SetupRequest]


def example(setup: Any, **at: str) -> dict[str, Any]:
    """Return the parts of the example's document that put its sags, or other lengths, right."""
    document = copy.deepcopy(setup)
    for row in document["readings"]:
        key = f"{row['quantity']}_{row.get('end', '')}"
        row["value"] = at.get(key, row["value"])
    return document


@pytest.fixture
def document() -> dict[str, Any]:
    from tests.desk.conftest import EXAMPLE

    found: dict[str, Any] = json.loads(EXAMPLE.read_text(encoding="utf-8"))
    return found


@pytest.fixture
def bouncing(make: Make, document: dict[str, Any], tuner: User) -> Recommendation:
    """A bike with its sags right that bounces behind and runs wide: three steps."""
    right = example(
        document, length_rider_aboard_front="92", length_rider_aboard_rear="581", deepest_normal_front="98"
    )
    right["symptoms"] = [
        {"id": "pogo", "end": "rear", "severity": 3},
        {"id": "runs_wide_exit", "end": "rear", "severity": 2},
    ]
    right["answers"] = [
        {**row, "value": "many_bounces"} if (row["question"], row.get("end")) == ("settle", "rear") else row
        for row in right["answers"]
    ]
    right["adjusters"].append({"key": "rear.compression", "unit": "click", "range_counted": "20", "found": "10"})
    return services.open_draft(casefile.sent_rounds(make(**right))[0], tuner)


@pytest.fixture
def all_in(make: Make, document: dict[str, Any], tuner: User) -> Recommendation:
    """A fork with its preload all in that still sinks too far: a spring, a spacer, or the legs."""
    told = copy.deepcopy(document)
    for row in told["adjusters"]:
        if row["key"].startswith("front.preload"):
            row["found"] = "15"
    return services.open_draft(casefile.sent_rounds(make(**told))[0], tuner)


def kinds(content: dict[str, Any]) -> list[str]:
    return [one["kind"] for one in content["options"]]


def test_a_draft_holds_its_options_and_which_one_it_is(all_in: Recommendation) -> None:
    content = all_in.content
    assert content["schema"] == 2
    assert len(kinds(content)) >= 2
    assert all(one["gives_up"] for one in content["options"][1:])
    assert any(ways.is_drafted(content, one) for one in content["options"])


def test_an_option_is_asked_about_before_it_is_loaded(desk: Client, all_in: Recommendation) -> None:
    other = next(one for one in all_in.content["options"] if not ways.is_drafted(all_in.content, one))
    first = all_in.content["changes"][0]["key"]
    fields = form_of(all_in, tuner_note="typed and kept", **{f"{first}:title": "Mine"})
    asked = desk.post(address(all_in), fields | {"action": f"option:{other['kind']}"})
    page = asked.content.decode()
    assert asked.status_code == 200
    assert f'value="take:{other["kind"]}"' in page
    assert "typed and kept" in page
    assert 'value="Mine"' in page
    assert Recommendation.objects.get(pk=all_in.pk).lock == all_in.lock
    assert desk.post(address(all_in), fields | {"action": f"take:{other['kind']}"}).status_code == 302
    all_in.refresh_from_db()
    content = all_in.content
    assert [change["key"] for change in content["changes"]] == [change["key"] for change in other["changes"]]
    assert content["tuner_note"] == "typed and kept"
    # What it took the place of is set aside with what was typed, and comes back whole.
    aside = {change["key"]: change for change in content["set_aside"]}
    kept = aside.get(first) or next(change for change in content["changes"] if change["key"] == first)
    assert kept["text"]["title"] == "Mine"
    assert {said["id"] for said in other["gives_up"]} <= {said["id"] for said in content["notes"]}
    for key in aside:
        assert desk.post(address(all_in), form_of(all_in, action=f"back:{key}")).status_code == 302
        all_in.refresh_from_db()
    assert all_in.content["set_aside"] == []
    assert set(aside) <= {change["key"] for change in all_in.content["changes"]}


def test_notes_of_one_option_do_not_stay_with_the_next(desk: Client, all_in: Recommendation) -> None:
    for kind in kinds(all_in.content):
        desk.post(address(all_in), form_of(all_in, action=f"take:{kind}"))
        all_in.refresh_from_db()
        option = ways.option_of(all_in.content, kind)
        assert option is not None
        told = [said for said in all_in.content["notes"] if said["id"].startswith("gives_")]
        assert told == option["gives_up"]


def test_the_tree_is_drafted_dropped_reordered_and_had_back(desk: Client, bouncing: Recommendation) -> None:
    def steps() -> list[str]:
        bouncing.refresh_from_db()
        return [step["id"] for step in (bouncing.content["tree"] or {"steps": []})["steps"]]

    assert steps() == ["first", "further", "other.compression.rear"]
    desk.post(address(bouncing), form_of(bouncing, action="step_up:other.compression.rear"))
    assert steps() == ["first", "other.compression.rear", "further"]
    desk.post(address(bouncing), form_of(bouncing, action="step_drop:further"))
    assert steps() == ["first", "other.compression.rear"]
    # With the step further gone, what helped stays and the next likely thing comes on top.
    better = bouncing.content["tree"]["steps"][0]["branches"][1]
    assert (better["condition"]["id"], better["to"]) == ("tree_better", "other.compression.rear")
    # The first step is the draft itself; it is neither dropped nor moved.
    desk.post(address(bouncing), form_of(bouncing, action="step_drop:first"))
    desk.post(address(bouncing), form_of(bouncing, action="step_up:first"))
    assert steps() == ["first", "other.compression.rear"]
    desk.post(address(bouncing), form_of(bouncing, action="step_drop:other.compression.rear"))
    assert steps() == []
    desk.post(address(bouncing), form_of(bouncing))
    assert steps() == []
    desk.post(address(bouncing), form_of(bouncing, action="steps"))
    assert steps() == ["first", "further", "other.compression.rear"]


def test_the_steps_follow_the_numbers_of_the_draft(desk: Client, bouncing: Recommendation) -> None:
    key = bouncing.content["changes"][0]["key"]
    desk.post(address(bouncing), form_of(bouncing, **{f"{key}:target": "7"}))
    bouncing.refresh_from_db()
    further = bouncing.content["tree"]["changes"][0]
    # From 11 to 7 is four clicks, so half of that is two.
    assert (further["start"], further["target"]) == (7.0, 5.0)


def test_the_frozen_tree_is_in_words_with_cautions_and_leads_somewhere(bouncing: Recommendation, tuner: User) -> None:
    document = services.approve(bouncing, bouncing.lock, tuner).content()
    assert document["schema"] == 2
    first, further, other = document["tree"]
    assert [step["number"] for step in document["tree"]] == [1, 2, 3]
    assert [row["then"] for row in first["branches"]] == [
        "leave it so, stop and report",
        "leave it so and go on with step 2",
        "put step 1 back to where it was, and go on with step 3",
        "put step 1 back to where it was, stop and report",
    ]
    for step in (further, other):
        assert step["stop_text"]
        for change in step["changes"]:
            assert change["to_text"]
            assert {row["text"] for row in change["caution_text"]}
            assert change["cautions"] == list(PROCEDURES[change["kind"]].cautions)
    assert "%(" not in json.dumps(document["tree"])


def test_a_draft_of_the_first_schema_stays_readable(desk: Client, draft: Recommendation, tuner: User) -> None:
    old = {key: value for key, value in draft.content.items() if key not in ("options", "tree", "set_aside")}
    Recommendation.objects.filter(pk=draft.pk).update(content={**old, "schema": 1}, proposed={**old, "schema": 1})
    draft.refresh_from_db()
    assert desk.get(address(draft)).status_code == 200
    assert desk.post(address(draft), form_of(draft, tuner_note="Slowly.")).status_code == 302
    draft.refresh_from_db()
    assert (draft.content["schema"], draft.content["options"], draft.content["tree"]) == (2, [], None)
    assert services.approve(draft, draft.lock, tuner).content()["tree"] == []


def test_the_api_carries_both_and_trusts_neither(desk: Client, bouncing: Recommendation) -> None:
    reference = bouncing.round.request.reference
    url = reverse("desk-api:draft", args=[reference])
    told = desk.get(url).json()
    content = told["content"]
    assert [step["id"] for step in content["tree"]["steps"]] == ["first", "further", "other.compression.rear"]
    assert content["options"][0]["kind"] == "adjusters"
    # Numbers that are sent for later steps are worked out anew; the steps that are left, and their order, are read.
    content["tree"]["steps"] = [content["tree"]["steps"][0], content["tree"]["steps"][2]]
    for change in content["tree"]["changes"]:
        change["target"] = 99.0
        change["cautions"] = []
    content["options"] = []
    saved = desk.put(url, {"lock": told["lock"], "content": content}, content_type="application/json")
    assert saved.status_code == 200, saved.content
    after = saved.json()["content"]
    assert [step["id"] for step in after["tree"]["steps"]] == ["first", "other.compression.rear"]
    assert [change["target"] for change in after["tree"]["changes"]] == [8.0]
    assert after["tree"]["changes"][0]["cautions"]
    assert after["options"]
    # A program that knows nothing of trees leaves it as it is.
    plain = {key: value for key, value in after.items() if key not in ("tree", "options", "set_aside")}
    again = desk.put(url, {"lock": told["lock"] + 1, "content": plain}, content_type="application/json")
    assert [step["id"] for step in again.json()["content"]["tree"]["steps"]] == ["first", "other.compression.rear"]
