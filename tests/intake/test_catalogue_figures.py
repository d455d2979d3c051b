"""Every figure a catalogue may hold, in every unit a client may read: it reads back as what it was."""

import pytest
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from intake import typed
from intake.catalogue.keys import ADJUSTERS, VALUES
from intake.models import Client, Reading
from intake.steps import PAGES, At
from intake.steps.fields import Measure
from intake.steps.from_catalogue import DIGITS, shown
from intake.steps.settings import KNOBS
from tests.intake.at_form import address, begin, save
from tests.intake.catalogued import bike
from tests.intake.test_catalogue_choice import TYPED, posted
from tuning.engine.units import width_to_canonical

pytestmark = pytest.mark.slow

#: What a client may choose, by dimension; the rest has one unit.
UNITS = {
    "length": ("mm", "in"),
    "mass": ("kg", "lb"),
    "pressure": ("bar", "psi", "kPa"),
    "rate": ("N/mm", "kgf/mm", "lbf/in"),
    "angle": ("deg",),
    "ratio": ("1",),
}
PAIRS = [(key, unit) for key, known in VALUES.items() for unit in UNITS[known.of.dimension]]


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(("key", "unit"), PAIRS)
@given(data=st.data())
def test_what_is_shown_reads_back_within_its_last_digit(key, unit, language, data):
    known = VALUES[key]
    value = data.draw(st.floats(known.of.low, known.of.high) | st.sampled_from([known.of.low, known.of.high]))
    with translation.override(language):
        text = shown(known, value, unit)
    read = typed.parse(text, known.of.dimension, unit, (known.of.low, known.of.high))
    assert known.of.low <= read.canonical <= known.of.high
    # Rounded to the nearest, or where that is past what is possible, to the next.
    assert abs(read.canonical - value) <= width_to_canonical(10.0 ** -DIGITS[unit], unit) * (1 + 1e-6)


@pytest.mark.django_db
@pytest.mark.parametrize("key", VALUES)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_saved_untouched_every_figure_is_the_catalogues(client, units, key):
    known = VALUES[key]
    value = round(known.of.low + (known.of.high - known.of.low) * 0.37, 3)
    entry = bike(
        rear="linkage", values={key: {"value": value, "half_width": known.widest / 4, "source": ""}}, adjusters={}
    )
    request = begin(client, units=units)
    save(client, request, "bike", TYPED, choose=str(entry.pk))
    step = "travel" if known.quantity == "stroke" else "bike"
    page = client.get(address(request, step))
    saved = save(client, request, step, posted(page))
    if saved.status_code == 200:
        saved = save(client, request, step, posted(page), seen=saved.context["seen"])
    row = Reading.objects.get(round__request=request, is_current=True)
    assert (row.key(), row.method) == (key, "catalogue")
    assert row.value == pytest.approx(value, abs=width_to_canonical(10.0 ** -DIGITS[row.unit], row.unit))
    assert row.half_width >= known.widest / 4


@pytest.mark.django_db
@pytest.mark.parametrize("built", [("coil", "linkage"), ("coil_split", "direct"), ("air", "cantilever")])
def test_the_form_asks_for_all_that_the_catalogue_holds(built):
    from intake.services import requests

    request = requests.start_request()
    requests.describe_bike(request, front=built[0], rear=built[1])
    at = At(request, request.round())
    at.round.request = request
    asked = {s.name: s for page in ("bike", "travel") for s in PAGES[page].specs(at) if isinstance(s, Measure)}
    assert Client().unit_of("length") == "mm"
    for key, known in VALUES.items():
        assert asked[key].quantity == known.quantity
        assert (asked[key].end, asked[key].leg, asked[key].dimension) == (known.end, known.leg, known.of.dimension)


def test_the_catalogues_adjusters_are_those_of_the_form():
    knobs = {knob.key(leg): knob for knob in KNOBS for leg in knob.legs}
    modes = {"front.mode", "rear.mode"}
    assert set(ADJUSTERS) - modes <= set(knobs)
    for key in set(ADJUSTERS) - modes:
        own = tuple(unit for unit, _name in knobs[key].units) or ("mm",)
        assert ADJUSTERS[key].units == own, key
