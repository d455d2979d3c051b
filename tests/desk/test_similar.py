"""Settled cases like this one: what is kept of a request, how far two cases are, and what they agree on."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from intake.choices import RequestState
from intake.models import SetupRequest, User
from intake.personal import NOT_PERSONAL, PERSONAL
from intake.presentation import UnitPrefs
from intake.services import requests
from intake.signals import request_erased
from tests.judgement.bikes import bike, findings
from tuning.desk import casefile, services, similar
from tuning.desk.models import SettledCase
from tuning.desk.similar import PARTS, Profile, Similar, distance, model_key, moves_of, trends
from tuning.desk.similar_words import near_to
from tuning.judgement import rank
from tuning.judgement.model import Agreed

METRIC = UnitPrefs.metric()


def settle(request: SetupRequest, by: User) -> SettledCase:
    """Settle a request, and give it a state that it may be settled from."""
    requests.take(request, by)
    requests.settle(request, by)
    return SettledCase.objects.get(request=request)


def profile(**changed: Any) -> Profile:
    plain: dict[str, Any] = {
        "model_key": "",
        "discipline": "road_sport",
        "front": "coil",
        "rear": "linkage",
        "load": "solo",
        "figures": {"bike_mass": 200.0, "stroke.front": 120.0, "stroke.rear": 130.0,
                    "wheelbase": 1400.0, "rake": 24.0, "rider_mass": 80.0},
        "symptoms": frozenset({"pogo.rear", "slow_turn_in"}),
    }  # fmt: skip
    return Profile(**(plain | changed))


def row(**changed: Any) -> SettledCase:
    plain: dict[str, Any] = {
        "settled_on": date(2026, 5, 1),
        "discipline": "road_sport",
        "front": "coil",
        "rear": "linkage",
        "travel_band": 6,
        "load_state": "solo",
        "figures": dict(profile().figures),
        "symptoms": ["pogo.rear", "slow_turn_in"],
        "start": {},
        "end": {},
        "rounds": 2,
        "outcome": "better",
    }
    return SettledCase(**(plain | changed))


def far(one: Profile, other: Profile) -> float:
    return sum(distance(one, other)[0].values())


def test_settling_keeps_numbers_and_nothing_of_anybody(make: Callable[..., SetupRequest], tuner: User) -> None:
    request = make()
    kept = settle(request, tuner)
    told = str({field.name: getattr(kept, field.name) for field in kept._meta.fields if field.name != "request"})
    client, bike, round_ = request.client, request.bike, request.rounds.get(number=1)
    for private in (client.name, client.email, request.reference, bike.name, round_.words, request.aim):
        if private:
            assert private not in told
    assert kept.discipline == request.discipline
    assert kept.rounds == 1
    assert {key.partition(".")[0] for key in kept.start} <= set(similar.VALUES)
    assert kept.figures.get("rider_mass", 0) % similar.MASS_STEP == 0
    again = similar.keep(request)
    assert again is not None
    assert again.pk == kept.pk


def test_it_stays_when_the_request_is_erased(make: Callable[..., SetupRequest], tuner: User) -> None:
    request = make()
    kept = settle(request, tuner)
    for one in request.rounds.all():
        one.derivations.all().delete()
        one.settings.all().delete()
    request.delete()
    kept.refresh_from_db()
    assert kept.request is None
    assert kept.figures


def test_it_stays_without_a_way_back_when_the_client_asks_to_be_forgotten(
    make: Callable[..., SetupRequest], tuner: User
) -> None:
    request = make()
    kept = settle(request, tuner)
    request_erased.send(sender=SetupRequest, request=request)
    kept.refresh_from_db()
    assert kept.request is None


def test_every_field_that_can_hold_words_is_in_the_register() -> None:
    fields = {f"desk.SettledCase.{name}" for name in ("model_key", "figures", "symptoms", "start", "end", "outcome")}
    assert fields <= NOT_PERSONAL
    assert not fields & set(PERSONAL)


def test_rebuilding_finds_what_was_settled_before(make: Callable[..., SetupRequest], tuner: User) -> None:
    kept = [settle(make(), tuner) for _ in range(2)]
    SettledCase.objects.filter(pk=kept[0].pk).delete()
    SettledCase.objects.filter(pk=kept[1].pk).update(rounds=9)
    orphan = row()
    orphan.save()
    call_command("keep_settled_cases")
    assert SettledCase.objects.count() == 3
    assert set(SettledCase.objects.values_list("rounds", flat=True)) == {1, 2}


def test_a_request_that_goes_on_and_the_request_itself_are_not_shown(
    make: Callable[..., SetupRequest], tuner: User
) -> None:
    first, second = make(), make()
    for one in (first, second):
        settle(one, tuner)
    round_ = casefile.sent_rounds(first)[0]
    judged = services.dossier(round_, services.derive_round(round_))
    near = near_to(round_, judged, similar.found_for(round_, judged), METRIC)
    assert len(near.cases) == 1
    assert "the same model" in near.cases[0].why
    second.refresh_from_db()
    second.move_to(RequestState.RECEIVED)
    assert similar.found_for(round_, judged) == ()


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Norvik 650 R", "norvik-650r", True),
        ("Société 500", "SOCIETE 500", True),
        ("Norvik 650", "Norvik 660", False),
        ("", "", False),
        ("--", "--", False),
    ],
)
def test_a_model_is_found_however_it_is_written(one: str, other: str, same: bool) -> None:
    assert (model_key(one) == model_key(other) != "") is same


def test_the_very_same_is_no_distance_away() -> None:
    one = profile(model_key="k")
    assert far(one, one) == 0.0


@pytest.mark.parametrize("part", [name for name in PARTS if name != "model"])
def test_each_part_adds_to_the_distance_up_to_its_weight(part: str) -> None:
    changed: dict[str, Any] = {
        "discipline": {"discipline": "track"},
        "architecture": {"front": "air", "rear": "direct"},
        "load": {"load": "passenger"},
        "symptoms": {"symptoms": frozenset({"floats.front"})},
    }.get(part, {"figures": {**profile().figures, part: profile().figures.get(part, 0) * 9}})
    parts, _unknown = distance(profile(model_key="k"), profile(model_key="k", **changed))
    assert parts[part] == pytest.approx(PARTS[part].weight)
    assert sum(parts.values()) == pytest.approx(PARTS[part].weight)


def test_what_is_unknown_counts_half_and_of_the_same_model_nothing() -> None:
    bare = profile(figures={})
    parts, unknown = distance(profile(), bare)
    assert {"bike_mass", "stroke.front", "rake", "rider_mass"} <= unknown
    assert parts["rake"] == PARTS["rake"].weight / 2
    same, _unknown = distance(profile(model_key="k"), profile(model_key="k", figures={}))
    assert same["rake"] == 0.0
    assert same["rider_mass"] == PARTS["rider_mass"].weight / 2


PROFILES = st.builds(
    profile,
    model_key=st.sampled_from(["", "a", "b"]),
    discipline=st.sampled_from(["road_sport", "track"]),
    front=st.sampled_from(["coil", "air"]),
    figures=st.dictionaries(st.sampled_from(["bike_mass", "stroke.front", "rake", "rider_mass"]), st.floats(1, 500)),
    symptoms=st.frozensets(st.sampled_from(["pogo.rear", "floats.front", "slow_turn_in"])),
)


@given(PROFILES, PROFILES)
def test_the_distance_is_the_same_both_ways_and_bounded(one: Profile, other: Profile) -> None:
    assert far(one, other) == pytest.approx(far(other, one))
    assert 0.0 <= far(one, other) <= sum(part.weight for part in PARTS.values())


def test_nearest_first_and_never_the_far_ones(db: None) -> None:
    near, nearer, other = (
        row(figures={**profile().figures, "rider_mass": 95.0}),
        row(),
        row(discipline="enduro", front="air", symptoms=["floats.front"], load_state="passenger"),
    )
    for one in (near, nearer, other):
        one.save()
    found = similar.find(0, profile())
    assert [one.row.pk for one in found] == [nearer.pk, near.pk]
    assert found[0].weight > found[1].weight


def test_however_many_are_settled_it_looks_at_few(db: None) -> None:
    SettledCase.objects.bulk_create(
        [row(settled_on=date(2026, 1, 1) + timedelta(days=at), model_key="k" if at % 2 else "") for at in range(700)]
    )
    with CaptureQueriesContext(connection) as queries:
        assert len(similar.candidates(0, profile(model_key="k"))) <= 200
        similar.find(0, profile(model_key="k"))
    assert len(queries) == 6
    plan = SettledCase.objects.filter(model_key="k").order_by("-settled_on", "-id")[:100].explain()
    assert "settled_by_model" in plan
    same = {"discipline": "road_sport", "front": "coil", "rear": "linkage", "travel_band": 6}
    assert "settled_by_class" in SettledCase.objects.filter(**same).order_by("-settled_on", "-id")[:50].explain()


def moved(by: float, outcome: str = "better", far_off: float = 0.0) -> Similar:
    start = {"clicker_position.rear.rebound": 0.5, "preload_position.rear.preload": 0.5}
    end = {"clicker_position.rear.rebound": 0.5 + by, "preload_position.rear.preload": 0.5}
    return Similar(row(start=start, end=end, outcome=outcome), far_off, {}, frozenset())


def test_which_way_a_setting_went() -> None:
    assert moves_of(moved(-0.2).row) == {("rebound", "rear"): "firmer", ("preload", "rear"): ""}
    assert moves_of(moved(0.2).row)["rebound", "rear"] == "softer"
    assert moves_of(moved(0.02).row)["rebound", "rear"] == ""
    legs = {"clicker_position.front.rebound.left": 0.5, "clicker_position.front.rebound.right": 0.5}
    apart = {"clicker_position.front.rebound.left": 0.7, "clicker_position.front.rebound.right": 0.3}
    assert moves_of(row(start=legs, end=apart)) == {}


def test_cases_speak_where_enough_of_them_went_one_way() -> None:
    assert trends([moved(-0.2)]) == ()
    (both,) = trends([moved(-0.2), moved(-0.3)])
    assert (both.kind, both.end, both.move, both.count, both.of) == ("rebound", "rear", "firmer", 2, 2)
    assert (both.share, both.speaks) == (1.0, True)
    (far_off,) = trends([moved(-0.2, far_off=2.7), moved(-0.3, far_off=2.7)])
    assert not far_off.speaks
    (most,) = trends([moved(-0.2), moved(-0.3), moved(0.2)])
    assert most.share == pytest.approx(2 / 3)
    assert most.speaks
    split = trends([moved(-0.2), moved(-0.3), moved(0.2), moved(0.2)])
    assert [one.speaks for one in split] == [False, False]
    assert trends([moved(-0.2, "worse"), moved(-0.3, "mixed")]) == ()


def test_what_they_agree_on_is_one_weak_sign_and_no_more() -> None:
    case = bike("pogo@rear")
    agreed = similar.with_evidence(case, [moved(-0.2), moved(-0.3)])
    assert agreed.settled == {"rear.rebound": Agreed("firmer", 2, 2)}
    before, after = ({one.key: one for one in rank(told, findings(told))} for told in (case, agreed))
    by = {key: round(after[key].score - one.score, 6) for key, one in before.items()}
    assert by["rebound_low.rear"] == similar.EVIDENCE
    assert {key: value for key, value in by.items() if value and not key.startswith("rebound_")} == {}
    (said,) = [one for one in after["rebound_low.rear"].evidence_for if one.sign == "settled_rebound"]
    assert said.said.params == {"end": "rear", "count": 2, "of": 2}
    assert similar.with_evidence(case, []).settled == {}


def test_the_case_page_shows_why_and_how_far(desk: Client, make: Callable[..., SetupRequest], tuner: User) -> None:
    kept = settle(make(), tuner)
    request = make()
    shown = desk.get(reverse("desk:case", args=[request.reference])).content.decode()
    part = shown[shown.index('id="similar"') : shown.index('id="derived"')]
    for line in ("the same model", "the same discipline", "Distance 0", "Settled after 1 round."):
        assert line in part
    assert kept.request is not None
    assert kept.request.reference not in part
    assert kept.request.client.name not in part
