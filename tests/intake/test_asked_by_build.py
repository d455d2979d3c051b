"""What is asked of every way of building a bike, in every discipline and with every load.

The rules stand here once more, written from what such bikes have, and not from the form's own tables.
"""

import itertools

import pytest

from intake.choices import Discipline, FrontArchitecture, RearArchitecture
from intake.models import Bike, Client, Round, SetupRequest, StepDraft
from intake.services import readings
from intake.steps import PAGES, SHORT_WAY, At
from intake.steps.form import StepForm
from tests.intake.at_form import begin, save

pytestmark = pytest.mark.django_db

FRONTS, REARS, DISCIPLINES = FrontArchitecture.values, RearArchitecture.values, Discipline.values
LOADS = ("solo", "solo_luggage", "two_up", "two_up_luggage")
#: By name of a field: the front ends that have what it asks for.
OF_FRONT = {
    "spring_rate.front.left": {"coil", "coil_split", "semi_active", "sidecar"},
    "spring_rate.front.right": {"coil", "coil_split", "semi_active", "sidecar"},
    "front.preload.left.found": set(FRONTS) - {"air", "hub_centre"},
    "front.preload.right.range": set(FRONTS) - {"air", "hub_centre"},
    "front.rebound.left.found": set(FRONTS) - {"semi_active", "hub_centre"},
    "front.compression.right.found": set(FRONTS) - {"semi_active", "hub_centre"},
    "front.fork_position.left.found": {"coil", "coil_split", "air", "semi_active"},
    "front.fork_position.right.found": {"coil", "coil_split", "air", "semi_active"},
    "air_pressure.front": {"air"},
    "front.mode.found": {"semi_active"},
    "fluid_age": set(FRONTS) - {"leading_link", "hub_centre"},
    "fork_offset": set(FRONTS) - {"leading_link", "hub_centre"},
    # One shock in front has no legs.
    "front.preload.found": {"hub_centre"},
}
OF_REAR = {
    "spring_rate.rear": set(REARS),
    "leverage.rear": {"linkage", "direct", "cantilever", "twin_shock"},
    "leverage_end.rear": {"linkage"},
    "rear.preload.found": set(REARS),
    "rear.rebound.found": set(REARS) - {"semi_active"},
    "rear.compression_low.found": set(REARS) - {"semi_active"},
    "rear.ride_height.found": {"linkage", "direct", "cantilever"},
    "rear.mode.found": {"semi_active"},
}
OF_LOAD = {
    "passenger_mass": {"two_up", "two_up_luggage"},
    "luggage_mass": {"solo_luggage", "two_up_luggage"},
}
OF_DISCIPLINE = {
    "terrain": {"adventure", "dual_sport", "enduro", "motocross"},
    "s.bottoms_landing": {"adventure", "dual_sport", "enduro", "motocross", "supermoto"},
}
ALWAYS = {
    "name", "front", "rear", "rider_mass", "load_state", "length_topped_out.front", "length_rider_aboard.rear",
    "stroke.front", "deepest_normal.rear", "wheelbase", "tyre_pressure.front",
}  # fmt: skip


def built(front: str, rear: str, discipline: str = "naked", load: str = "solo", way: str = "whole") -> At:
    """Return a new request for a bike built so."""
    client = Client.objects.create()
    request = SetupRequest.objects.create(client=client, discipline=discipline, way=way)
    Bike.objects.create(request=request, front=front, rear=rear)
    round_ = Round.objects.create(request=request, number=1)
    StepDraft.objects.create(round=round_, step="rider", version=1, fields={"load_state": load})
    return At(request, round_)


def asked(at: At, load: str = "solo") -> list[str]:
    """Return the names of all that the whole form asks, in order."""
    bike = at.request.bike
    names = []
    for page in PAGES.values():
        form = StepForm(
            page.groups(at), at.client, {"front": bike.front, "rear": bike.rear, "load_state": load}, check=False
        )
        here = [spec.name for spec in form.specs() if spec.name not in form.unasked]
        assert len(here) == len(set(here)), f"{page.id} asks twice under one name"
        names += here
    return names


