"""Class defaults that hold together, and loads and centres of mass against figures worked by hand or in print."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine import loads
from tuning.engine.case import DISCIPLINES
from tuning.engine.units import STANDARD_GRAVITY as G

#: Sport-tourer of a textbook table (check values): mass, ahead of the rear contact, height; wheelbase 1448 mm.
BIKE = loads.combine([195.0], [722.0], [482.0])
RIDDEN = loads.combine([270.0], [688.0], [640.0])
WHEELBASE = 1448.0

masses = st.floats(1.0, 500.0)
lengths = st.floats(-500.0, 2000.0)


@pytest.mark.parametrize("name", sorted(loads.DEFAULTS))
@pytest.mark.parametrize("discipline", DISCIPLINES)
def test_every_class_has_every_default_with_spread_and_source(name: str, discipline: str) -> None:
    found = loads.default(name, discipline)
    assert loads.usual(name, discipline) == (found.value, found.half_width)
    assert found.half_width > 0
    assert found.source
    # A default may not reach nothing, except the share of a passenger who may sit behind the rear axle.
    assert found.value > found.half_width or name in ("passenger_front_share", "luggage_front_share")


@pytest.mark.parametrize("discipline", DISCIPLINES)
def test_defaults_of_a_class_agree_with_each_other(discipline: str) -> None:
    value = {name: loads.default(name, discipline).value for name in loads.DEFAULTS}
    assert value["unsprung_front"] + value["unsprung_rear"] < 0.3 * value["bike_mass"]
    assert value["com_height_bike"] < value["com_height_ridden"] < value["com_height_passenger"]
    # An 85 kg rider who makes both heights true sits where riders sit: 0.6 to 0.9 of a wheelbase up.
    bike = value["bike_mass"]
    up = ((bike + 85) * value["com_height_ridden"] - bike * value["com_height_bike"]) / 85
    assert 0.58 < up < 0.90


def test_an_unknown_class_is_an_error() -> None:
    with pytest.raises(KeyError):
        loads.usual("bike_mass", "sidecar")


def test_published_set_of_a_sport_tourer() -> None:
    assert loads.front_share(722.0, WHEELBASE) == pytest.approx(0.499, abs=5e-4)
    assert loads.front_share(688.0, WHEELBASE) == pytest.approx(0.475, abs=5e-4)
    rider = loads.without(RIDDEN, BIKE)
    assert rider.mass == pytest.approx(75.0)
    assert rider.ahead == pytest.approx(599.6, abs=0.05)
    assert rider.height == pytest.approx(1050.8, abs=0.05)
    assert loads.front_share(rider.ahead, WHEELBASE) == pytest.approx(0.414, abs=5e-4)


def test_rider_back_on_the_bike_is_the_whole() -> None:
    rider = loads.without(RIDDEN, BIKE)
    again = loads.combine([195.0, rider.mass], [722.0, rider.ahead], [482.0, rider.height])
    assert (again.mass, again.ahead, again.height) == pytest.approx((270.0, 688.0, 640.0))


def test_axle_loads_by_hand() -> None:
    # 200 kg, 45 % on the front: 90 kg and 110 kg.
    front, rear = loads.axle_loads(200.0, 0.45)
    assert (front, rear) == pytest.approx((882.5985, 1078.7315))
    assert loads.ahead_of_rear(0.45, 1400.0) == pytest.approx(630.0)
    assert loads.behind_front(0.45, 1400.0) == pytest.approx(770.0)


def test_spring_loads_by_hand() -> None:
    # (1000 N − 20 kg × 9.80665) cos 60° = 401.9335; upright nothing is lost to the angle.
    assert loads.axial_fork_load(1000.0, 20.0, math.pi / 3) == pytest.approx(401.9335)
    assert loads.axial_fork_load(1000.0, 20.0, 0.0) == pytest.approx(803.867)
    assert loads.rear_sprung_load(1000.0, 20.0) == pytest.approx(803.867)


@pytest.mark.parametrize(
    ("scales", "expected", "weighed"),
    [
        ((np.nan, np.nan), (96.0, 104.0), 0),
        ((100.0, np.nan), (100.0, 100.0), 1),
        ((np.nan, 90.0), (110.0, 90.0), 1),
        ((101.0, 104.0), (101.0, 104.0), 2),
    ],
)
def test_scales_replace_the_guesses(scales: tuple[float, float], expected: tuple[float, float], weighed: int) -> None:
    found = loads.wheel_masses(200.0, 0.48, *scales)
    assert (found.front, found.rear) == pytest.approx(expected)
    assert found.weighed == weighed
    assert found.share == pytest.approx(expected[0] / sum(expected))


def test_a_scale_that_shows_more_than_the_mass_gives_nothing() -> None:
    found = loads.wheel_masses(200.0, 0.48, 210.0)
    assert np.isnan(found.front)
    assert np.isnan(found.rear)


def test_share_of_what_came_aboard() -> None:
    # Scales 100 + 100 alone, 130 + 145 with the rider: 30 of 75 kg.
    alone, aboard = loads.wheel_masses(0, 0, 100.0, 100.0), loads.wheel_masses(0, 0, 130.0, 145.0)
    assert loads.added_share(alone, aboard) == pytest.approx(0.4)
    assert np.isnan(loads.added_share(alone, alone))


def test_arrays_of_any_shape_and_nan_stays_where_it_is() -> None:
    mass = np.array([[200.0, np.nan], [100.0, 250.0]])
    front, rear = loads.axle_loads(mass, np.array([0.5, 0.4]))
    assert front.shape == (2, 2)
    np.testing.assert_allclose(front + rear, mass * G)
    assert np.isnan(front).sum() == 1
    np.testing.assert_allclose(loads.combine([mass, 50.0], [700.0, 700.0], [1.0, 1.0]).ahead, 700.0 + 0 * mass)
    assert np.isnan(loads.combine([0.0], [1.0], [1.0]).ahead)


def test_masses_and_places_must_pair_up() -> None:
    with pytest.raises(ValueError, match="argument 2"):
        loads.combine([1.0, 2.0], [1.0], [1.0, 2.0])


@given(st.lists(st.tuples(masses, lengths, lengths), min_size=1, max_size=4))
def test_a_common_centre_lies_between_its_parts_and_keeps_the_moment(parts: list[tuple[float, float, float]]) -> None:
    each = [list(column) for column in zip(*parts, strict=True)]
    whole = loads.combine(*each)
    for among, found in ((each[1], whole.ahead), (each[2], whole.height)):
        assert min(among) - 1e-6 <= found <= max(among) + 1e-6
        # Summed exactly: the moment about the origin is the sum of the parts' moments.
        moment = math.fsum(mass * at for mass, at in zip(each[0], among, strict=True))
        assert whole.mass * found == pytest.approx(moment, rel=1e-9, abs=1e-6)


@given(masses, st.floats(0.0, 1.0), st.floats(800.0, 1800.0))
def test_loads_balance_about_the_centre_of_mass(mass: float, share: float, wheelbase: float) -> None:
    front, rear = loads.axle_loads(mass, share)
    assert front + rear == pytest.approx(mass * G)
    moment = front * loads.behind_front(share, wheelbase) - rear * loads.ahead_of_rear(share, wheelbase)
    assert moment == pytest.approx(0.0, abs=1e-6 * mass * wheelbase)
