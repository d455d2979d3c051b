"""A request of twelve numbers goes the way of any other: what it says is acted on, what it does not say is asked.

The readings are ``tests.intake.filled.SHORT``; by hand, for road sport (target bands: common practice):

* front, bike alone: 130 − 100 = 30 mm, above 20–28. Rider aboard: 130 − 84 = 46 mm, above 33–40. Both above: the
  spring is not too soft for the bike (that shows as too little sag alone), the preload is too small.
* rear, bike alone: 600 − 592 = 8 mm, within 5–12. Rider aboard: 600 − 569 = 31 mm, within 28–35. Nothing to do.
* front reserve: 120 − 97 = 23 mm, within 20–25.

So the sheet begins with more fork preload, both legs alike, from the three turns told; how many is a small step, as
what a turn moves the spring by was not asked. The complaints wait: sag comes before damping and geometry.
"""

from typing import Any

import pytest
from django.test import Client

from intake.models import Setting, SetupRequest, User
from intake.steps import LATER_ROUNDS, pages_of
from tests.intake.at_form import begin, fill, fill_short, save
from tuning.desk import casefile, services

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def content(client: Client, tuner: User, **twelve: str) -> dict[str, Any]:
    """Send a short request and return the draft that the desk opens on it."""
    request = begin(client, units="metric", way="short")
    fill_short(client, request, **twelve)
    assert save(client, request, "review", {"consent": "on"}).status_code == 302
    request = SetupRequest.objects.get(pk=request.pk)
    assert (request.state, request.way) == ("received", "short")
    return services.open_draft(casefile.sent_rounds(request)[0], tuner).content


def asked(made: dict[str, Any]) -> set[tuple[str, str]]:
    return {(row["id"], str(next(iter(row["params"].values()), ""))) for row in made["questions"]}


def test_twelve_numbers_give_the_first_change(client: Client, tuner: User) -> None:
    made = content(client, tuner)
    assert [row["adjuster"] for row in made["changes"]] == ["front.preload.left", "front.preload.right"]
    assert {row["start"] for row in made["changes"]} == {3.0}
    # To the middle of the band it is 46 − 36.5 = 9.5 mm; a turn moves a fork's spring by a millimetre or so.
    assert all(3 < row["target"] <= 3 + 9.5 for row in made["changes"])
    assert ("ask_preload_step", "front.preload.left") in asked(made)


@pytest.mark.parametrize(
    ("left_out", "question"),
    [
        ("front__preload__left__found", ("ask_setting", "front.preload")),
        ("length_rider_aboard__rear", ("ask_reading", "length_rider_aboard.rear")),
        ("length_topped_out__rear", ("ask_reading", "length_topped_out.rear")),
    ],
)
def test_what_is_not_told_becomes_a_question_and_no_change(
    client: Client, tuner: User, left_out: str, question: tuple[str, str]
) -> None:
    made = content(client, tuner, **{left_out: ""})
    assert made["changes"] == []
    assert question in asked(made)


def test_with_right_sags_the_complaints_are_next_and_ask_for_the_clickers(client: Client, tuner: User) -> None:
    # Front: 130 − 106 = 24 alone and 130 − 94 = 36 with the rider, both in their bands. A rear that squats wants
    # firmer compression (common practice); where its clicker stands, the short way has not asked.
    right = {"length_bike_alone__front": "106", "length_rider_aboard__front": "94"}
    made = content(client, tuner, **right)
    assert made["changes"] == []
    assert ("ask_setting", "rear.compression") in asked(made)


def test_the_next_round_starts_from_what_was_advised(client: Client, tuner: User) -> None:
    request = begin(client, units="metric", way="short")
    fill_short(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    services.approve(draft, draft.lock, tuner)
    request.refresh_from_db()
    assert request.current_round == 2
    advised = {row["adjuster"]: row["target"] for row in draft.content["changes"]}
    starts = Setting.objects.filter(round__request=request, round__number=2, kind="found")
    assert {row.adjuster.key: row.value for row in starts} == advised
    # A report asks what the changes may have moved, of everybody alike.
    assert [page.id for page in pages_of(request.round())] == list(LATER_ROUNDS)


def test_the_desk_says_that_a_request_came_the_short_way(client: Client, desk: Client) -> None:
    request = begin(client, units="metric", way="short")
    fill_short(client, request)
    save(client, request, "review", {"consent": "on"})
    whole = begin(client)
    fill(client, whole)
    save(client, whole, "review", {"consent": "on"})
    assert desk.get("/desk/").content.decode().count("short way") == 1
    assert "short way" in desk.get(f"/desk/requests/{request.reference}/").content.decode()
    assert "short way" not in desk.get(f"/desk/requests/{whole.reference}/").content.decode()
