"""What became of each change: asked with what the sheet says, nothing claimed that was not said."""

from typing import Any

import pytest
from django.test import Client

from intake import access
from intake.choices import Done, Purpose, SettingKind
from intake.models import Followed, Round, Setting
from intake.services import advice, readings, requests
from intake.services.advice import Told
from tests.intake.at_form import save
from tests.intake.rounds import advised, sent

pytestmark = pytest.mark.django_db
KEY, NUMBER = "done.1.1", "rear.rebound.found"


def change(number: int = 1, **other: Any) -> Told:
    told = Told(
        key=f"c{number}", name=f"1.{number}", number=number, kind="rebound", end="rear", adjuster="rear.rebound",
        start=12.0, target=10.0, unit="click", title="Rear rebound", from_text="12 clicks out",
        to_text="10 clicks out", turn_text="2 clicks in, clockwise (firmer)",
    )  # fmt: skip
    return Told(**{**told, **other})  # type: ignore[typeddict-item]


@pytest.fixture
def second() -> Round:
    """A second round after a sheet that took the rear rebound from 12 to 10 and asked for a spring."""
    one = sent(length_unit="in")
    adjuster = readings.put_adjuster(one.request.bike, "rear.rebound", unit="click", range_counted=20)
    readings.record_setting(one, adjuster, SettingKind.FOUND, text="12")
    preload = readings.put_adjuster(one.request.bike, "rear.preload", unit="turn", counted_from="open")
    readings.record_setting(one, preload, SettingKind.FOUND, text="4")
    request = advised(one)
    fresh = requests.open_next_round(request, [("rear.rebound", 10.0, "")])
    spring = change(2, kind="spring", adjuster="", start=None, target=None, unit="", title="Spring, rear",
                    from_text="", to_text="", turn_text="")  # fmt: skip
    advice.tell(fresh, [change(), spring])
    return Round.objects.select_related("request__client", "request__bike").get(pk=fresh.pk)


@pytest.fixture
def rider(second: Round) -> Client:
    client = Client()
    client.cookies[f"{access.COOKIE}-{Purpose.FULL}"] = access.links.token(second.request, Purpose.FULL)
    return client


def post(client: Client, round_: Round, **told: str) -> Any:
    fields = {
        "rear.rebound.counted_in": "click", "rear.rebound.range": "20", "rear.preload.counted_in": "turn",
        "rear.preload.found": "4",
    }  # fmt: skip
    named = {name.replace("__", "."): text for name, text in told.items()}
    return save(client, round_.request, "settings", {**fields, **named}, round_number=2)


def stands(round_: Round, key: str = "rear.rebound") -> tuple[float | None, bool]:
    """Return where an adjuster stands, and whether the client said so."""
    rows = {row.kind: row.value for row in Setting.objects.filter(round=round_, adjuster__key=key, is_current=True)}
    return rows.get(SettingKind.APPLIED, rows.get(SettingKind.FOUND)), SettingKind.APPLIED in rows


def test_every_change_is_asked_with_what_the_sheet_says_and_none_is_answered(rider: Client, second: Round) -> None:
    page = rider.get(f"/requests/{second.request.reference}/round/2/settings/")
    text = page.content.decode()
    for told in ("Change 1: Rear rebound", "From 12 clicks out to 10 clicks out (2 clicks in, clockwise (firmer))",
                 "Change 2: Spring, rear"):  # fmt: skip
        assert told in text
    drawn = {field.spec.name: field for group in page.context["groups"] for field in group.fields}
    assert [drawn[name].value for name in (KEY, "done.1.2", NUMBER)] == ["", "", ""]
    assert drawn["rear.preload.found"].value == "4"


@pytest.mark.parametrize(
    ("done", "number", "value", "said"),
    [("as_told", "", 10.0, True), ("not_done", "", 12.0, True), ("undone", "", 12.0, True),
     ("otherwise", "11", 11.0, True), ("", "", 10.0, False), ("", "9", 9.0, True)],
)  # fmt: skip
def test_where_it_stands_follows_from_what_was_said(
    done: str, number: str, value: float, said: bool, rider: Client, second: Round
) -> None:
    answer = post(rider, second, done__1__1=done, rear__rebound__found=number)
    assert answer.status_code == 302
    assert stands(second) == (value, said)
    assert stands(second, "rear.preload") == (4.0, True)
    assert list(Followed.objects.values_list("change", "done")) == ([("c1", done)] if done else [])


@pytest.mark.parametrize(
    ("done", "number", "why"),
    [("otherwise", "", "please write what it is set to now"), ("as_told", "9", "does not go with"),
     ("not_done", "11", "does not go with")],
)  # fmt: skip
def test_an_answer_and_a_number_that_contradict_are_asked_about(
    done: str, number: str, why: str, rider: Client, second: Round
) -> None:
    answer = post(rider, second, done__1__1=done, rear__rebound__found=number)
    assert answer.status_code == 422
    assert why in answer.content.decode()
    assert not Followed.objects.exists()
    # What was typed stands in the form.
    page = rider.get(f"/requests/{second.request.reference}/round/2/settings/")
    drawn = {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}
    assert (drawn[KEY], drawn[NUMBER]) == (done, number)


def test_a_part_fitted_otherwise_is_told_in_words(rider: Client, second: Round) -> None:
    assert post(rider, second, done__1__2="otherwise").status_code == 422
    told = {"done__1__2": "otherwise", "instead__1__2": "A 95 instead of a 90."}
    assert post(rider, second, **told).status_code == 302
    row = Followed.objects.get()
    assert (row.change, row.done, row.note) == ("c2", Done.OTHERWISE, "A 95 instead of a 90.")


def test_an_answer_taken_back_for_another_leaves_the_last_word(rider: Client, second: Round) -> None:
    post(rider, second, done__1__1="as_told")
    post(rider, second, done__1__1="not_done")
    assert Followed.objects.get().done == Done.NOT_DONE
    assert stands(second) == (12.0, True)


def test_a_round_without_a_sheet_asks_as_before(second: Round, rider: Client) -> None:
    Round.objects.filter(pk=second.pk).update(advised=[])
    page = rider.get(f"/requests/{second.request.reference}/round/2/settings/")
    drawn = {field.spec.name: field.value for group in page.context["groups"] for field in group.fields}
    assert drawn[NUMBER] == "10"
    assert KEY not in drawn
