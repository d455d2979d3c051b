"""What an answer rules out is not asked, and nothing that was told disappears by it; what can be turned is asked by
leg, place and direction. How a field hangs on another is in ``test_only_if.py``."""

import pytest

from intake.models import Adjuster, Answer, Question, Reading, Setting, SetupRequest
from intake.services import conversation, readings
from intake.services.asking import Ask
from intake.steps import PAGES, At
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db

BIKE = {"name": "Alder Twin", "front": "coil", "rear": "linkage"}


def at(request: SetupRequest) -> At:
    request = SetupRequest.objects.get(pk=request.pk)
    return At(request, request.round())


def drawn(client, request: SetupRequest, step: str) -> dict[str, object]:
    page = client.get(address(request, step))
    assert page.status_code == 200
    return {field.spec.name: field for group in page.context["groups"] for field in group.fields}


def current(**of: str) -> bool:
    return Reading.objects.filter(is_current=True, **of).exists()


# --- Within a step ----------------------------------------------------------------------------------------------


def test_what_was_told_otherwise_than_by_the_form_is_shown_and_stays(client):
    """As by the API: a passenger's mass on record, and nobody said "two up" in the form."""
    request = begin(client, units="metric")
    readings.record_reading(request.round(), quantity="passenger_mass", text="61", unit="kg", method="scale")
    shown = drawn(client, request, "rider")["passenger_mass"]
    assert shown.spec.only_if is None
    assert "told before" in str(shown.spec.hint)
    assert shown.value == "61"
    told = {"load_state": "solo", "rider_mass": "80", "passenger_mass": "61", "passenger_mass.unit": "kg"}
    save(client, request, "rider", told)
    assert current(quantity="passenger_mass", value=61)
    save(client, request, "rider", told | {"passenger_mass": ""})
    assert not current(quantity="passenger_mass")
    assert drawn(client, request, "rider")["passenger_mass"].spec.only_if is not None


def test_what_a_tuner_asks_for_is_asked_whatever_rules_it_out(client, django_user_model):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    tuner = django_user_model.objects.create_user(username="ines", display_name="Ines", role="tuner")
    request.move_to("reading")
    ask = Ask("How heavy is she?", "rider", ("passenger_mass",))
    conversation.post_message(request, body="Please", author=tuner, step="rider", question=True, asks=[ask])
    assert Question.objects.filter(step="rider").exists()
    assert {spec.name: spec.only_if for spec in PAGES["rider"].specs(at(request))}["passenger_mass"] is None


# --- Across steps ---------------------------------------------------------------------------------------------------


def test_a_setting_of_what_the_bike_has_none_of_stays_until_it_is_emptied(client):
    request = begin(client, units="metric")
    fill(client, request, upto="settings")
    save(client, request, "bike", {**FILLED["bike"], "front": "air"})
    shown = drawn(client, request, "settings")
    assert shown["front.preload.left.found"].value == "13"
    assert "told before" in str(shown["front.preload.left.found"].spec.hint)
    assert "air_pressure.front" in shown
    kept = {name: field.value for name, field in shown.items()}
    legs = ("front.preload.left", "front.preload.right")
    emptied = {f"{leg}.{what}": "" for leg in legs for what in ("found", "range")}
    answer = save(client, request, "settings", kept | emptied)
    save(client, request, "settings", kept | emptied, seen=answer.context["seen"] if answer.context else "")
    assert not Setting.objects.filter(is_current=True, adjuster__key__in=legs).exists()
    assert not [name for name in drawn(client, request, "settings") if name.startswith("front.preload")]


def test_text_that_could_not_be_read_is_not_left_out_either(client):
    request = begin(client, units="metric")
    save(client, request, "settings", {"front.preload.left.found": "three or so"})
    save(client, request, "bike", {**BIKE, "front": "air"})
    assert drawn(client, request, "settings")["front.preload.left.found"].value == "three or so"
    assert "front.preload.right.found" not in drawn(client, request, "settings")


