"""Published figures against the engine; every expected value carries its source in data/geometry.json."""

import json
import math
from pathlib import Path

import pytest
from uncertainties import ufloat

from tuning.engine.errors import EngineInputError
from tuning.engine.geometry import (
    attitude_after,
    ground_trail,
    normal_trail,
    offset_from_trail,
    radius_from_roll_out,
    trail_per_rake,
)
from tuning.engine.measured import uncertain
from tuning.engine.tyres import nominal_diameter
from tuning.engine.units import convert

DATA = json.loads((Path(__file__).parent / "data" / "geometry.json").read_text(encoding="utf-8"))
BICYCLES = DATA["measured_bicycles"]["rows"]


@pytest.mark.parametrize("row", BICYCLES, ids=lambda row: row[0])
def test_trail_and_sigma_of_measured_bicycles(row: list) -> None:
    _, turns, roll_out, offset, head_angle, trail, sigma = row
    rake = (90 - ufloat(head_angle, 0.2)) * (math.pi / 180)
    found = ground_trail(rake, radius_from_roll_out(ufloat(roll_out, 0.01), turns), ufloat(offset, 0.001))
    assert found.nominal_value == pytest.approx(trail, rel=1e-9)
    assert found.std_dev == pytest.approx(sigma, rel=1e-6)


@pytest.mark.parametrize("row", BICYCLES, ids=lambda row: row[0])
def test_the_printed_minus_sign_misses_the_published_sigma(row: list) -> None:
    _, turns, roll_out, offset, head_angle, _, sigma = row
    rake, radius = math.radians(90 - head_angle), roll_out / (2 * math.pi * turns)
    s_radius = 0.01 / (2 * math.pi * turns)
    by_rake = (math.radians(0.2) * trail_per_rake(rake, radius, offset)) ** 2
    minus = (s_radius * math.tan(rake)) ** 2 - (0.001 / math.cos(rake)) ** 2 + by_rake
    assert minus < 0 or abs(math.sqrt(minus) - sigma) > 0.1 * sigma


def test_benchmark_bicycle() -> None:
    given, rake = DATA["benchmark"], math.pi / 10
    offset = float(offset_from_trail(rake, given["radius"], given["trail"]))
    assert offset == pytest.approx(given["offset"], abs=5e-8)
    assert float(normal_trail(rake, given["radius"], offset)) == pytest.approx(given["normal_trail"], abs=5e-8)


def test_sport_motorcycle_trails() -> None:
    given = DATA["sport_1000"]
    rest = given["rake"], given["radius"], given["offset"]
    assert float(ground_trail(*rest)) == pytest.approx(given["ground_trail"], abs=0.1)
    assert float(normal_trail(*rest)) == pytest.approx(given["normal_trail"], abs=0.1)


@pytest.mark.parametrize(("up", "degrees", "trail"), DATA["sport_1000"]["legs_up"])
def test_legs_up_through_the_clamps(up: float, degrees: float, trail: float) -> None:
    given = DATA["sport_1000"]
    bike = {"rake": given["rake"], "offset": given["offset"], "wheelbase": given["wheelbase"]}
    bike |= {"front_radius": given["radius"], "rear_radius": given["rear_radius"]}
    before, after = attitude_after(**bike), attitude_after(**bike, fork_position=up)
    assert before.rake == pytest.approx(given["rake"], abs=1e-12)
    assert math.degrees(after.rake - before.rake) == pytest.approx(degrees, rel=0.01)
    assert after.ground_trail - before.ground_trail == pytest.approx(trail, rel=0.02)


@pytest.mark.parametrize(("size", "diameter"), DATA["tyres"]["rows"])
def test_tyre_diameters(size: str, diameter: float) -> None:
    assert nominal_diameter(size) == pytest.approx(diameter, abs=1e-9)


def test_alpha_sizes_are_refused_by_name() -> None:
    with pytest.raises(EngineInputError) as caught:
        nominal_diameter("MH90-21")
    assert caught.value.faults[0].reason == "alpha_tyre_size"


@pytest.mark.parametrize(("source", "target", "factor"), DATA["units"]["rows"])
def test_unit_factors(source: str, target: str, factor: float) -> None:
    assert convert(1.0, source, target) == pytest.approx(factor, rel=5e-7)


def test_rectangular_uncertainty_of_a_range() -> None:
    # Range 7 to 10 -> 0.87 (Eurachem/CITAC QUAM, appendix E; read).
    assert uncertain(8.5, 1.5, "range").std_dev == pytest.approx(0.87, abs=0.005)
