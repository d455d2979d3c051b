"""Requests made by way of the services, for tests of the intake's core. Invented throughout."""

from typing import Any

from django.utils import timezone

from intake.choices import RequestState
from intake.models import Round, SetupRequest, User
from intake.services import readings, requests
from tuning.engine.vocabulary import STOP_QUESTIONS

#: The three lengths at the front, mm: sag 25 bike alone and 38 rider aboard.
LENGTHS = {"length_topped_out": "130", "length_bike_alone": "105", "length_rider_aboard": "92"}


def tuner(name: str = "imre") -> User:
    return User.objects.create_user(name, display_name="Imre Vadas")


def started(**preferences: Any) -> SetupRequest:
    """Return a request with nothing in it but its client."""
    request = requests.start_request(name="Tove Lindqvaern", email="tove@riders.example", **preferences)
    request.discipline = "road_sport"
    request.save(update_fields=["discipline"])
    return request


def read(round_: Round, quantity: str, text: str, unit: str = "mm", **of: Any) -> Any:
    return readings.record_reading(round_, quantity=quantity, text=text, unit=unit, **of)


def lengths(round_: Round, end: str = "front", state: str = "solo", **changed: str) -> None:
    for quantity, text in (LENGTHS | changed).items():
        load = state if quantity == "length_rider_aboard" else "bike_alone"
        read(round_, quantity, text, end=end, load_state=load, method="tape")


def fit_to_ride(round_: Round, **changed: str) -> None:
    """Answer the stop gate, "no" but for what is told otherwise ("" leaves a question open)."""
    for question, value in (dict.fromkeys(STOP_QUESTIONS, "no") | changed).items():
        readings.answer(round_, question, "", value)


def ready(**preferences: Any) -> Round:
    """Return a first round with just what it takes to be sent."""
    request = started(**preferences)
    round_ = request.round()
    fit_to_ride(round_)
    read(round_, "rider_mass", "84", "kg", method="scale")
    lengths(round_)
    SetupRequest.objects.filter(pk=request.pk).update(consent_at=timezone.now())
    return Round.objects.select_related("request__client", "request__bike").get(pk=round_.pk)


def sent(**preferences: Any) -> Round:
    round_ = ready(**preferences)
    requests.send_round(round_)
    return Round.objects.select_related("request__client", "request__bike").get(pk=round_.pk)


def advised(round_: Round) -> SetupRequest:
    """Return the round's request with a sheet out."""
    request = SetupRequest.objects.get(pk=round_.request_id)
    request.move_to(RequestState.SHEET_READY)
    return request
