"""Chassis from subsets of figures: what was given comes back, what was not is named, and by how much it matters."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tuning.engine.arrays import Array
from tuning.engine.case import DISCIPLINES
from tuning.engine.plane import Chassis, attitude, ground_trail, normal_trail
from tuning.engine.published import Figures, Filled, fill, leaning, usual

RAKE, TRAIL, NORMAL, OFFSET, BASE, RADIUS = 0.4189, 96.5, 88.15, 26.55, 1410.0, 282.0
SPORT = usual("road_sport")


def filled(**figures: float) -> Filled:
    return fill(Figures(**figures), SPORT)


def assumed(found: Filled) -> set[str]:
    return {name for name, half_width in found.assumed.items() if np.any(half_width > 0)}


def trail_of(chassis: Chassis) -> float:
    return float(ground_trail(chassis.rake, chassis.front_radius, chassis.offset))


#: Every chassis of these tests leans on the state its figures hold for.
STATE = {"stroke.front", "stroke.rear", "travel_share.front", "travel_share.rear"}


@pytest.mark.parametrize(
    "radius", [{}, {"front_radius": 290.0}, {"front_nominal": 599.8}, {"front_roll_out": 1860.0}]
)
@pytest.mark.parametrize("trail", [{"ground_trail": TRAIL}, {"normal_trail": NORMAL}])
def test_a_published_trail_comes_back_whatever_radius_stands_in(
    radius: dict[str, float], trail: dict[str, float]
) -> None:
    found = filled(rake=RAKE, wheelbase=BASE, **trail, **radius)
    now = attitude(found.chassis)
    assert float(now.rake) == pytest.approx(RAKE, abs=1e-12)
    assert float(now.wheelbase) == pytest.approx(BASE, abs=1e-9)
    for name, value in trail.items():
        assert float(getattr(now, name)) == pytest.approx(value, abs=1e-9)
    assert all(bool(stated) for stated in found.stated.values())


@pytest.mark.parametrize(
    ("figures", "radius", "source"),
    [
        ({"front_radius": 288.0, "front_roll_out": 1885.0, "front_nominal": 599.8}, 288.0, "measured"),
        # 1885/2π = 300.007 and 599.8/2 − 4 = 295.9, by hand.
        ({"front_roll_out": 1885.0, "front_nominal": 599.8}, 300.007, "roll_out"),
        ({"front_nominal": 599.8}, 295.9, "tyre_size"),
        # (96.5 cos 24.001° + 26.55)/sin 24.001° = (88.156 + 26.55)/0.406755, by hand.
        ({"ground_trail": TRAIL, "offset": OFFSET}, 282.0, "trail"),
        ({"ground_trail": TRAIL}, 296.0, "usual"),
    ],
)
def test_where_the_front_radius_comes_from(figures: dict[str, float], radius: float, source: str) -> None:
    found = filled(rake=RAKE, wheelbase=BASE, **figures)
    assert float(found.chassis.front_radius) == pytest.approx(radius, abs=0.01)
    assert str(found.radius_from["front"]) == source
    assert ("squash.front" in assumed(found)) == (source == "tyre_size")
    assert ("wheel_radius.front" in assumed(found)) == (source == "usual")


def test_rake_offset_and_wheelbase_state_a_trail_once_the_wheel_is_known() -> None:
    without, known = (filled(rake=RAKE, offset=OFFSET, wheelbase=BASE, **r) for r in ({}, {"front_radius": RADIUS}))
    assert not without.stated["ground_trail"]
    assert known.stated["ground_trail"]
    assert trail_of(known.chassis) == pytest.approx(96.5, abs=0.1)


def test_a_yoke_offset_without_the_axle_lead_fits_no_wheel() -> None:
    # Off-road: trail 115 at 27° and 22 mm in the yokes ask for a wheel of 274 mm radius; 344 needs 54 mm.
    figures = {"rake": math.radians(27), "ground_trail": 115.0, "offset": 22.0, "wheelbase": 1480.0}
    measured = fill(Figures(**figures, front_radius=344.0), usual("enduro"))
    assert float(measured.offset_gap) == pytest.approx(22 - (344 * 0.4539905 - 115 * 0.8910065), abs=1e-4)
    assert trail_of(measured.chassis) == pytest.approx(115.0)
    absurd = fill(Figures(**figures | {"offset": -60.0}), usual("enduro"))
    assert str(absurd.radius_from["front"]) == "usual"
    assert float(absurd.chassis.front_radius) == 344.0


@pytest.mark.parametrize(("given", "other"), [("ground_trail", "normal_trail"), ("normal_trail", "ground_trail")])
def test_one_trail_states_the_other_only_with_a_rake(given: str, other: str) -> None:
    found = filled(wheelbase=BASE, **{given: 95.0})
    assert found.stated[given]
    assert not found.stated[other]


def test_two_trails_that_do_not_agree_show_their_gap() -> None:
    found = filled(rake=RAKE, wheelbase=BASE, ground_trail=TRAIL, normal_trail=90.0)
    assert float(found.trail_gap) == pytest.approx(90.0 - 96.5 * math.cos(RAKE), abs=1e-12)
    assert np.isnan(filled(rake=RAKE, ground_trail=TRAIL).trail_gap)


@pytest.mark.parametrize("trail", [{"ground_trail": TRAIL}, {"normal_trail": TRAIL * math.cos(RAKE)}])
def test_a_missing_rake_follows_from_trail_offset_and_radius(trail: dict[str, float]) -> None:
    offset = RADIUS * math.sin(RAKE) - TRAIL * math.cos(RAKE)
    found = filled(wheelbase=BASE, offset=offset, front_radius=RADIUS, **trail)
    assert float(found.chassis.rake) == pytest.approx(RAKE, abs=1e-12)
    assert found.stated["rake"]
    assert "rake" not in assumed(found)
    # The same with an offset that leaves out 30 mm of axle lead is not believed.
    short = filled(wheelbase=BASE, offset=offset - 30, front_radius=RADIUS, **trail)
    assert not short.stated["rake"]
    assert float(short.chassis.rake) == pytest.approx(math.radians(24))


def test_nothing_known_states_nothing_yet_a_change() -> None:
    found = filled()
    assert not any(bool(stated) for stated in found.stated.values())
    assert assumed(found) == {"rake", "wheelbase", "fork_offset", "wheel_radius.front", "wheel_radius.rear", *STATE}
    change = attitude(found.chassis, fork_position=5.0).rake - found.chassis.rake
    # cos 24° × 5/1410 rad = −0.1856°, by hand.
    assert math.degrees(float(change)) == pytest.approx(-0.1856, abs=5e-4)


def test_the_travel_that_figures_hold_at() -> None:
    share = filled(rake=RAKE, front_stroke=140.0)
    assert float(share.chassis.front_travel) == pytest.approx(21.0)
    assert "stroke.front" not in assumed(share)
    assert "travel_share.front" in assumed(share)
    told = filled(front_travel=0.0, rear_travel=12.0)
    assert (float(told.chassis.front_travel), float(told.chassis.rear_travel)) == (0.0, 12.0)
    assert not assumed(told) & STATE


@pytest.mark.parametrize(
    ("figures", "straight", "leans"),
    [
        ({}, True, set()),
        ({"swingarm_length": 570.0, "swingarm_angle": 0.2}, False, set()),
        ({"swingarm_length": 570.0}, False, {"swingarm_angle"}),
        ({"swingarm_angle": 0.2}, False, {"swingarm_share"}),
    ],
)
def test_swingarm(figures: dict[str, float], straight: bool, leans: set[str]) -> None:
    found = filled(rake=RAKE, wheelbase=BASE, **figures)
    assert bool(found.chassis.straight) is straight
    assert assumed(found) & {"swingarm_angle", "swingarm_share"} == leans
    if "swingarm_share" in leans:
        assert float(found.chassis.swingarm_length) == pytest.approx(0.4 * BASE)
    if "swingarm_angle" in leans:
        assert math.degrees(float(found.chassis.swingarm_angle)) == pytest.approx(9.0)


def test_the_swingarm_hardly_matters_to_rake_and_much_to_the_wheelbase() -> None:
    def per_10(chassis: Chassis) -> tuple[float, float]:
        before, after = attitude(chassis), attitude(chassis, rear_height=10.0)
        return math.degrees(float(after.rake - before.rake)), float(after.wheelbase - before.wheelbase)

    base = {"rake": RAKE, "wheelbase": BASE, "ground_trail": TRAIL}
    (rake, length), (rake_arm, length_arm) = (
        per_10(filled(**base, **arm).chassis) for arm in ({}, {"swingarm_length": 570.0, "swingarm_angle": 0.2})
    )
    assert rake_arm == pytest.approx(rake, rel=0.01)
    # 10 tan 0.2 = 2.03 mm shorter, by hand, with the second-order part of the arm's turn.
    assert length_arm - length == pytest.approx(-2.03, abs=0.15)


def change_of_trail(chassis: Chassis) -> Array:
    return attitude(chassis, fork_position=5.0).ground_trail - attitude(chassis).ground_trail


def test_how_much_an_answer_leans_on_each_assumption() -> None:
    figures = Figures(rake=RAKE, ground_trail=TRAIL, front_nominal=599.8, rear_radius=310.0)
    leans = leaning(figures, SPORT, lambda chassis: attitude(chassis, fork_position=5.0).rake)
    assert set(leans) == {"wheelbase", "squash.front", *STATE}
    # dε = −cos ε × 5/w: half of the difference between w = 1370 and 1450, by hand.
    by_hand = math.cos(RAKE) * 5 * (1 / 1370 - 1 / 1450) / 2
    assert float(leans["wheelbase"]) == pytest.approx(by_hand, rel=0.01)
    assert float(leans["travel_share.front"]) == pytest.approx(0.0, abs=1e-12)
    assert leaning(replace(figures, wheelbase=BASE), SPORT, change_of_trail).keys() == {"squash.front", *STATE}


def test_what_is_not_leaned_on_does_not_count() -> None:
    whole = Figures(RAKE, TRAIL, math.nan, math.nan, BASE, RADIUS, 297.0, front_travel=0.0, rear_travel=0.0)
    assert leaning(whole, SPORT, change_of_trail) == {}


#: Ground trails that makers give their bikes, mm (common practice).
TRAILS = {
    "road_sport": (92, 107),
    "track": (92, 107),
    "naked": (90, 112),
    "touring": (96, 120),
    "supermoto": (80, 118),
    "adventure": (95, 128),
    "dual_sport": (98, 126),
    "enduro": (105, 123),
    "motocross": (105, 123),
    "cruiser": (105, 175),
    "classic": (85, 125),
}


@pytest.mark.parametrize("discipline", DISCIPLINES)
def test_the_usual_figures_of_a_class_make_a_usual_bike(discipline: str) -> None:
    own = usual(discipline)
    assert own.keys() == usual("unheard of").keys()
    low, high = TRAILS[discipline]
    assert low < trail_of(fill(Figures(), own).chassis) < high


@pytest.mark.parametrize("discipline", DISCIPLINES)
def test_a_class_lies_within_what_is_taken_for_an_unknown_one(discipline: str) -> None:
    wide = usual("unheard of")
    for name, (value, half_width) in usual(discipline).items():
        middle, reach = wide[name]
        assert abs(value - middle) + half_width <= reach * (1 + 1e-9), name


def test_documents_of_unlike_classes_and_columns_at_once() -> None:
    rake = np.array([[0.42, 0.421, 0.42], [np.nan, np.nan, np.nan]])
    base = np.array([[1400.0, 1400.0, 1401.0], [1620.0, 1620.0, 1621.0]])
    many = fill(
        Figures(rake=rake, wheelbase=base, ground_trail=np.array([[97.0], [140.0]])), usual(["track", "cruiser"])
    )
    assert np.asarray(many.chassis.rake).shape == (2, 3)
    assert many.stated["rake"][:, 0].tolist() == [True, False]
    assert many.assumed["rake"][:, 0].tolist() == pytest.approx([0.0, math.radians(4)])
    for d, name in enumerate(("track", "cruiser")):
        for c in range(3):
            one = fill(Figures(rake=rake[d, c], wheelbase=base[d, c], ground_trail=(97.0, 140.0)[d]), usual(name))
            expected = attitude(one.chassis, fork_position=3.0).rake
            assert attitude(many.chassis, fork_position=3.0).rake[d, c] == pytest.approx(float(expected), rel=1e-13)


def test_normal_trail_of_the_filled_chassis() -> None:
    found = filled(rake=RAKE, normal_trail=NORMAL).chassis
    assert float(normal_trail(found.rake, found.front_radius, found.offset)) == pytest.approx(NORMAL, abs=1e-9)
