"""Fields that hang on another answer of their step: hidden by a rule of the style sheet, not read, never lost."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from intake.choices import FrontArchitecture
from intake.models import Bike, Client, Reading, Round, SetupRequest
from intake.steps import LATER_ROUNDS, PAGES, At
from intake.steps.fields import Choice, Group, Text
from intake.steps.form import StepForm
from tests.intake.at_form import address, base_of, begin, save

pytestmark = pytest.mark.django_db

RULE = re.compile(
    r"""form:has\(\[name="(?P<name>[^"]+)"\](?: > )?\[value="(?P<value>[^"]+)"\]:checked\)"""
    r""" \[data-if="(?P<on>[^"]+)"\]:not\(\[data-is~="(?P<unless>[^"]+)"\]\)"""
)


def rules() -> set[tuple[str, str]]:
    """Return what the style sheet has a rule for: the field asked and its answer."""
    sheet = Path(str(finders.find("intake/asked.css"))).read_text()
    found = list(RULE.finditer(sheet))
    assert found
    for rule in found:
        assert rule["name"] == rule["on"], rule[0]
        assert rule["value"] == rule["unless"], rule[0]
    return {(rule["name"], rule["value"]) for rule in found}


def test_every_answer_that_rules_something_out_has_its_rule():
    needed: set[tuple[str, str]] = set()
    hanging: set[str] = set()
    for front in FrontArchitecture.values:
        request = SetupRequest.objects.create(client=Client.objects.create())
        Bike.objects.create(request=request, front=front)
        for number in (1, 2):
            at = At(request, Round.objects.create(request=request, number=number))
            for step, page in PAGES.items():
                if number == 2 and step not in LATER_ROUNDS:
                    continue
                by_name = {spec.name: spec for spec in page.specs(at)}
                for spec in by_name.values():
                    if spec.only_if is None:
                        continue
                    name, answers = spec.only_if
                    asked = by_name[name]
                    assert isinstance(asked, Choice)
                    given = {value for value, _label in asked.choices}
                    assert answers <= given, f"{spec.name} hangs on what {name} never answers"
                    hanging.add(spec.name)
                    needed |= {(name, value) for value in given - answers}
    assert {"passenger_mass", "luggage_mass", "leverage.rear", "spring_rate.front.left"} <= hanging
    assert needed <= rules(), needed - rules()


def form(values: dict[str, str]) -> StepForm:
    either = Choice(name="either", label="Either", choices=(("a", "A"), ("b", "B")))
    hung = Text(name="hung", label="Hung", longest=3, required="Say it.", only_if=("either", frozenset({"a"})))
    return StepForm([Group("Group", [either, hung])], Client(), values, check=True)


def test_a_field_ruled_out_is_neither_read_nor_complained_of():
    ruled_out = form({"either": "b", "hung": "far too long \ufffd"})
    assert ruled_out.is_valid()
    assert ruled_out.cleaned_data["hung"] == ""
    assert not form({"either": "a", "hung": "far too long"}).is_valid()
    assert not form({"either": "a", "hung": ""}).is_valid()
    # While the other is open, nothing is ruled out.
    assert not form({"either": "", "hung": ""}).is_valid()


def test_a_passengers_weight_is_not_recorded_for_a_rider_alone_and_comes_back_with_the_passenger(client):
    request = begin(client, units="metric")
    told = {"rider_mass": "84", "passenger_mass": "61", "luggage_mass": "12"}
    assert save(client, request, "rider", told | {"load_state": "two_up"}).status_code == 302
    assert set(masses()) == {"rider_mass", "passenger_mass"}

    # What no question is any more may be as wrong as it likes.
    alone = told | {"load_state": "solo", "luggage_mass": "plenty"}
    assert save(client, request, "rider", alone).status_code == 302
    assert masses() == ["rider_mass"]
    page = client.get(address(request, "rider"))
    drawn = {field.spec.name: field for group in page.context["groups"] for field in group.fields}
    assert (drawn["passenger_mass"].value, drawn["luggage_mass"].value) == ("61", "plenty")
    assert drawn["luggage_mass"].errors == []
    assert "What you typed there is kept." in page.content.decode()

    assert save(client, request, "rider", told | {"load_state": "two_up_luggage"}).status_code == 302
    assert set(masses()) == {"rider_mass", "passenger_mass", "luggage_mass"}


def masses() -> list[str]:
    rows = Reading.objects.filter(is_current=True, quantity__endswith="_mass")
    return sorted(rows.values_list("quantity", flat=True))


def test_fork_springs_are_taken_back_when_the_fork_turns_out_to_have_air_and_their_text_stays(client):
    request = begin(client, units="metric")
    told = {"name": "Kestrel 450 M", "front": "coil", "rear": "linkage", "spring_rate.front.left": "4.6"}
    assert save(client, request, "bike", told).status_code == 302
    assert Reading.objects.filter(quantity="spring_rate", is_current=True).exists()

    assert save(client, request, "bike", told | {"front": "air"}).status_code == 302
    assert not Reading.objects.filter(quantity="spring_rate", is_current=True).exists()
    draft = request.rounds.get().drafts.get(step="bike", version=base_of(request, "bike"))
    assert draft.fields["spring_rate.front.left"] == "4.6"
    # What is not used is not looked over either.
    review = client.get(address(request, "review")).content.decode()
    assert "Kestrel 450 M" in review
    assert "4.6" not in review


def test_without_a_script_all_of_it_stands_on_the_page(client):
    request = begin(client, units="metric")
    page = client.get(address(request, "rider")).content.decode()
    assert 'data-if="load_state"' in page
    assert 'name="passenger_mass"' in page
    assert 'name="luggage_mass"' in page


def test_a_group_of_which_nothing_is_left_goes_whole_unless_it_holds_what_is_not_read():
    either = Choice(name="either", label="Either", choices=(("a", "A"), ("b", "B")))
    hung = Text(name="hung", label="Hung", only_if=("either", frozenset({"a"})))
    groups = [
        Group("First", [either]),
        Group("Second", [hung]),
        Group("Third", [Text(name="free", label="Free"), hung]),
    ]

    def hangs(text: str) -> list[object]:
        drawn = StepForm(groups, Client(), {"either": "b", "hung": text}, check=False).drawn()
        return [group.only_if for group in drawn]

    assert hangs("") == [None, ("either", frozenset({"a"})), None]
    assert hangs("kept") == [None, None, None]