def test_what_was_not_asked_keeps_its_setting(client):
    """An adjuster with a place and one without: the second is not asked, and saving the step leaves it alone."""
    request = begin(client, units="metric")
    readings.put_adjuster(request.bike, "front.rebound.left", unit="click", place="cap")
    silent = readings.put_adjuster(request.bike, "rear.rebound", unit="turn")
    save(client, request, "settings", {"front.rebound.left.found": "9"})
    assert Adjuster.objects.get(pk=silent.pk).unit == "turn"
    assert Setting.objects.get(is_current=True).adjuster.key == "front.rebound.left"


# --- What can be turned ---------------------------------------------------------------------------------------------


def test_a_split_fork_is_asked_leg_by_leg(client):
    request = begin(client, units="metric")
    told = {**BIKE, "front": "coil_split", "spring_leg": "left", "damping_leg": "right"}
    assert save(client, request, "bike", told).status_code == 302
    assert Answer.objects.get(question="spring_leg").value == "left"
    names = set(drawn(client, request, "settings"))
    assert {"front.preload.left.found", "front.rebound.right.found", "front.compression.right.found"} <= names
    assert not {"front.preload.right.found", "front.rebound.left.found", "front.compression.left.found"} & names
    # What both are counted in is asked where only the right leg is.
    assert "front.rebound.counted_in" in names
    # "I do not know" rules nothing out.
    save(client, request, "bike", told | {"spring_leg": "unknown"})
    assert {"front.preload.left.found", "front.preload.right.found"} <= set(drawn(client, request, "settings"))
    # Another fork has no such leg, and the answer goes.
    save(client, request, "bike", told | {"front": "coil"})
    assert not Answer.objects.filter(question__in=("spring_leg", "damping_leg")).exists()


def test_a_tick_in_two_places_is_questioned(client):
    request = begin(client, units="metric")
    ticks = {"turns.cap.front.rebound.left": "on", "turns.bottom.front.rebound.left": "on"}
    answer = save(client, request, "bike", BIKE | ticks)
    assert answer.status_code == 422
    assert [field.spec.name for field in answer.context["problems"]] == ["turns.bottom.front.rebound.left"]
    assert not Adjuster.objects.exists()


def test_a_place_is_known_after_and_said_beside_the_count(client):
    request = begin(client, units="metric")
    save(client, request, "bike", BIKE | {"turns.bottom.front.rebound.left": "on", "turns.remote.rear.preload": "on"})
    assert dict(Adjuster.objects.values_list("key", "place")) == {
        "front.rebound.left": "bottom", "rear.preload": "remote",
    }  # fmt: skip
    shown = drawn(client, request, "settings")
    assert str(shown["front.rebound.left.found"].spec.label) == "As found, left leg, at the bottom"
    assert str(shown["front.rebound.left.found"].spec.hint) == "Counted out from fully closed."
    assert "by a knob on a hose" in str(shown["rear.preload.found"].spec.label)
    save(client, request, "settings", {"front.rebound.left.found": "9", "front.rebound.left.range": "20"})
    assert Adjuster.objects.get(key="front.rebound.left").place == "bottom"
    # Saved again without a tick: nothing was told of the knob, so it goes; the clicker stays as it was told.
    save(client, request, "bike", BIKE)
    assert set(Adjuster.objects.values_list("key", "place")) == {("front.rebound.left", "")}


def test_a_count_that_runs_the_other_way_is_said_so_and_kept(client):
    request = begin(client, units="metric")
    readings.put_adjuster(request.bike, "rear.rebound", unit="click", counted_from="open")
    assert "from fully open" in str(drawn(client, request, "settings")["rear.rebound.found"].spec.hint)
    save(client, request, "settings", {"rear.rebound.counted_in": "click", "rear.rebound.found": "4"})
    assert Adjuster.objects.get(key="rear.rebound").counted_from == "open"


def test_turn_in_and_turn_out_are_drawn_once_on_the_settings_step(client):
    request = begin(client, units="metric")
    page = client.get(address(request, "settings")).content.decode()
    assert page.count('id="d-turning-t"') == 1
    assert "Turn in, turn out" in page
    save(client, request, "bike", BIKE | {"front": "semi_active", "rear": "semi_active"})
    assert "d-turning" not in client.get(address(request, "settings")).content.decode()
