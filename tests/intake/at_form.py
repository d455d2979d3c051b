"""Helpers that walk the form as a browser does."""

from collections.abc import Mapping

from django.test import Client

from intake.models import SetupRequest
from tests.intake.filled import FILLED, SHORT, SHORT_STEPS, STEPS


def begin(client: Client, units: str = "imperial", way: str = "whole") -> SetupRequest:
    """Press a start button; the client then holds the access cookie."""
    answer = client.post("/start/", {"units": units, "way": way})
    assert answer.status_code == 302
    return SetupRequest.objects.latest("pk")


def address(request: SetupRequest, step: str, round_number: int = 1) -> str:
    return f"/requests/{request.reference}/round/{round_number}/{step}/"


def base_of(request: SetupRequest, step: str, round_number: int = 1) -> int:
    drafts = request.rounds.get(number=round_number).drafts.filter(step=step, aside=False)
    return max(drafts.values_list("version", flat=True), default=0)


def save(client: Client, request: SetupRequest, step: str, fields: Mapping[str, str], round_number: int = 1, **more):
    """Post a step as the page drawn last would."""
    base = str(base_of(request, step, round_number))
    return client.post(address(request, step, round_number), {"base": base, **fields, **more})


def fill_short(client: Client, request: SetupRequest, upto: str = "behaviour", **twelve: str) -> None:
    """Fill in the short way's steps in order, as far as ``upto``; ``twelve`` replaces numbers, "" leaves one out."""
    told = SHORT | {"twelve": SHORT["twelve"] | {name.replace("__", "."): text for name, text in twelve.items()}}
    _fill(client, request, SHORT_STEPS[: SHORT_STEPS.index(upto) + 1], told)


def fill(client: Client, request: SetupRequest, upto: str = "behaviour") -> None:
    """Fill in the whole form's steps in order, as far as ``upto``."""
    _fill(client, request, STEPS[: STEPS.index(upto) + 1], FILLED)


def _fill(
    client: Client, request: SetupRequest, steps: tuple[str, ...], told: Mapping[str, Mapping[str, str]]
) -> None:
    for step in steps:
        answer = save(client, request, step, told[step])
        if answer.status_code == 200:  # a check asked something; press the button again
            answer = save(client, request, step, told[step], seen=answer.context["seen"])
        assert answer.status_code == 302, (
            step,
            answer.status_code,
            getattr(answer, "context", None)
            and [(field.spec.name, field.errors) for field in answer.context["problems"]],
        )
