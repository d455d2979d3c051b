"""The page of all rules: complete, in words, filtered, paged, and with what became of each at the desk."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from intake.models import SetupRequest, User
from tuning.desk import practice, rule_words, rulelist
from tuning.desk.models import Recommendation, RuleTally
from tuning.judgement.causebook import CAUSE_RULES, KINDS
from tuning.judgement.followbook import FIGHTS, FOLLOWS, TOGETHER
from tuning.judgement.model import VERDICTS
from tuning.judgement.roundbook import DOES, ROUND_RULES
from tuning.judgement.rulebook import FACTS, RULES
from tuning.judgement.waybook import WAYS

pytestmark = pytest.mark.slow

PLACE = "/desk/rules/"
ALL = len(RULES) + len(ROUND_RULES) + len(CAUSE_RULES) + len(KINDS)
ALL += len(WAYS) + len(FOLLOWS) + len(FIGHTS) + len(TOGETHER)


def keys(answer: Any) -> list[str]:
    return [row.rule.key for row in answer.context["page"].rows]


def test_words_are_complete() -> None:
    assert set(rule_words.FACTS) == {f"{fact}_{answer}" for fact, answers in FACTS.items() for answer in answers}
    assert set(rule_words.ROUND_DOES) == set(DOES)
    assert set(rule_words.WENT) == set(VERDICTS)
    assert set(rule_words.IN_GENERAL) <= set(rule_words.evidence_words.EVIDENCE)


@pytest.mark.parametrize("rule", rulelist.all_rules(), ids=lambda rule: str(rule.key))
def test_every_rule_reads_in_words(rule: rulelist.Worded) -> None:
    signs = [text for text, _strength in (*rule.speaks_for, *rule.speaks_against)]
    for text in (rule.title, *rule.says, *rule.complaints, *rule.needs, *signs):
        assert text.strip()
        assert "%(" not in text
        assert "_" not in text
        assert "the the" not in text
    assert rule.source
    assert rule.says or rule.family == "kind"


def test_all_rules_stand_on_the_pages_once(desk: Client) -> None:
    seen: list[str] = []
    address = PLACE
    while address:
        answer = desk.get(address)
        seen += keys(answer)
        address = f"{PLACE}?{answer.context['after']}" if answer.context["after"] else ""
    assert len(seen) == len(set(seen)) == ALL
    assert answer.context["page"].pages == -(-ALL // rulelist.PAGE)


@pytest.mark.parametrize("given", ["0", "-1", "999", "x", "٣", "1" * 30])
def test_a_page_that_is_not_there_shows_one_that_is(desk: Client, given: str) -> None:
    assert keys(desk.get(PLACE, {"page": given}))


def found(desk: Client, **query: str) -> set[str]:
    page, seen = 1, set()
    while True:
        answer = desk.get(PLACE, query | {"page": str(page)})
        seen |= set(keys(answer))
        if not answer.context["after"]:
            return seen
        page += 1


def test_filters(desk: Client) -> None:
    assert found(desk, family="draft") == {f"draft.{rule.id}" for rule in RULES}
    assert found(desk, family="round") == {f"round.{rule.id}" for rule in ROUND_RULES}
    geometry = {f"draft.{rule.id}" for rule in RULES if rule.gate == "geometry"}
    geometry |= {f"way.{way.id}" for way in WAYS if way.rule.gate == "geometry"}
    assert found(desk, at="gate.geometry") == geometry
    assert found(desk, family="way") == {f"way.{way.id}" for way in WAYS}
    assert found(desk, at="phase.landing") == {f"cause.{rule.id}" for rule in CAUSE_RULES if rule.phase == "landing"}
    only = {f"cause.{rule.id}" for rule in CAUSE_RULES if "motocross" not in rule.disciplines}
    assert only
    assert not found(desk, discipline="motocross") & only
    manual = {f"cause.{rule.id}" for rule in CAUSE_RULES if rule.source.startswith("an owner's manual")}
    assert found(desk, source="manual") == manual
    assert found(desk, q="dive_spring_SOFT") == {"cause.dive_spring_soft"}
    assert "cause.dive_spring_soft" in found(desk, q="braking deep spring")
    assert found(desk, q="no such rule") == set()
    assert len(found(desk, family="nonsense", at="x", source="y", use="z", order="w")) == ALL


def test_one_rule(desk: Client) -> None:
    assert keys(desk.get(PLACE, {"rule": "kind.spring_soft"})) == ["kind.spring_soft"]
    assert "No rule fits." in desk.get(PLACE, {"rule": "cause.gone\x00"}).content.decode()


def test_counts_are_shown_and_sorted_by(desk: Client) -> None:
    RuleTally.objects.create(rule="rounds", fired=40)
    RuleTally.objects.create(rule="draft.preload_more", fired=12, kept=9, edited=2, dropped=1)
    RuleTally.objects.create(rule="draft.steer_calmer", fired=3)
    RuleTally.objects.create(rule="cause.dive_oil_low", fired=30)
    page = " ".join(desk.get(PLACE, {"rule": "draft.preload_more"}).content.decode().split())
    for said in ("fired in 12 of 40 rounds", "9 kept", "2 edited", "1 dropped"):
        assert said in page
    assert "not yet on an approved sheet" in desk.get(PLACE, {"rule": "draft.steer_calmer"}).content.decode()
    assert "never fired" in desk.get(PLACE, {"rule": "draft.spring_softer"}).content.decode()
    assert keys(desk.get(PLACE, {"order": "fired"}))[:3] == [
        "cause.dive_oil_low", "draft.preload_more", "draft.steer_calmer",
    ]  # fmt: skip
    assert keys(desk.get(PLACE, {"use": "changed"})) == ["draft.preload_more"]
    assert len(found(desk, use="fired")) == 3
    assert len(found(desk, use="never")) == ALL - 3


def test_what_the_shops_practice_makes_of_a_rule_is_said(desk: Client, tuner: User) -> None:
    rows = {"cause.dive_oil_low": {"off": "We have never seen it."}, "cause.dive_spring_soft": {"strength": "strong"}}
    practice.save({"rules": rows}, 0, "Ten years of forks.", tuner)
    page = desk.get(PLACE, {"use": "off"})
    assert keys(page) == ["cause.dive_oil_low"]
    assert "We have never seen it." in page.content.decode()
    assert "Our practice: strong" in desk.get(PLACE, {"rule": "cause.dive_spring_soft"}).content.decode()
    assert "Our practice:" not in desk.get(PLACE, {"rule": "cause.dive_air_low"}).content.decode()


def test_the_page_costs_the_same_however_much_was_drafted(desk: Client, django_assert_num_queries: Any) -> None:
    RuleTally.objects.bulk_create(RuleTally(rule=f"cause.{rule.id}", fired=10**5) for rule in CAUSE_RULES)
    # session, who it is, the counts, the shop's practice
    with django_assert_num_queries(4):
        desk.get(PLACE, {"q": "spring", "order": "fired"})


def test_the_editor_leads_to_the_rule_of_a_change(
    desk: Client, setup_request: SetupRequest, draft: Recommendation
) -> None:
    change = {**draft.content["changes"][0]} if draft.content["changes"] else None
    assert change is not None
    page = desk.get(reverse("desk:draft", args=[setup_request.reference, draft.pk])).content.decode()
    key = rule_words.key_of_change(change["rule"])
    assert f"{PLACE}?rule={key}" in page
    assert key in {rule.key for rule in rulelist.all_rules()}
    assert rule_words.key_of_change("") == ""
    assert rule_words.key_of_change("round_undo") == "round.round_undo"
