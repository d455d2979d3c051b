"""What holds of every bike: symmetries, conservation, monotonicity, and that doing nothing changes nothing."""

import dataclasses
import math
import random
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tests.engine.documents import SOUND
from tests.engine.documents.bikes import between, bikes
from tuning.engine.bike import Change, changed
from tuning.engine.case import FRONT_REFUSED, Case
from tuning.engine.derivation import Derived
from tuning.engine.derive import derive, derive_many
from tuning.engine.document import read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.levers import Wish
from tuning.engine.outlook import outlook
from tuning.engine.propagate import finalise
from tuning.engine.units import CANONICAL, UNITS
from tuning.engine.whatif import foretell, model_of, what_if

pytestmark = [pytest.mark.filterwarnings("error::RuntimeWarning"), pytest.mark.slow]
#: Documents: whole bikes, and sound ones of any readings.
ANY = bikes() | SOUND
tried = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)
END = st.sampled_from(("front", "rear"))
#: Half-widths come from differences of a thousandth of u: good to about this.
WIDTHS = 1e-6
_OTHER = {"left": "right", "right": "left"}


def same(one: Mapping[str, Derived], other: Mapping[str, Derived], rel: float = 1e-9) -> None:
    """Assert that two sets of values are equal: numbers within ``rel``, all else exactly."""
    assert list(one) == list(other)
    for key, value in one.items():
        alike(value, other[key], rel)


def alike(value: Derived, other: Derived, rel: float = 1e-9) -> None:
    assert (value.status, value.unit, value.formula) == (other.status, other.unit, other.formula), value.key
    assert (value.value is None) == (other.value is None), value.key
    if value.value is None or other.value is None:
        return
    assert value.half_width is not None
    assert other.value == pytest.approx(value.value, rel=rel, abs=rel * max(value.half_width, 1e-3)), value.key
    assert other.half_width == pytest.approx(value.half_width, rel=WIDTHS, abs=WIDTHS * abs(value.value)), value.key


def sound(document: Mapping[str, Any]) -> Case:
    try:
        return read_document(document)
    except EngineInputError:
        assume(False)
        raise


# --- The same bike told another way ---------------------------------------------------------------------------------

#: The customary unit of each dimension.
_CUSTOMARY = {
    "length": "in", "mass": "lb", "rate": "lbf/in", "pressure": "psi", "area": "in2", "volume": "in3",
    "temperature": "degF", "ratio": "%", "angle": "deg", "time": "ms", "count": "1",
}  # fmt: skip


def _customary(row: Mapping[str, Any]) -> dict[str, Any]:
    unit = UNITS[row["unit"]]
    other = UNITS[_CUSTOMARY[unit.dimension]] if unit.id not in ("turn", "click", "line", "step") else unit
    made = {**row, "value": other.shown(unit.canonical(row["value"])), "unit": other.id}
    if "half_width" in row:
        made["half_width"] = row["half_width"] * unit.factor / other.factor
    return made


@tried
@given(bikes())
def test_the_unit_does_not_matter(document: dict[str, Any]) -> None:
    inches = {**document, "readings": [_customary(row) for row in document["readings"]]}
    assert {row["unit"] for row in inches["readings"]}.isdisjoint({"mm", "kg", "N/mm"})
    same(derive(read_document(document)).values, derive(read_document(inches)).values)


def test_every_dimension_has_a_customary_unit() -> None:
    dimensions = {unit.dimension for unit in UNITS.values()}
    assert _CUSTOMARY.keys() == dimensions & CANONICAL.keys() & _CUSTOMARY.keys()


def _mirrored(document: Mapping[str, Any]) -> dict[str, Any]:
    """The same bike seen in a mirror: what was on the left is on the right."""
    adjusters = []
    for row in document.get("adjusters", []):
        *first, last = row["key"].split(".")
        adjusters.append({**row, "key": ".".join([*first, _OTHER.get(last, last)])})
    readings = [
        {**row, "leg": _OTHER[row["leg"]]} if row.get("leg") in _OTHER else row for row in document["readings"]
    ]
    return {**document, "readings": readings, "adjusters": adjusters}


@tried
@given(ANY)
def test_a_mirror_changes_nothing_but_the_sign_between_the_legs(document: dict[str, Any]) -> None:
    one, other = (derive(sound(each)).values for each in (document, _mirrored(document)))
    for key, value in one.items():
        *first, last = key.split(".")
        twin = other[".".join([*first, _OTHER.get(last, last)])]
        if key == "fork_leg_difference" and value.value is not None:
            value = dataclasses.replace(value, value=-value.value)
        alike(value, dataclasses.replace(twin, key=key))
    assert len(one) == len(other)


@tried
@given(ANY, st.randoms(use_true_random=False))
def test_the_order_of_the_readings_does_not_matter(document: dict[str, Any], chance: random.Random) -> None:
    shuffled = {**document, "readings": chance.sample(document["readings"], len(document["readings"]))}
    same(derive(sound(document)).values, derive(sound(shuffled)).values)


