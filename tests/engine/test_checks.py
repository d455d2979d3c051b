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


@pytest.mark.parametrize(
    ("check_id", "fine", "wrong", "said"),
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
    ],
)
def test_check(check_id: str, fine: Case, wrong: Case, said: str) -> None:
    assert verdict(fine, check_id) == "passes"
    assert verdict(wrong, check_id) == said


def test_nothing_given_is_asked_for_and_blocks_nothing() -> None:
    assert {(found.id, found.verdict) for found in check(case())} == {("missing_core", "second_look")}


def test_every_derived_value_names_a_known_formula() -> None:
    geometry = (Reading("rake", 24, 0.1), Reading("wheelbase", 1400, 5), Reading("fork_offset", 30, 1))
    rest = (Reading("rider_mass", 85, 1), front("stroke", 120), front("deepest_normal", 100))
    found = derive(case(*lengths(), *geometry, *rest, tyre_size={"front": "120/70-17"})).values
    assert {value.formula for value in found.values()} <= FORMULAS.keys()
    assert "ground_trail_per_mm_fork_position" in found
