"""Three bikes that are built otherwise, from the first step until they are sent. Invented throughout."""

from typing import NamedTuple

import pytest

from intake.case import build_case
from intake.models import Setting, SetupRequest
from tests.intake.at_form import address, begin, save
from tests.intake.filled import STEPS
from tuning.engine.vocabulary import STOP_QUESTIONS

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


class Told(NamedTuple):
    """What one client types, by step; what has to be asked of them, and what must not be."""

    steps: dict[str, dict[str, str]]
    asked: set[str]
    lacks: set[str]
    #: Where adjusters are found to stand afterwards.
    stands: dict[str, float | str]


def told(discipline: str, **steps: dict[str, str]) -> dict[str, dict[str, str]]:
    you = {
        "email": "nell@riders.example", "discipline": discipline, "skill": "hand_tools", "budget": "none",
        "length_unit": "mm", "mass_unit": "kg", "pressure_unit": "bar", "rate_unit": "N/mm", "torque_unit": "N.m",
        "paper": "A4", "pace": "brisk",
    }  # fmt: skip
    return {"safety": dict.fromkeys(STOP_QUESTIONS, "no"), "you": you, "travel": {}, "behaviour": {}} | steps


def lengths(front: tuple[float, float, float], rear: tuple[float, float, float]) -> dict[str, str]:
    """Return L0, L1 and L2 of both ends, mm."""
    names = ("length_topped_out", "length_bike_alone", "length_rider_aboard")
    ends = (("front", front), ("rear", rear))
    return {f"{n}.{end}": f"{v:g}" for end, values in ends for n, v in zip(names, values, strict=True)}


TWIN_SHOCK = Told(
    told(
        "classic",
        bike={
            "name": "Alder Twin 650", "front": "coil", "rear": "twin_shock", "spring_rate.rear": "18",
            "leverage.rear": "1.1", "turns.body.rear.preload": "on",
        },
        rider={"load_state": "solo", "rider_mass": "80.5"},
        settings={"rear.preload.counted_in": "step", "rear.preload.found": "2", "rear.preload.range": "5"},
        sag=lengths((122, 96, 82), (360, 351, 334)),
    ),
    asked={"spring_rate.rear", "leverage.rear", "rear.preload.found", "front.fork_position.left.found", "fluid_age"},
    lacks={
        "leverage_end.rear", "rear.ride_height.found", "rear.rebound.found", "rear.compression_high.found",
        "front.rebound.left.found", "front.preload.left.found", "air_pressure.front", "front.mode.found",
        "rear.mode.found", "levelling_done", "terrain", "s.bottoms_landing",
    },
    stands={"rear.preload": 2},
)  # fmt: skip
AIR = Told(
    told(
        "motocross",
        bike={
            "name": "Kestrel 450 M", "front": "air", "rear": "linkage", "turns.cap.front.compression.left": "on",
            "turns.bottom.front.rebound.left": "on", "turns.body.rear.preload": "on", "turns.body.rear.rebound": "on",
        },
        rider={"load_state": "solo", "rider_mass": "77"},
        settings={
            "air_pressure.front": "10,5",
            "front.compression.counted_in": "click", "front.compression.left.found": "12",
            "front.rebound.counted_in": "click", "front.rebound.left.found": "14", "rear.preload.counted_in": "mm",
            "rear.preload.found": "9", "rear.rebound.counted_in": "click", "rear.rebound.found": "11",
        },
        sag=lengths((318, 280, 248), (660, 625, 555)),
    ),
    asked={"air_pressure.front", "leverage.rear", "leverage_end.rear", "front.rebound.left.found", "terrain",
           "s.bottoms_landing"},
    lacks={
        "spring_rate.front.left", "spring_rate.front.right", "front.preload.left.found", "front.preload.right.found",
        "front.preload.counted_in", "front.rebound.right.found", "rear.compression_low.found", "levelling_done",
        "front.mode.found",
    },
    stands={"front.compression.left": 12, "front.rebound.left": 14, "rear.preload": 9, "rear.rebound": 11},
)  # fmt: skip
SEMI_ACTIVE = Told(
    told(
        "touring",
        bike={"name": "Halmer Grand 1100", "front": "semi_active", "rear": "semi_active"},
        rider={"load_state": "two_up_luggage", "rider_mass": "92", "passenger_mass": "66", "luggage_mass": "20"},
        settings={"front.mode.found": "Road", "rear.mode.found": "Road, two up"},
        sag={"levelling_done": "yes"} | lengths((140, 110, 98), (640, 626, 600)),
    ),
    asked={"front.mode.found", "rear.mode.found", "levelling_done", "passenger_mass", "luggage_mass"},
    lacks={
        "front.rebound.left.found", "front.compression.right.found", "rear.rebound.found",
        "rear.compression_low.found", "leverage.rear", "leverage_end.rear", "air_pressure.front", "terrain",
    },
    stands={"front.mode": "Road", "rear.mode": "Road, two up"},
)  # fmt: skip


@pytest.mark.parametrize("rider", [TWIN_SHOCK, AIR, SEMI_ACTIVE], ids=["twin_shock", "air", "semi_active"])
def test_a_whole_request(client, rider):
    request = begin(client, units="metric")
    asked: list[str] = []
    for step in STEPS:
        page = client.get(address(request, step))
        answer = save(client, request, step, rider.steps[step])
        if answer.status_code == 200:  # a check asked something; press the button again
            answer = save(client, request, step, rider.steps[step], seen=answer.context["seen"])
        assert answer.status_code == 302, (step, [(f.spec.name, f.errors) for f in answer.context["problems"]])
        # As the page stands with these answers.
        again = client.get(address(request, step))
        here = {field.spec.name: field for group in again.context["groups"] for field in group.fields}
        shown = {name for name, field in here.items() if field.spec.is_asked(rider.steps[step])}
        assert set(rider.steps[step]) <= set(here), (step, set(rider.steps[step]) - set(here))
        asked += shown
        assert page.status_code == again.status_code == 200
    assert rider.asked <= set(asked), rider.asked - set(asked)
    assert not rider.lacks & set(asked), rider.lacks & set(asked)
    assert save(client, request, "review", {"consent": "on"}).status_code == 302

    request = SetupRequest.objects.get()
    assert request.state == "received"
    rows = Setting.objects.filter(is_current=True).select_related("adjuster")
    assert {row.adjuster.key: row.mode or row.value for row in rows} == rider.stands
    case = build_case(request.round())
    assert {row.key for row in case.adjusters} == set(rider.stands)
    assert case.answers.get("levelling_done", "") == ("yes" if rider is SEMI_ACTIVE else "")
    assert client.get(f"/requests/{request.reference}/").status_code == 200


def test_modes_come_first_where_electronics_do_the_rest(client):
    request = begin(client, units="metric")
    save(client, request, "bike", SEMI_ACTIVE.steps["bike"])
    page = client.get(address(request, "settings"))
    names = [spec.name for group in page.context["groups"] for spec in group.group.fields]
    assert names[:2] == ["front.mode.found", "rear.mode.found"]