@tried
@given(bikes(), st.randoms(use_true_random=False))
def test_the_order_of_the_readings_does_not_matter_to_a_change(
    document: dict[str, Any], chance: random.Random
) -> None:
    shuffled = {**document, "readings": chance.sample(document["readings"], len(document["readings"]))}
    wishes = [Wish("rider_mass", by=7.0), Wish("front.preload_mm", by=2.0)]
    if any(row["quantity"] == "spring_rate" and row["end"] == "front" for row in document["readings"]):
        wishes.append(Wish("front.spring_rate", by=0.7))
    same(*(what_if(sound(each), wishes).difference for each in (document, shuffled)))


@tried
@given(bikes(), st.data())
def test_a_repeat_like_the_first_reading_never_widens_an_interval(
    document: dict[str, Any], data: st.DataObject
) -> None:
    readings = document["readings"]
    again = data.draw(st.sampled_from(readings))
    repeated = {**document, "readings": [*readings, {**again, "repeat": 2}]}
    before, after = (derive(sound(each)).values for each in (document, repeated))
    for key, value in before.items():
        if value.half_width is not None and after[key].half_width is not None:
            assert after[key].half_width <= value.half_width * (1 + WIDTHS) + 1e-12, (key, again)


# --- One way of asking and another ----------------------------------------------------------------------------------


@tried
@given(ANY)
def test_values_are_the_same_without_their_half_widths(document: dict[str, Any]) -> None:
    case = sound(document)
    full, fast = derive(case).values, derive(case, uncertain=False).values
    for key, value in full.items():
        if value.value is None:
            continue
        assert fast[key].value == pytest.approx(value.value, rel=1e-9, abs=1e-9), key
        assert fast[key].status == value.status, key
        # Adjusters and a film have their own, whatever is asked.
        assert fast[key].half_width in (0, value.half_width), key


@settings(tried, max_examples=10)
@given(st.lists(ANY, min_size=1, max_size=6))
def test_many_are_derived_as_each_is_alone(documents: list[dict[str, Any]]) -> None:
    cases = [sound(each) for each in documents]
    many = list(derive_many(cases))
    assert len(many) == len(cases)
    for case, found in zip(cases, many, strict=True):
        alone = derive(case)
        assert found.input_hash == alone.input_hash
        same(
            {key: alone.values[key] for key in sorted(alone.values)},
            {k: found.values[k] for k in sorted(found.values)},
        )
        assert found.checks == alone.checks


# --- Conservation ---------------------------------------------------------------------------------------------------


@tried
@given(bikes())
def test_the_wheels_carry_all_there_is(document: dict[str, Any]) -> None:
    values = derive(read_document(document)).values
    given_rows = {(row["quantity"], row.get("end", "")): row["value"] for row in document["readings"]}
    front, rear = (values[f"wheel_mass_bike_alone.{end}"].value or 0.0 for end in ("front", "rear"))
    weighed = [given_rows.get(("scale_bike_alone", end)) for end in ("front", "rear")]
    if None not in weighed:
        assert [front, rear] == pytest.approx(weighed)
    elif ("bike_mass", "") in given_rows:
        assert front + rear == pytest.approx(given_rows["bike_mass", ""], rel=1e-12)
    if None in weighed:
        aboard = sum(values[f"wheel_mass_rider_aboard.{end}"].value or 0.0 for end in ("front", "rear"))
        assert aboard - front - rear == pytest.approx(given_rows["rider_mass", ""], rel=1e-9)


# --- Changes --------------------------------------------------------------------------------------------------------


@tried
@given(bikes())
def test_doing_nothing_changes_nothing(document: dict[str, Any]) -> None:
    model = model_of(read_document(document))
    still = tuple(
        Wish(lever, by=0.0)
        for lever in ("front.preload_mm", "rear.preload_mm", "front.fork_position_mm", "rear.ride_height_mm")
    )
    for wishes in ((), still, (Wish("rider_mass", by=0.0),)):
        found = foretell(model, wishes)
        assert found.difference
        assert found.before.keys() == found.after.keys()
        for value in found.difference.values():
            assert (value.value, value.half_width) == (pytest.approx(0, abs=1e-9), pytest.approx(0, abs=1e-6)), value


@tried
@given(bikes(), between(0.2, 9.0), between(0.2, 9.0))
def test_there_and_back_again_changes_nothing(document: dict[str, Any], up: float, high: float) -> None:
    model = model_of(read_document(document))
    moves = {"fork_position": up, "rear_height": high, "front_preload": 1.5, "rear_preload": -1.0, "oil": 3.0}
    there = changed(model.bike, Change(**moves))
    back = changed(there, Change(**{name: -size for name, size in moves.items()}))
    as_found, gone, returned = (
        finalise(model.pack, outlook(model.pack, model.base, bike))[0] for bike in (model.bike, there, back)
    )
    same(as_found, returned, rel=1e-8)
    for key in ("rake_rider_aboard", "clearance.front"):
        if key in as_found:
            assert gone[key].value != as_found[key].value


