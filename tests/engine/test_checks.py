"""Each check on readings that it must pass and on readings that it must not."""

import pytest

from tests.engine.test_derive import case, front, lengths
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.checks import check
from tuning.engine.derive import derive
from tuning.engine.formulas import FORMULAS


def verdict(of: Case, check_id: str) -> str:
    return next(found.verdict for found in check(of) if found.id == check_id and found.end in ("front", ""))


def legs(right: float) -> Case:
    return case(
        adjusters=tuple(
            Adjuster(f"front.fork_position.{leg}", "fork_position", "front", "mm", leg, found, 0.5)
            for leg, found in (("left", 5.0), ("right", right))
        )
    )


def load(limit: float) -> Case:
    return case(Reading("bike_mass", 200, 3), Reading("rider_mass", 90, 1), Reading("gross_mass_limit", limit, 0))


def springs(left: float, right: float, fork: str = "coil") -> Case:
    legs = (("left", left), ("right", right))
    return case(*(Reading("spring_rate", rate, 0.0, "front", leg) for leg, rate in legs), front=fork)


def weighed(rider: float) -> Case:
    """Return a bike of 100 kg on each wheel, and 130 and 150 kg with somebody aboard: 80 kg more."""
    rows = (("bike_alone", "front", 100), ("bike_alone", "rear", 100), ("rider_aboard", "front", 130))
    rows += (("rider_aboard", "rear", 150),)
    scales = (Reading(f"scale_{state}", value, 0.5, end) for state, end, value in rows)
    return case(*scales, Reading("rider_mass", rider, 1))


def clicks(left: float, right: float, unit: str = "click", kind: str = "rebound", counted: str = "closed") -> Case:
    return case(
        adjusters=(
            Adjuster(f"front.{kind}.left", kind, "front", unit, "left", left),
            Adjuster(f"front.{kind}.right", kind, "front", unit, "right", right, counted_from=counted),
        )
    )


def loaded(discipline: str, front_travel: float, rear_travel: float) -> Case:
    """Return a bike on which 30 kg more on the front wheel and 60 kg more on the rear take up these travels, mm."""
    rows = [Reading("rake", 24, 0.1)]
    for end, mass, travel in (("front", 30, front_travel), ("rear", 60, rear_travel)):
        rows += [
            Reading("scale_bike_alone", 60, 0.5, end),
            Reading("scale_rider_aboard", 60 + mass, 0.5, end),
            Reading("length_topped_out", 600, 1, end, load_state="bike_alone"),
            Reading("length_bike_alone", 570, 1, end, load_state="bike_alone"),
            Reading("length_rider_aboard", 570 - travel, 1, end, load_state="solo"),
        ]
    return Case(discipline, "coil", "linkage", tuple(rows))


def said(of: Case, check_id: str) -> dict[str, str]:
    return {found.end: found.verdict for found in check(of) if found.id == check_id}


def test_a_rate_is_plausible_by_what_the_bike_is_for() -> None:
    # Front: 30 kg × 9.80665 N/kg × cos 24° = 268.8 N over 25 mm, 10.8 N/mm; rear: 588.4 N over 100 mm, 5.9 N/mm.
    assert said(loaded("motocross", 25, 100), "rate_implausible") == {"front": "passes", "rear": "passes"}
    assert said(loaded("road_sport", 25, 100), "rate_implausible") == {"front": "passes", "rear": "second_look"}
    # 268.8 N over 6 mm are 44.8 N/mm, above 35; but with a tape's doubt in each length it may as well be 34.
    assert said(loaded("road_sport", 6, 25), "rate_implausible")["front"] == "passes"


def test_both_ends_exchanged_are_told_as_that_and_not_as_two_springs() -> None:
    # An enduro's springs: 268.8 N over 30 mm are 9.0 N/mm, 588.4 N over 100 mm 5.9. Exchanged: 2.7 and 19.6.
    assert said(loaded("enduro", 30, 100), "ends_swapped") == {"": "passes"}
    swapped = loaded("enduro", 100, 30)
    assert said(swapped, "ends_swapped") == {"": "second_look"}
    assert not said(swapped, "rate_implausible")
    # Both too soft: exchanged they are no better (268.8 / 110 = 2.4; 588.4 / 300 = 2.0).
    both = loaded("enduro", 110, 300)
    assert said(both, "ends_swapped") == {"": "passes"}
    assert said(both, "rate_implausible") == {"front": "second_look", "rear": "second_look"}


def test_lengths_written_down_twice_are_asked_about() -> None:
    assert said(loaded("road_sport", 20, 20), "ends_equal") == {"": "second_look"}
    assert said(loaded("road_sport", 20, 21), "ends_equal") == {"": "passes"}


def test_legs_with_separate_jobs_have_one_spring() -> None:
    assert said(springs(9.0, 5.0, "coil_split"), "springs_unequal") == {}


def test_counts_are_compared_only_where_they_are_counted_alike() -> None:
    assert said(clicks(10, 13, counted="open"), "legs_set_unlike") == {}
    assert said(clicks(2, 3, "turn", "preload"), "legs_set_unlike") == {"front": "second_look"}
    assert said(clicks(2, 2.5, "turn", "preload"), "legs_set_unlike") == {"front": "passes"}


@pytest.mark.parametrize(
    ("check_id", "fine", "wrong", "answer"),
    [
        ("order_topped_out_bike_alone", case(*lengths()), case(*lengths(alone=610)), "blocks"),
        ("order_bike_alone_rider", case(*lengths()), case(*lengths(rider=580)), "blocks"),
        (
            "sag_beyond_stroke",
            case(*lengths(), front("stroke", 120)),
            case(*lengths(), front("stroke", 30)),
            "blocks",
        ),
        (
            "ring_beyond_stroke",
            case(front("stroke", 120), front("deepest_normal", 121)),
            case(front("stroke", 120), front("deepest_normal", 130)),
            "blocks",
        ),
        (
            "ring_false",
            case(*lengths(), front("deepest_normal", 90)),
            case(*lengths(), front("deepest_normal", 25)),
            "blocks",
        ),
        ("legs_unequal", legs(5.5), legs(7.0), "second_look"),
        ("overload", load(290), load(289), "blocks"),
        # A mix of 0.90 and 0.95 kgf/mm is 8.83 and 9.32 N/mm, 5 % apart.
        ("springs_unequal", springs(8.83, 9.32), springs(9.0, 5.0), "second_look"),
        ("scales_load_disagree", weighed(85), weighed(86), "second_look"),
        ("legs_set_unlike", clicks(10, 11), clicks(10, 12), "second_look"),
    ],
)
def test_check(check_id: str, fine: Case, wrong: Case, answer: str) -> None:
    assert verdict(fine, check_id) == "passes"
    assert verdict(wrong, check_id) == answer


def test_nothing_given_is_asked_for_and_blocks_nothing() -> None:
    assert {(found.id, found.verdict) for found in check(case())} == {("missing_core", "second_look")}


def test_every_derived_value_names_a_known_formula() -> None:
    geometry = (Reading("rake", 24, 0.1), Reading("wheelbase", 1400, 5), Reading("fork_offset", 30, 1))
    rest = (Reading("rider_mass", 85, 1), front("stroke", 120), front("deepest_normal", 100))
    found = derive(case(*lengths(), *geometry, *rest, tyre_size={"front": "120/70-17"})).values
    assert {value.formula for value in found.values()} <= FORMULAS.keys()
    assert "ground_trail_per_mm_fork_position" in found
