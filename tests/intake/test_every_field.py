"""Whatever is typed into any field: it is told with a way out, or it is kept as it was typed and read as it says.

The fields come from the pages, so that a new one is held to this too. The expected value of a number is worked out by
the test itself, in fractions; an inch is 25.4 mm, a pound 0.45359237 kg, standard gravity 9.80665 m/s².
"""

import datetime
from fractions import Fraction

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.models import Reading, SetupRequest, StepDraft
from intake.steps.behaviour import Complaint
from intake.steps.fields import LOST, Choice, Day, Email, Field, Group, Measure, Number, Text, Tick, Whole
from intake.steps.form import StepForm
from intake.typed import Typed
from tests.intake.at_form import address
from tests.intake.every_field import ALL_PAGES, BIKES, HOSTILE, SYSTEMS, at_of, every_field, independent
from tests.intake.filled import FILLED
from tuning.engine.units import UNITS

pytestmark = pytest.mark.django_db
THOUSANDS = pytest.mark.slow

_POUND, _G = Fraction(45359237, 100_000_000), Fraction(980665, 100_000)
_INCH = Fraction(254, 10)
#: One of each unit in the canonical one, by definition.
FACTORS = {
    "mm": 1, "cm": 10, "m": 1000, "in": _INCH, "ft": 12 * _INCH, "kg": 1, "lb": _POUND,
    "N/mm": 1, "kgf/mm": _G, "lbf/in": _POUND * _G / _INCH,
    "kPa": 1, "bar": 100, "psi": _POUND * _G / _INCH**2 * 1000, "kgf/cm2": _G * 10,
    "deg": 1, "1": 1, "%": Fraction(1, 100), "click": 1, "turn": 1, "line": 1, "step": 1,
}  # fmt: skip


def kept(text: str) -> str:
    """Return a text as it is kept: without a null character, which stands as a mark."""
    return text.replace("\x00", LOST)


def outcome(at, spec: Field, text: str):
    """Return (errors, cleaned value) of a field alone on a page."""
    form = StepForm([Group("", [spec])], at.client, {spec.name: kept(text)}, check=True)
    return [str(error) for error in form.errors.get(spec.name, [])], form.cleaned_data.get(spec.name)


def hold(at, spec: Field, text: str) -> None:
    errors, value = outcome(at, spec, text)
    if errors:
        assert all(len(error) > 15 for error in errors), errors  # a sentence, not a word
        return
    assert "\x00" not in text
    assert LOST not in text
    typed = text.strip()
    if isinstance(spec, Number):
        read(spec, typed, value)
    elif isinstance(spec, Tick | Complaint):
        assert value in {True, False}
    elif isinstance(spec, Choice):
        assert value == text == "" or value in dict(spec.choices)
        assert value == text
    elif isinstance(spec, Whole):
        assert (value is None) == (typed == "")
        assert value is None or (value == independent(typed) and spec.low <= value <= spec.high)
    elif isinstance(spec, Day):
        assert (value is None) == (typed == "")
        assert value is None or value == datetime.date(*(int(part) for part in typed.split("-")))
    elif isinstance(spec, Text | Email):
        assert value == typed
        assert len(typed) <= spec.longest
    else:
        raise AssertionError(f"{type(spec).__name__}: say here what holds of a new kind of field")


def read(spec: Number, typed: str, value: Typed | None) -> None:
    if not typed:
        assert value is None
        return
    assert value is not None
    number = independent(typed)
    assert Fraction(value.value) == pytest.approx(number, rel=1e-15, abs=1e-300)
    assert value.canonical == pytest.approx(float(number * FACTORS[value.unit]), rel=1e-12, abs=1e-300)
    assert spec.low is None or value.canonical >= spec.low
    assert spec.high is None or value.canonical <= spec.high


def hold_every_field(units: dict[str, str], examples: int) -> None:
    for at, _page, spec in every_field(units):
        held_under_any_text(at, spec, examples)


def held_under_any_text(at, spec: Field, examples: int) -> None:
    @settings(max_examples=examples, deadline=None, database=None)
    @given(text=HOSTILE)
    def held(text: str) -> None:
        hold(at, spec, text)

    held()


@pytest.mark.parametrize("units", SYSTEMS[:1])
def test_any_text_in_any_field_is_told_or_kept(units):
    hold_every_field(units, 8)


@THOUSANDS
@pytest.mark.parametrize("units", SYSTEMS)
def test_thousands_of_texts_in_any_field_are_told_or_kept(units):
    hold_every_field(units, 60)


# --- Numbers, by construction --------------------------------------------------------------------------------------

#: How people write a unit that a field may be in.
WRITTEN = {
    "mm": ["mm", " mm", " mm.", " Millimeter"], "cm": [" cm"], "in": ['"', " in", " Zoll", " pulgadas", "''"],
    "kg": ["kg", " kg", " Kilo", " kilos"], "lb": ["lbs", " lb", " libras"], "bar": [" bar", "Bar", " bares"],
    "psi": ["psi", " PSI"], "kPa": [" kPa"], "N/mm": [" N/mm"], "kgf/mm": [" kgf/mm", " kg/mm"],
    "lbf/in": [" lb/in", " lbf/in"], "deg": ["°", " Grad", " grados"],
}  # fmt: skip