@tried
@given(bikes(), END, between(1.0, 1.6))
def test_a_stiffer_spring_at_the_same_preload_never_gives_more_travel(
    document: dict[str, Any], end: str, times: float
) -> None:
    case = read_document(document)
    coil = getattr(model_of(case, uncertain=False).bike, end).coil
    count = 2 if end == "front" or document["rear_architecture"] == "twin_shock" else 1
    stiffest = np.nanmax([coil.rate, coil.rate if coil.second_rate is None else coil.second_rate])
    # Air has no spring to be exchanged.
    assume(stiffest > 0)
    assume(stiffest / count * times <= 400)
    found = what_if(case, (Wish(f"{end}.spring_rate", to=float(stiffest) / count * times),), uncertain=False)
    checked = 0
    for key, before in found.before.items():
        after = found.after[key].value
        if before.value is None or after is None or not key.endswith(end):
            continue
        more = after - before.value
        if key.startswith("reserve_") or (key.startswith("sag_") and "share" not in key):
            checked += 1
            # What is left grows; a sag shrinks.
            assert (more if key.startswith("reserve_") else -more) >= -1e-6, (key, before.value, after)
    assert checked >= 4


@tried
@given(bikes(fork="known") | bikes(fork="legs") | bikes(fork="by_sags"), between(-6.0, 6.0))
def test_preload_moves_the_sag_of_a_plain_fork_one_to_one_and_never_its_rate(
    document: dict[str, Any], turn_in: float
) -> None:
    case = read_document(document)
    found = what_if(case, (Wish("front.preload_mm", by=turn_in),))
    assume("sag_rider_aboard.front" in found.before)
    stroke = next(
        row["value"] for row in document["readings"] if (row["quantity"], row.get("end")) == ("stroke", "front")
    )
    moved = 0
    for state in ("bike_alone", "rider_aboard"):
        key = f"sag_{state}.front"
        after = found.after[key].value
        assert after is not None
        if 1e-3 < after < stroke - 1e-3 and 1e-3 < (found.before[key].value or 0.0) < stroke - 1e-3:
            moved += 1
            assert found.difference[key].value == pytest.approx(-turn_in, abs=1e-6)
            assert found.difference[key].half_width == pytest.approx(0, abs=1e-4)
    assume(moved == 2)
    if "ride_frequency.front" in found.difference:
        assert found.difference["ride_frequency.front"].value == pytest.approx(0, abs=1e-9)
    model = model_of(case, uncertain=False)
    assert np.array_equal(
        changed(model.bike, Change(front_preload=turn_in)).front.coil.rate, model.bike.front.coil.rate
    )


@tried
@given(bikes(), END, between(-5.0, 5.0))
def test_a_change_at_one_end_leaves_the_other_ends_springs_alone(
    document: dict[str, Any], end: str, turn_in: float
) -> None:
    found = what_if(read_document(document), (Wish(f"{end}.preload_mm", by=turn_in),), uncertain=False)
    other = "rear" if end == "front" else "front"
    for key, value in found.difference.items():
        if key.endswith(f".{other}") and key.startswith(("sag", "reserve", "ride_frequency")):
            assert value.value == pytest.approx(0, abs=1e-9), key


@tried
@given(bikes(bottomed=True), END, between(-6.0, 6.0))
def test_a_censored_demand_never_makes_a_reserve_ok(document: dict[str, Any], end: str, turn_in: float) -> None:
    case = read_document(document)
    derived = derive(case).values
    found = what_if(case, (Wish(f"{end}.preload_mm", by=turn_in), Wish("rider_mass", by=turn_in)))
    seen = 0
    for values in (derived, found.before, found.after):
        for key, value in values.items():
            if key.startswith(("reserve_normal", "reserve_hardest")):
                seen += 1
                assert value.status == "at_most", key
    assert seen
    assert not any(key.startswith("reserve_") for key in found.difference)


@tried
@given(bikes(), st.sampled_from(("front", "rear")))
def test_a_bang_that_was_felt_censors_the_ride_it_may_have_been(document: dict[str, Any], end: str) -> None:
    felt = {**document, "answers": {**document["answers"], f"bottomed.{end}": "yes"}}
    values = derive(read_document(felt)).values
    ride = "hardest" if f"reserve_hardest.{end}" in values else "normal"
    assert values[f"reserve_{ride}.{end}"].status == "at_most"


@tried
@given(ANY)
def test_a_number_has_a_half_width_and_a_share_for_each_reading_it_leans_on(document: dict[str, Any]) -> None:
    case = sound(document)
    for value in derive(case).values.values():
        if value.value is None:
            assert (value.half_width, value.contributions) == (None, ())
            continue
        assert value.half_width is not None
        assert math.isfinite(value.value)
        assert value.half_width >= 0
        shares = [share for _, share in value.contributions]
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) <= 1 + 1e-9
        if shares:
            assert value.half_width > 0
    if case.front_architecture in FRONT_REFUSED:
        with pytest.raises(EngineInputError):
            model_of(case)