def wanted(front: str, rear: str, discipline: str, load: str) -> dict[str, bool]:
    answers = ((OF_FRONT, front), (OF_REAR, rear), (OF_LOAD, load), (OF_DISCIPLINE, discipline))
    found = {name: answer in who for rules, answer in answers for name, who in rules.items()}
    return found | dict.fromkeys(ALWAYS, True) | {"levelling_done": "semi_active" in (front, rear)}


@pytest.mark.parametrize(("front", "rear"), list(itertools.product(FRONTS, REARS)))
def test_what_is_asked_follows_from_how_the_bike_is_built(front, rear):
    at = built(front, rear)
    names = asked(at)
    found = {name: name in names for name in wanted(front, rear, "naked", "solo")}
    assert found == wanted(front, rear, "naked", "solo")


@pytest.mark.parametrize(("discipline", "load"), list(itertools.product(DISCIPLINES, LOADS)))
def test_what_is_asked_follows_from_riding_and_load(discipline, load):
    at = built("coil", "linkage", discipline, load)
    names = asked(at, load)
    assert {name: name in names for name in wanted("coil", "linkage", discipline, load)} == wanted(
        "coil", "linkage", discipline, load
    )


@pytest.mark.slow
@pytest.mark.parametrize(("front", "rear"), list(itertools.product(FRONTS, REARS)))
def test_no_page_fails_whatever_is_answered(front, rear):
    for discipline, load in zip(DISCIPLINES, itertools.cycle(LOADS), strict=False):
        at = built(front, rear, discipline, load)
        names, told = asked(at, load), wanted(front, rear, discipline, load)
        assert {name: name in names for name in told} == told, (discipline, load)
        for page in SHORT_WAY.values():
            assert page.specs(at) or page.id in {"review"}


def test_what_the_bike_lacks_is_not_asked_once_its_adjusters_are_ticked(client):
    request = begin(client, units="metric")
    ticks = {"turns.cap.front.rebound.right": "on", "turns.remote.rear.preload": "on"}
    told = {"name": "Alder Twin", "front": "coil", "rear": "twin_shock"}
    assert save(client, request, "bike", told | ticks).status_code == 302
    page = client.get(f"/requests/{request.reference}/round/1/settings/")
    names = [spec.name for group in page.context["groups"] for spec in group.group.fields]
    settings = {name for name in names if name.endswith(".found")}
    # The fork's place in its clamps is measured, not turned.
    assert settings == {
        "front.rebound.right.found", "rear.preload.found",
        "front.fork_position.left.found", "front.fork_position.right.found",
    }  # fmt: skip


def test_a_tick_taken_back_leaves_what_was_told_of_it(client):
    request = begin(client, units="metric")
    told = {"name": "Alder Twin", "front": "coil", "rear": "twin_shock"}
    both = {"turns.cap.front.rebound.right": "on", "turns.body.rear.rebound": "on"}
    save(client, request, "bike", told | both)
    save(client, request, "settings", {"rear.rebound.counted_in": "click", "rear.rebound.found": "7"})
    save(client, request, "bike", told | {"turns.cap.front.rebound.right": "on"})
    page = client.get(f"/requests/{request.reference}/round/1/settings/")
    drawn = {field.spec.name: field for group in page.context["groups"] for field in group.fields}
    assert drawn["rear.rebound.found"].value == "7"
    assert "none as a rule" in str(drawn["rear.rebound.found"].spec.hint)
    # Emptied, it goes.
    save(client, request, "settings", {"rear.rebound.found": ""})
    page = client.get(f"/requests/{request.reference}/round/1/settings/")
    assert "rear.rebound.found" not in [spec.name for group in page.context["groups"] for spec in group.group.fields]


@pytest.mark.parametrize(("front", "left"), [("leading_link", True), ("hub_centre", True), ("sidecar", False)])
def test_ticks_at_the_rear_rule_out_nothing_of_a_front_end_that_has_no_ticks(front, left):
    at = built(front, "twin_shock")
    readings.put_adjuster(at.request.bike, "rear.preload", unit="step", place="body")
    names = asked(at)
    assert any(name.startswith("front.preload.") for name in names) == left
    assert "rear.preload.found" in names
    assert "rear.rebound.found" not in names