@st.composite
def numbers(draw, spec: Number, unit: str) -> tuple[str, Fraction, str]:
    """Return a text, the number it says, and the unit it is in."""
    known = [u for u in WRITTEN if FACTORS.get(u) and _dimension(u) == spec.dimension]
    written = draw(st.sampled_from([None, *known])) if known else None
    own = written or unit
    factor = Fraction(FACTORS[own])
    low = Fraction(spec.low if spec.low is not None else -1000) / factor
    high = Fraction(spec.high if spec.high is not None else 10_000) / factor
    span = high - low
    near = st.fractions(low - span / 4, high + span / 4)
    denominator = draw(st.sampled_from([1, 2, 4, 8, 16, 10, 100]))
    number = Fraction(round(draw(near) * denominator), denominator)
    whole, part = divmod(abs(number), 1)
    if denominator in {10, 100}:
        places = {10: 1, 100: 2}[denominator]
        text = f"{whole}{draw(st.sampled_from('.,'))}{round(part * denominator):0{places}d}"
    elif part:
        text = f"{part.numerator}/{part.denominator}"
        text = f"{whole}{draw(st.sampled_from(' -'))}{text}" if whole else text
    else:
        text = f"{whole}"
    minus = draw(st.sampled_from("-−")) if number < 0 else ""
    suffix = draw(st.sampled_from(WRITTEN[written])) if written else ""
    return f"{minus}{text}{suffix}", number, own


def _dimension(unit: str) -> str:
    return UNITS[unit].dimension


def hold_numbers(units: dict[str, str], examples: int) -> None:
    for at, _page, spec in every_field(units):
        if isinstance(spec, Number):
            read_as_they_say(at, spec, examples)


def read_as_they_say(at, spec: Number, examples: int) -> None:
    unit = spec.unit(at.client, {})
    low, high = (None if limit is None else Fraction(limit) for limit in (spec.low, spec.high))
    edge = Fraction(1, 10**9)

    @settings(max_examples=examples, deadline=None, database=None)
    @given(data=st.data())
    def held(data) -> None:
        text, number, own = data.draw(numbers(spec, unit))
        errors, value = outcome(at, spec, text)
        canonical = number * Fraction(FACTORS[own])
        if (low is not None and canonical < low - edge) or (high is not None and canonical > high + edge):
            assert errors, (spec.name, text)
            assert "between" in errors[0]
        elif (low is None or canonical > low + edge) and (high is None or canonical < high - edge):
            assert not errors, (spec.name, text, errors)
            assert own in (value.unit, "1") or spec.dimension == "count"
            assert value.canonical == pytest.approx(float(canonical), rel=1e-12, abs=1e-12)

    held()


@pytest.mark.parametrize("units", SYSTEMS[:1])
def test_a_number_within_the_limits_is_read_and_one_beyond_is_told(units):
    hold_numbers(units, 4)


@THOUSANDS
@pytest.mark.parametrize("units", SYSTEMS)
def test_thousands_of_numbers_are_read_as_they_say(units):
    hold_numbers(units, 40)


# --- Through the door ----------------------------------------------------------------------------------------------


def post_and_hold(bike, units, page, data) -> None:
    browser = Client()
    browser.post("/start/", {"units": "metric"})
    request = SetupRequest.objects.latest("pk")
    for name, value in units.items():
        setattr(request.client, name, value)
    request.client.save()
    request.discipline, request.bike.front, request.bike.rear = bike
    request.way = "short" if page.id not in FILLED and page.id != "review" else request.way
    request.save()
    request.bike.save()
    at = at_of(request)
    specs = page.specs(at)
    names = data.draw(st.lists(st.sampled_from([spec.name for spec in specs]), max_size=4, unique=True))
    hostile = {name: data.draw(HOSTILE, label=name) for name in names}
    fields = {**FILLED.get(page.id, {}), **hostile, "base": "0"}
    answer = browser.post(address(request, page.id), fields)
    assert answer.status_code in {200, 302, 422}, answer.status_code
    draft = StepDraft.objects.filter(round__request=request, step=page.id).order_by("-version").first()
    assert draft is not None
    for name, text in hostile.items():
        assert draft.fields[name] == kept(text)
    wrong = {
        field.spec.name
        for group in (answer.context or {}).get("groups", [])
        for field in group.fields
        if field.errors
    }
    assert (answer.status_code == 422) == bool(wrong) or page.id == "review"
    for row in Reading.objects.filter(round__request=request, is_current=True):
        spec = next(s for s in specs if isinstance(s, Measure) and (s.quantity, s.end, s.leg, s.approach, s.repeat)
                    == (row.quantity, row.end, row.leg, row.approach, row.repeat))  # fmt: skip
        assert row.text == kept(fields[spec.name]).strip()
        assert spec.low <= row.value <= spec.high
    back = browser.get(address(request, page.id))
    assert back.status_code == 200
    shown = {f.spec.name: f.value for group in back.context["groups"] for f in group.fields}
    for name, text in hostile.items():
        if text and name in shown:
            assert shown[name] == kept(text)


def through_the_door(page: str, examples: int) -> None:
    @settings(max_examples=examples, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(data=st.data(), bike=st.sampled_from(BIKES), units=st.sampled_from(SYSTEMS))
    def held(data, bike, units) -> None:
        post_and_hold(bike, units, ALL_PAGES[page], data)

    held()


@pytest.mark.parametrize("page", sorted(ALL_PAGES))
def test_what_is_posted_is_kept_as_typed(page, settings):
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
    through_the_door(page, 4)


@THOUSANDS
@pytest.mark.parametrize("page", sorted(ALL_PAGES))
def test_hundreds_of_pages_posted_are_kept_as_typed(page, settings):
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
    through_the_door(page, 40)
