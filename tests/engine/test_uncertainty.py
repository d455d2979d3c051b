"""Half-widths against propagated distributions (JCGM 101:2008) and against the `uncertainties` library.

Every reading is drawn within its own half-width, every assumption within its own, and every value worked out anew for
each draw. Compared are all stated values away from limits. Left out, by rule and not by name:

- values that some draw states only as a bound or not at all (censored, within resolution, topped out, bottomed);
- values with an atom: more than one draw in a thousand gives the same number, so a clamp acts;
- values of a stop that one draw in a thousand ends another way than the rest: another limit, or an end of a stroke;
- quotients of a divisor not known to a tenth (``DIVISORS``): 1/x bends too much there for any linear rule.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from tests.engine.documents.uncertain import DOCUMENTS, case_of, draws_of
from tuning.engine.arrays import Array, Mask
from tuning.engine.bike import bike_of
from tuning.engine.case import Case, Reading
from tuning.engine.derive import derive, values_of
from tuning.engine.geometry import chassis_of
from tuning.engine.pack import Pack
from tuning.engine.propagate import Spread, Value, spread, standard_uncertainty
from tuning.engine.readouts import STOPS, body_of, stops

pytestmark = pytest.mark.slow

DRAWS = 20_000
#: Standard deviation of a share of the draws near 0.95, and the most that of a standard deviation, relative.
OF_SHARE, OF_DEVIATION = math.sqrt(0.95 * 0.05 / DRAWS), math.sqrt(1 / (2 * DRAWS))
#: What each value divides by: the sags whose difference it is, by end.
DIVISORS = {
    "implied_fork_rate": "front",
    "implied_rear_wheel_rate": "rear",
    "implied_shock_rate": "rear",
}


@dataclass(frozen=True)
class Told:
    """One stated value: nominal, standard uncertainty, half-width, largest single share; and the draws of it."""

    nominal: float
    u: float
    half_width: float
    share: float
    draws: Array


@dataclass(frozen=True)
class Propagated:
    told: Mapping[str, Told]
    left_out: frozenset[str]


def _column(numbers: object) -> Array:
    return np.broadcast_to(np.asarray(numbers), (DRAWS, 1))[:, 0]


@cache
def propagated(name: str) -> Propagated:
    """Derive a document once by sensitivities and DRAWS times over by draws."""
    return of_case(case_of(name))


def of_case(case: Case) -> Propagated:
    pack = Pack([case])
    values = list(values_of(pack))
    by_gum = spread(pack, values)
    many = Pack.drawn(case, draws_of(case, np.random.default_rng(20240229), DRAWS))
    drawn = {value.key: value for value in values_of(many)}
    bent = _stops_that_bend(many)
    told, left_out = {}, set()
    for place, value in enumerate(values):
        if not np.isfinite(by_gum.nominal[place, 0]):
            continue
        numbers = _column(drawn[value.key].numbers)
        one = Told(
            float(by_gum.nominal[place, 0]),
            float(np.max(standard_uncertainty(np.broadcast_to(value.numbers, (1, pack.columns))))),
            float(by_gum.half_width[place, 0]),
            float(by_gum.shares[place, 0].max(initial=0.0)),
            numbers,
        )
        if one.u == 0 and np.ptp(numbers) == 0:
            continue
        stop = next((word for word in bent if word in value.key), None)
        if stop or _at_a_limit(value, drawn[value.key], numbers) or _divides_by_little(many, value.key):
            left_out.add(value.key)
        else:
            told[value.key] = one
    return Propagated(told, frozenset(left_out))


def _at_a_limit(value: Value, drawn: Value, numbers: Array) -> bool:
    bounded = np.any(np.asarray(value.status) != 0) or np.any(np.asarray(drawn.status) != 0)
    atom = len(np.unique(numbers)) < 0.999 * DRAWS
    return bool(bounded or not np.isfinite(numbers).all() or atom)


def _divides_by_little(many: Pack, key: str) -> bool:
    end = DIVISORS.get(key)
    if end is None:
        return False
    travel = _column(many.get(f"length_bike_alone.{end}") - many.get(f"length_rider_aboard.{end}"))
    return bool(np.std(travel) > 0.1 * abs(np.mean(travel)))


def _codes(limited_by: object) -> list[Mask]:
    """Return one mask for each limit that any draw has."""
    codes = np.asarray(limited_by)
    return [codes == code for code in np.unique(codes)]


def _stops_that_bend(many: Pack) -> tuple[str, ...]:
    """Return the stops that some draws end another way: another limit, or at an end of either stroke."""
    bike = bike_of(many, chassis_of(many))
    assert bike is not None
    found = stops(bike, body_of(bike, bike.front.sag_aboard, bike.rear.sag_aboard))
    bent = []
    for place, name in enumerate((*STOPS, "limit")):
        one = found[place]
        ends: list[Mask] = [
            at
            for travel, stroke in ((one.front_travel, bike.front.stroke), (one.rear_travel, bike.rear.stroke))
            for at in (travel <= 0, travel >= stroke)
        ]
        ways = sum(2**place * _column(at).astype(int) for place, at in enumerate((*ends, *_codes(one.limited_by))))
        _, counts = np.unique(ways, return_counts=True)
        if np.sort(counts)[:-1].sum() > 0.001 * DRAWS:
            bent.append(f"_{name}")
    # The geometry while braking is that at the limit.
    return (*bent, *(("brake_limit", "_braking") if "_limit" in bent else ()))


@pytest.mark.parametrize("name", DOCUMENTS)
def test_standard_uncertainties_are_the_standard_deviations_of_the_draws(name: str) -> None:
    found = propagated(name)
    off = {
        key: one.u / float(np.std(one.draws))
        for key, one in found.told.items()
        if abs(one.u / float(np.std(one.draws)) - 1) > 0.05
    }
    assert not off
    # What is left out must not swallow the test.
    assert len(found.told) >= 70, sorted(found.left_out)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_intervals_hold_95_percent_of_the_draws(name: str) -> None:
    """Of near-linear values: those whose mean over the draws is the nominal value, and whose deviations agree.

    A linear rule with one rectangular term exact and the rest taken for normal holds 94 to 96.5 % (two like
    rectangles: 95 % ± 0.8 %); four standard deviations of the count are allowed beyond.
    """
    near = {
        key: one
        for key, one in propagated(name).told.items()
        if abs(np.mean(one.draws) - one.nominal) < 0.05 * np.std(one.draws)
        and abs(one.u / np.std(one.draws) - 1) < 0.02
    }
    assert len(near) >= 50
    held = {key: float(np.mean(np.abs(one.draws - one.nominal) <= one.half_width)) for key, one in near.items()}
    off = {key: share for key, share in held.items() if not 0.94 - 4 * OF_SHARE <= share <= 0.965 + 4 * OF_SHARE}
    assert not off


def _dominated() -> Case:
    """One end read once by caliper, friction unknown; a tape for the ring: one rectangle stands out in each value."""
    rows = [
        Reading("length_topped_out", 600, 0.05, "front", load_state="bike_alone"),
        Reading("length_bike_alone", 576, 0.05, "front", load_state="bike_alone"),
        Reading("length_rider_aboard", 562, 0.05, "front", load_state="solo"),
        Reading("stroke", 120, 0.0, "front"),
        Reading("deepest_normal", 92, 1.0, "front"),
        Reading("scale_bike_alone", 101, 0.1, "front"),
        Reading("scale_rider_aboard", 135, 0.1, "front"),
        Reading("scale_bike_alone", 99, 0.1, "rear"),
        Reading("scale_rider_aboard", 149, 5.0, "rear"),
        Reading("rake", 24.5, 0.0),
        Reading("ground_trail", 99, 1.0),
        Reading("wheelbase", 1425, 2.0),
    ]
    return Case("road_sport", "coil", "linkage", tuple(rows))


def test_where_one_rectangle_is_nearly_all_the_interval_is_its_own() -> None:
    found = of_case(_dominated()).told
    dominated = {key: one for key, one in found.items() if one.share > 0.95}
    assert {
        "sag_bike_alone.front",
        "sag_rider_aboard.front",
        "sag_rider_aboard_share.front",
        "reserve_normal.front",
        "ground_trail",
        "wheelbase",
        "load_share_front",
        "wheel_mass_rider_aboard.rear",
    } <= dominated.keys()
    linear = {k: v for k, v in dominated.items() if abs(np.mean(v.draws) - v.nominal) < 0.02 * np.std(v.draws)}
    assert len(linear) >= 10
    for key, one in linear.items():
        quantile = float(np.quantile(np.abs(one.draws - one.nominal), 0.95))
        low, high = (float(np.quantile(one.draws, share)) for share in (0.025, 0.975))
        assert one.half_width == pytest.approx(quantile, rel=0.02), key
        assert one.half_width == pytest.approx((high - low) / 2, rel=0.02), key
        # A normal distribution's factor would say a tenth too much and more.
        assert 1.96 * one.u > 1.1 * quantile, key


def test_an_input_that_the_case_has_not_cannot_be_drawn() -> None:
    with pytest.raises(KeyError):
        Pack.drawn(_dominated(), {"stroke.rear": np.zeros(3)})


# --- Linear propagation by another hand -----------------------------------------------------------------------------


def _variable(row: Reading) -> uncertainties.UFloat:
    return uncertainties.ufloat(row.value, row.half_width / math.sqrt(3), row.quantity + "." + row.end)


class ByHand:
    """The readings of a case as variables of ``uncertainties``, by quantity and end; several of one: their mean."""

    def __init__(self, case: Case) -> None:
        rows: dict[str, list[uncertainties.UFloat]] = {}
        for row in case.readings:
            rows.setdefault(f"{row.quantity}.{row.end}" if row.end else row.quantity, []).append(_variable(row))
        self.rows = rows

    def __getitem__(self, name: str) -> uncertainties.UFloat:
        found = self.rows[name]
        return sum(found[1:], found[0]) / len(found)

    def sags(self, end: str) -> tuple[uncertainties.UFloat, uncertainties.UFloat]:
        top = self[f"length_topped_out.{end}"]
        return top - self[f"length_bike_alone.{end}"], top - self[f"length_rider_aboard.{end}"]


def _hand_values(name: str) -> dict[str, uncertainties.UFloat]:
    """Sags, reserves, loads, implied rates, geometry as quoted and damping: formulas written out here."""
    read = ByHand(case_of(name))
    found = {}
    for end in ("front", "rear"):
        alone, aboard = read.sags(end)
        stroke = read[f"stroke.{end}"]
        found |= {
            f"sag_bike_alone.{end}": alone,
            f"sag_rider_aboard.{end}": aboard,
            f"sag_bike_alone_share.{end}": alone / stroke,
            f"sag_rider_aboard_share.{end}": aboard / stroke,
            f"reserve_normal.{end}": stroke - read[f"deepest_normal.{end}"],
            f"reserve_normal_share.{end}": 1 - read[f"deepest_normal.{end}"] / stroke,
        }
    added = {end: read[f"scale_rider_aboard.{end}"] - read[f"scale_bike_alone.{end}"] for end in ("front", "rear")}
    rake = read["rake"] * math.pi / 180
    g = 9.80665
    front, rear = (read.sags(end)[1] - read.sags(end)[0] for end in ("front", "rear"))
    found["implied_fork_rate"] = added["front"] * g * umath.cos(rake) / front
    found["implied_rear_wheel_rate"] = added["rear"] * g / rear
    found["implied_shock_rate"] = found["implied_rear_wheel_rate"] * read["leverage.rear"] ** 2
    on_front, on_rear = (read[f"scale_rider_aboard.{end}"] for end in ("front", "rear"))
    found["load_share_front"] = on_front / (on_front + on_rear)
    found |= _plane_by_hand(read, rake)
    decrement = umath.log(read["settle_first.rear"] / read["settle_second.rear"])
    found["damping_ratio.rear"] = decrement / umath.sqrt(4 * math.pi**2 + decrement**2)
    return found


def _plane_by_hand(read: ByHand, rake: uncertainties.UFloat) -> dict[str, uncertainties.UFloat]:
    """The plane as published with the bike alone on its wheels, then with the rider aboard.

    The front axle goes up the steering axis by what the fork gives; the rear one round the pivot until it stands
    higher by what the rear gives. The offset follows from rake, radius and trail.
    """
    trail, front, rear = read["ground_trail"], read["wheel_radius.front"], read["wheel_radius.rear"]
    base = read["wheelbase"]
    offset = front * umath.sin(rake) - trail * umath.cos(rake)
    found = {
        "rake": rake * 180 / math.pi,
        "ground_trail": trail,
        "normal_trail": trail * umath.cos(rake),
        "wheelbase": base,
        "rake_bike_alone": rake * 180 / math.pi,
        "ground_trail_bike_alone": trail,
        "wheelbase_bike_alone": base,
    }
    down = [aboard - alone for alone, aboard in (read.sags("front"), read.sags("rear"))]
    arm, droop = read["swingarm_length"], read["swingarm_angle"] * math.pi / 180
    swung = umath.asin(umath.sin(droop) - down[1] / arm)
    # Axles in the published chassis' coordinates: rear contact at the origin, x forward, z up.
    a = (base - down[0] * umath.sin(rake), front + down[0] * umath.cos(rake))
    b = (arm * umath.cos(droop) - arm * umath.cos(swung), rear + down[1])
    ahead, above = a[0] - b[0], a[1] - b[1]
    level = umath.sqrt(ahead**2 + above**2 - (front - rear) ** 2)
    # On the road the line of axles rises by the difference of the radii; the chassis turns by the difference.
    pitch = umath.atan2(above, ahead) - umath.atan2(front - rear, level)
    steep = rake - pitch
    normal = front * umath.sin(steep) - offset
    return found | {
        "rake_rider_aboard": steep * 180 / math.pi,
        "normal_trail_rider_aboard": normal,
        "ground_trail_rider_aboard": normal / umath.cos(steep),
        "wheelbase_rider_aboard": level,
    }


HAND = "springs by their sags, weighed"


@pytest.mark.parametrize("key", sorted(_hand_values(HAND)))
def test_linear_propagation_agrees_with_another_library(key: str) -> None:
    pack = Pack([case_of(HAND)])
    value = next(value for value in values_of(pack) if value.key == key)
    by_hand = _hand_values(HAND)[key]
    numbers = np.broadcast_to(value.numbers, (1, pack.columns))
    assert numbers[0, 0] == pytest.approx(by_hand.nominal_value, rel=1e-9)
    assert float(standard_uncertainty(numbers)[0, 0]) == pytest.approx(by_hand.std_dev, rel=1e-3)


@pytest.mark.parametrize("key", sorted(_hand_values(HAND)))
def test_contributions_are_those_of_the_other_library_and_add_up_to_one(key: str) -> None:
    found = derive(case_of(HAND)).values[key].contributions
    by_hand = _hand_values(HAND)[key]
    parts: dict[str, float] = {}
    for variable, part in by_hand.error_components().items():
        tag = variable.tag.rstrip(".")
        parts[tag] = parts.get(tag, 0.0) + (part / by_hand.std_dev) ** 2
    assert sum(parts.values()) == pytest.approx(1)
    # Shares below a thousandth are not listed.
    assert 1 - 0.001 * len(parts) <= sum(share for _, share in found) <= 1 + 1e-9
    assert dict(found) == pytest.approx({tag: share for tag, share in parts.items() if share >= 1e-3}, abs=2e-3)
    assert [share for _, share in found] == sorted((share for _, share in found), reverse=True)


@pytest.mark.parametrize("name", DOCUMENTS)
def test_contributions_of_every_value_add_up_to_one(name: str) -> None:
    for value in derive(case_of(name)).values.values():
        if value.half_width and value.contributions:
            assert sum(share for _, share in value.contributions) == pytest.approx(1, abs=0.02), value.key


@pytest.mark.parametrize("end", ["front", "rear"])
def test_what_two_sags_share_does_not_widen_their_difference(end: str) -> None:
    case = case_of(HAND)
    pack = Pack([case])
    values = {value.key: value for value in values_of(pack)}
    alone, aboard = values[f"sag_bike_alone.{end}"], values[f"sag_rider_aboard.{end}"]
    difference = Value("difference", aboard.numbers - alone.numbers, "mm", "sag")
    made: Spread = spread(pack, [alone, aboard, difference])
    shared = pack.tags.index(f"length_topped_out.{end}")
    assert made.shares[0, 0, shared] > 0.3
    assert made.shares[1, 0, shared] > 0.3
    assert made.shares[2, 0, shared] == pytest.approx(0, abs=1e-12)
    by_hand = ByHand(case).sags(end)
    apart = by_hand[1] - by_hand[0]
    assert float(standard_uncertainty(difference.numbers)[0, 0]) == pytest.approx(apart.std_dev, rel=1e-3)
    # Four readings of ± 0.5 mm, two a mean: u² = 2 · (1/2) · 0.25/3. The shared length, twice, would make it 3 times.
    assert apart.std_dev == pytest.approx(math.sqrt(0.25 / 3), rel=1e-9)
    assert f"length_topped_out.{end}" not in dict(derive(case).values["implied_fork_rate"].contributions)
