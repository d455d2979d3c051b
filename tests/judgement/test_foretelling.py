"""What a sheet foretells: by the model where the springs are known, by plain rules elsewhere."""

import pytest

from tests.judgement.build import dossier
from tuning.engine.case import Adjuster, Case, Reading
from tuning.engine.derive import derive
from tuning.judgement import predict
from tuning.judgement.model import Change, Dossier


def change(adjuster: str, start: float, target: float) -> Change:
    end, kind = adjuster.split(".")[:2]
    return Change(
        adjuster, kind, end, adjuster, start, target, "turn", (), (), (), (), (), "adjusters", False, "preload_more"
    )  # fmt: skip


def lengths(end: str, top: float, alone: float, rider: float) -> list[Reading]:
    return [
        Reading("length_topped_out", top, 1, end, load_state="bike_alone"),
        Reading("length_bike_alone", alone, 1, end, load_state="bike_alone"),
        Reading("length_rider_aboard", rider, 1, end, load_state="solo"),
    ]


def measured(*more: Reading) -> Dossier:
    rows = [*lengths("front", 600, 575, 560), Reading("stroke", 120, 1, "front"), Reading("rider_mass", 85, 1), *more]
    preload = Adjuster("front.preload", "preload", "front", "turn", "", 4, 0, 15, "open", 1.0)
    case = Case("road_sport", "coil", "linkage", tuple(rows), (preload,))
    return Dossier(case, derive(case), {})


def test_preload_moves_both_sags_by_as_much_and_no_doubt_of_its_own() -> None:
    # A plain coil: 5 turns of 1 mm, so both sags 5 mm less (Hooke's law); the doubt is that of the readings.
    before = measured()
    found = {row.key: row for row in predict(before, [change("front.preload", 4, 9)])}
    for key, was in (("sag_bike_alone.front", 25), ("sag_rider_aboard.front", 40)):
        assert found[key].value == pytest.approx(was - 5)
        assert found[key].half_width == pytest.approx(before.derivation.values[key].half_width, rel=1e-3)


def test_the_reserve_is_foretold_as_an_interval_that_holds_both_events() -> None:
    # Equal force: the same 5 mm (Hooke's law); equal energy less than that, since the bump starts from higher up.
    found = {
        row.key: row
        for row in predict(measured(Reading("deepest_normal", 95, 1, "front")), [change("front.preload", 4, 9)])
    }
    reserve = found["reserve_normal.front"]
    assert reserve.value - reserve.half_width < 25 + 5 < reserve.value + reserve.half_width
    assert 25 < reserve.value <= 25 + 5


def test_a_bottomed_fork_has_no_reserve_foretold() -> None:
    found = predict(measured(Reading("deepest_normal", 119, 1, "front")), [change("front.preload", 4, 9)])
    assert not [row for row in found if row.key.startswith("reserve")]


def test_without_known_springs_the_plain_rule_stands() -> None:
    # A case of findings alone: 2 turns of 1 mm at the fork, 1 mm of sag each (common practice).
    bare = dossier({"sag_rider_aboard.front": 40.0})
    found = {row.key: row.value for row in predict(bare, [change("front.preload.left", 7, 9)])}
    assert found["sag_rider_aboard.front"] == pytest.approx(38.0)
