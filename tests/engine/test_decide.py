"""Which reading would decide: what is said to be enough is tried, by deriving again with just that."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.documents.uncertain import DOCUMENTS, case_of
from tuning.engine import pack as packs
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.decide import BOTH_WAYS, FINER, INSTEAD, Needed, Part, contribution_table, needed
from tuning.engine.derivation import Derived
from tuning.engine.derive import derive
from tuning.engine.pack import Input, inputs_of, rectangular


def _bike(*more: Reading, friction: bool = True) -> Case:
    rows = [
        Reading("length_topped_out", 600, 0.5, "front", load_state="bike_alone"),
        Reading("stroke", 120, 0.5, "front"),
        Reading("deepest_normal", 97, 2.0, "front"),
        *more,
    ]
    for quantity, value, state in (("length_bike_alone", 576, "bike_alone"), ("length_rider_aboard", 562, "solo")):
        if friction:
            rows.append(Reading(quantity, value, 0.5, "front", load_state=state))
        else:
            rows += [
                Reading(quantity, value + 3, 0.5, "front", load_state=state, approach="from_above"),
                Reading(quantity, value - 3, 0.5, "front", load_state=state, approach="from_below"),
            ]
    return Case("road_sport", "coil", "linkage", tuple(rows))


def _finer(case: Case, name: str, factor: float) -> Case:
    """Return the case with the half-widths of one quantity shrunk."""
    return replace(
        case,
        readings=tuple(
            replace(row, half_width=row.half_width * factor)
            if ".".join(part for part in (row.quantity, row.end, row.leg) if part) == name
            else row
            for row in case.readings
        ),
    )


def _needed(case: Case, key: str, low: float, high: float) -> Needed:
    found = needed(derive(case).values[key], low, high, inputs_of(case))
    assert found is not None
    return found


def test_a_reserve_needs_a_finer_ring_by_hand() -> None:
    # 23 mm left, the band from 22: the ring's ± 2 mm and the stroke's ± 0.5. The sum of a large rectangle a
    # and a small one b leaves 2.5 % a side beyond a + b − √(0.2 a b), which is to be 1:
    # with b = 0.5, a + 0.5 − √(0.1 a) = 1 gives √a = (√0.1 + √2.1)/2, a = 0.7791.
    case = _bike()
    found = _needed(case, "reserve_normal.front", 22, 30)
    assert (found.edge, found.gap, found.next) == (22, 1, None)
    part = found.first
    assert (part.tag, part.how, part.inputs) == ("deepest_normal.front", FINER, ("deepest_normal.front",))
    assert part.half_width == pytest.approx(2.0)
    assert part.share == pytest.approx(4 / 4.25)
    assert part.enough == pytest.approx(0.7791, rel=0.03)
    again = derive(_finer(case, part.tag, part.enough / 2.0)).values["reserve_normal.front"]
    assert again.half_width == pytest.approx(1.0, rel=0.02)


def test_the_nearer_edge_decides_on_either_side_of_the_band() -> None:
    case = _bike()
    assert _needed(case, "reserve_normal.front", 21.9, 24).edge == 24
    assert _needed(case, "reserve_normal.front", 22.1, 24).edge == 22.1
    assert _needed(case, "reserve_normal.front", 24, 30).edge == 24
    assert _needed(case, "reserve_normal.front", -math.inf, 22).edge == 22


@pytest.mark.parametrize(("low", "high"), [(10, 40), (30, 40), (0, 10), (-math.inf, math.inf)])
def test_nothing_is_needed_where_the_interval_lies_on_one_side(low: float, high: float) -> None:
    case = _bike()
    assert needed(derive(case).values["reserve_normal.front"], low, high, inputs_of(case)) is None


def test_friction_is_taken_out_by_reading_both_ways(monkeypatch: pytest.MonkeyPatch) -> None:
    case = _bike()
    found = _needed(case, "sag_rider_aboard.front", 33, 39)
    part = found.first
    assert (part.tag, part.how, found.next) == ("friction.front", BOTH_WAYS, None)
    # Only the friction of the length that the sag leans on.
    assert part.inputs == ("friction.length_rider_aboard.front",)
    assert part.half_width == pytest.approx(3.0)
    assert part.enough is not None
    monkeypatch.setattr(packs, "USUAL_FRICTION", {"front": part.enough, "rear": 2.0})
    assert derive(case).values["sag_rider_aboard.front"].half_width == pytest.approx(1.0, rel=0.05)
    # And read both ways, with the mean where the single reading was, it is decided.
    half_width = derive(_bike(friction=False)).values["sag_rider_aboard.front"].half_width
    assert half_width is not None
    assert half_width < 1.0


def test_the_friction_of_both_lengths_shrinks_where_both_are_leant_on(monkeypatch: pytest.MonkeyPatch) -> None:
    scales = (Reading("scale_bike_alone", 101, 0.5, "front"), Reading("scale_rider_aboard", 145, 0.5, "front"))
    case = _bike(*scales, Reading("rake", 24, 0.1))
    case = replace(
        case,
        readings=tuple(replace(r, value=555.0) if r.quantity == "length_rider_aboard" else r for r in case.readings),
    )
    rate = derive(case).values["implied_fork_rate"]
    assert rate.value is not None
    assert rate.half_width is not None
    part = _needed(case, "implied_fork_rate", rate.value - 0.4 * rate.half_width, 99).first
    assert part.inputs == ("friction.length_bike_alone.front", "friction.length_rider_aboard.front")
    assert part.enough is not None
    monkeypatch.setattr(packs, "USUAL_FRICTION", {"front": part.enough, "rear": 2.0})
    again = derive(case).values["implied_fork_rate"].half_width
    assert again == pytest.approx(0.4 * rate.half_width, rel=0.05)


def test_where_a_perfect_first_would_not_do_the_second_is_named_too() -> None:
    case = _bike(friction=False)
    sag = derive(case).values["sag_rider_aboard.front"]
    assert [tag for tag, _ in sag.contributions] == ["length_topped_out.front", "length_rider_aboard.front"]
    assert sag.half_width is not None
    # The pair of readings alone leaves ± 0.388 (0.95 of a triangle of 0.5): 0.3 away is nearer than that.
    found = _needed(case, "sag_rider_aboard.front", 37.7, 45)
    assert found.first.enough is None
    assert found.next is not None
    assert found.next.tag == "length_rider_aboard.front"
    assert found.next.enough is not None
    factor = found.next.enough / found.next.half_width
    both = _finer(_finer(case, "length_topped_out.front", factor), "length_rider_aboard.front", factor)
    assert derive(both).values["sag_rider_aboard.front"].half_width == pytest.approx(0.3, rel=0.05)


def test_on_the_edge_itself_no_reading_decides() -> None:
    found = _needed(_bike(friction=False), "sag_rider_aboard.front", 38.0, 45)
    assert (found.gap, found.first.enough) == (0, None)
    assert found.next is not None
    assert found.next.enough is None


def test_an_assumption_names_the_reading_that_would_replace_it() -> None:
    case = _bike(Reading("rider_mass", 84, 0.5), Reading("rake", 24, 0.1), friction=False)
    for length in ("topped_out", "bike_alone", "rider_aboard"):
        case = _finer(case, f"length_{length}.front", 0.1)
    rate = derive(case).values["implied_fork_rate"]
    assert rate.value is not None
    assert rate.half_width is not None
    part = _needed(case, "implied_fork_rate", 0, rate.value + 0.5 * rate.half_width).first
    # Nobody else is aboard: the passenger's and the luggage's share do not weigh.
    assert (part.tag, part.how) == ("scale_rider_aboard.front", INSTEAD)
    assert part.inputs == ("assumed.rider_front_share",)
    assert part.half_width == pytest.approx(0.08)
    assert part.enough is not None
    told = replace(case, readings=(*case.readings, Reading("rider_front_share", 0.42, part.enough)))
    again = derive(told).values["implied_fork_rate"]
    assert again.value == pytest.approx(rate.value)
    assert again.half_width == pytest.approx(0.5 * rate.half_width, rel=0.05)


def test_an_adjuster_read_too_coarsely_is_found_by_its_key() -> None:
    legs = tuple(
        Adjuster(f"front.fork_position.{leg}", "fork_position", "front", "mm", leg, found, width)
        for leg, found, width in (("left", 5.6, 0.5), ("right", 5.0, 0.2))
    )
    case = replace(_bike(), adjusters=legs)
    part = _needed(case, "fork_leg_difference", -0.5, 0.5).first
    assert (part.tag, part.inputs) == ("front.fork_position.left", ("adjuster.front.fork_position.left",))
    assert part.half_width == pytest.approx(0.5)


def test_a_bound_is_decided_by_no_finer_reading() -> None:
    case = Case(
        "road_sport",
        "coil",
        "linkage",
        (Reading("stroke", 120, 1, "front"), Reading("deepest_normal", 118, 1, "front")),
    )
    value = derive(case).values["reserve_normal.front"]
    assert value.status == "at_most"
    assert needed(value, 2.5, 10, inputs_of(case)) is None


@pytest.mark.parametrize(("low", "high"), [(3, 2), (math.nan, 2), (1, math.nan)])
def test_a_band_upside_down_is_a_mistake(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="lower edge"):
        needed(derive(_bike()).values["reserve_normal.front"], low, high, {})


def test_contributors_that_no_input_stands_for_leave_nothing_to_say() -> None:
    value = Derived("x", 1.0, 0.5, "mm", "ok", "sag", (("nobody", 1.0),))
    assert needed(value, 0.9, 2.0, {}) is None


def _shrunk(case: Case, key: str, edge_at: float) -> tuple[float, float, Part] | None:
    """Return (half-width wanted, half-width derived again, the part) where the first contributor is a reading."""
    value = derive(case).values[key]
    assert value.value is not None
    assert value.half_width is not None
    found = needed(value, value.value - edge_at * value.half_width, math.inf, inputs_of(case))
    assert found is not None
    part = found.first
    if part.how != FINER or part.enough is None:
        return None
    again = derive(_finer(case, part.tag, part.enough / part.half_width)).values[key]
    assert again.half_width is not None
    return found.gap, again.half_width, part


@pytest.mark.slow
@pytest.mark.parametrize("name", DOCUMENTS)
def test_what_is_said_to_be_enough_just_clears_the_edge(name: str) -> None:
    case = case_of(name)
    tried = 0
    for key, value in derive(case).values.items():
        if value.status != "ok" or not value.half_width:
            continue
        found = _shrunk(case, key, 0.85)
        if found:
            tried += 1
            wanted, got, part = found
            assert got == pytest.approx(wanted, rel=0.05), (key, part)
    assert tried >= 30


@given(
    st.lists(st.floats(0.01, 1), min_size=1, max_size=5),
    st.floats(0, 0.999),
    st.floats(-0.999, 0.999),
)
def test_the_closer_the_edge_the_finer_the_reading(shares: list[float], nearer: float, at: float) -> None:
    total = sum(shares)
    parts = tuple((f"x{n}", share / total) for n, share in enumerate(sorted(shares, reverse=True)))
    inputs: dict[str, Input] = {tag: rectangular(0.0, 1.0, tag) for tag, _ in parts}
    value = Derived("x", 0.0, 1.0, "mm", "ok", "sag", parts)
    enough = []
    for edge in (at, at * nearer):
        found = needed(value, edge, math.inf, inputs)
        assert found is not None
        assert found.gap == abs(edge)
        enough.append(found.first.enough if found.first.enough is not None else -1.0)
        assert -1.0 <= enough[-1] <= 1.0
    assert enough[1] <= enough[0] + 1e-9


def test_the_table_tells_each_part_and_what_is_left_without_it() -> None:
    value = derive(_bike()).values["reserve_normal.front"]
    assert value.half_width is not None
    ring, stroke = contribution_table(value)
    assert (ring.tag, stroke.tag) == ("deepest_normal.front", "stroke.front")
    assert ring.share == pytest.approx(4 / 4.25)
    assert math.hypot(ring.alone, stroke.alone) == pytest.approx(value.half_width)
    assert ring.without == pytest.approx(stroke.alone)
    assert contribution_table(replace(value, half_width=None)) == ()
