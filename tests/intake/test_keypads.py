"""Every number's keypad has the keys its numbers are written with, in each unit it may be asked for in."""

import pytest
from django.template.loader import render_to_string

from intake.models import Client
from intake.steps import PAGES, SHORT_WAY, At
from intake.steps.fields import Measure, Number
from intake.steps.form import StepForm
from tests.intake.rounds import started
from tuning.engine.quantities import QUANTITIES

pytestmark = pytest.mark.django_db

UNIT_FIELDS = ("length_unit", "mass_unit", "pressure_unit", "rate_unit")
SYSTEMS = (
    ("mm", "kg", "bar", "N/mm"),
    ("in", "lb", "psi", "lbf/in"),
    ("mm", "kg", "kPa", "kgf/mm"),
)
#: What phones show for an ``inputmode`` at the least: iOS has no more than this for "numeric" and "decimal".
KEYS = {"numeric": set("0123456789"), "decimal": set("0123456789.,"), "text": None}


def numbers():
    round_ = started().round()
    round_.request.discipline = "enduro"
    at = At(round_.request, round_)
    for page in {**PAGES, **SHORT_WAY}.values():
        for spec in page.specs(at):
            if isinstance(spec, Number):
                yield page, spec


def examples(spec: Number, unit: str) -> list[str]:
    """Return how numbers of a field are written in a unit, as widely as is usual."""
    if isinstance(spec, Measure) and spec.dimension == "count":
        return ["7"]
    found = ["34", "2.4", "2,4"]
    if unit == "in":
        found.append("1 3/8")
    low = QUANTITIES[spec.quantity].low if isinstance(spec, Measure) else spec.low
    if low is None or low < 0:
        found.append("-3")
    return found


@pytest.mark.parametrize("units", SYSTEMS)
def test_the_keypad_can_write_what_the_field_takes(units):
    client = Client(**dict(zip(UNIT_FIELDS, units, strict=True)))
    seen = set()
    for page, spec in numbers():
        unit = spec.unit(client, {})
        keys = KEYS[spec.keypad(unit)]
        seen.add(spec.keypad(unit))
        for text in examples(spec, unit):
            assert keys is None or set(text) <= keys, (page.id, spec.name, unit, text)
        # And no wider than needed: a digit on the plain keyboard is two taps away.
        if all(set(text) <= KEYS["decimal"] for text in examples(spec, unit)):
            assert spec.keypad(unit) in {"decimal", "numeric"}, (page.id, spec.name, unit)
    assert seen == {"numeric", "decimal", "text"}


def test_the_keypad_is_drawn_and_a_questioned_field_gets_letters_for_its_unit():
    round_ = started().round()
    at = At(round_.request, round_)
    at.request.client.mass_unit = "kg"
    groups = PAGES["rider"].groups(at)
    form = StepForm(groups, at.client, {"load_state": "solo", "rider_mass": "84"}, check=True)
    drawn = {field.spec.name: field for group in form.drawn() for field in group.fields}
    page = render_to_string("intake/fields/number.html", {"drawn": drawn["rider_mass"]})
    assert 'inputmode="decimal"' in page
    wrong = StepForm(groups, at.client, {"load_state": "solo", "rider_mass": "840"}, check=True)
    drawn = {field.spec.name: field for group in wrong.drawn() for field in group.fields}
    assert 'inputmode="text"' in render_to_string("intake/fields/number.html", {"drawn": drawn["rider_mass"]})


def test_a_number_that_cannot_be_offers_the_unit_it_may_be_in():
    round_ = started().round()
    at = At(round_.request, round_)
    groups = PAGES["bike"].groups(at)
    for typed, offered in (
        ("36", "36\u00a0psi"),  # 3600 kPa in bar, 248 kPa in psi
        ("240", "240\u00a0kPa"),
        ("36 bar", ""),  # so it was meant
    ):
        form = StepForm(groups, at.client, {"name": "x", "tyre_pressure.front": typed}, check=True)
        (error,) = form.errors["tyre_pressure.front"]
        assert (f"Did you mean {offered}?" in error) == bool(offered)
        assert "between 0.3\u00a0bar and 5\u00a0bar" in error
