"""What the reference rows cannot say: figures that a slip in the formula must miss, and a second way to them."""

import math

import pytest
from uncertainties import ufloat, umath

from tests.reference.rows import Row, load_rows
from tuning.engine import plane
from tuning.engine.units import convert

SIGMAS = [row for row in load_rows() if row.raw["compute"] == "bicycle_trail_sigma"]


def test_all_seven_bicycles_are_there() -> None:
    assert len(SIGMAS) == 7


@pytest.mark.parametrize("row", SIGMAS, ids=lambda row: row.raw["id"])
def test_sigma_by_another_library(row: Row) -> None:
    given = row.raw["given"]
    rake = (90 - ufloat(given["head_angle"], 0.2)) * (math.pi / 180)
    radius = ufloat(given["roll_out"], 0.01) / (2 * math.pi * given["turns"])
    trail = (radius * umath.sin(rake) - ufloat(given["offset"], 0.001)) / umath.cos(rake)
    assert trail.std_dev == pytest.approx(row.raw["expected"], rel=1e-6)
    assert row.got() == pytest.approx(trail.std_dev, rel=1e-6)


@pytest.mark.parametrize("row", SIGMAS, ids=lambda row: row.raw["id"])
def test_the_printed_minus_sign_misses_the_published_sigma(row: Row) -> None:
    given, sigma = row.raw["given"], row.raw["expected"]
    rake, offset = math.radians(90 - given["head_angle"]), given["offset"]
    radius, s_radius = (value / (2 * math.pi * given["turns"]) for value in (given["roll_out"], 0.01))
    by_rake = (math.radians(0.2) * float(plane.trail_per_rake(rake, radius, offset))) ** 2
    by_radius, by_offset = (s_radius * math.tan(rake)) ** 2, (0.001 / math.cos(rake)) ** 2
    assert math.sqrt(by_radius + by_offset + by_rake) == pytest.approx(sigma, rel=1e-6)
    minus = by_radius - by_offset + by_rake
    assert minus < 0 or abs(math.sqrt(minus) - sigma) > 0.1 * sigma


@pytest.mark.parametrize(
    ("source", "target"),
    [("lbf", "N"), ("lbf.ft", "N.m"), ("lbf/in", "N/mm"), ("kgf/mm", "N/mm"), ("psi", "kPa"), ("kgf/cm2", "kPa")],
)
def test_units_come_back(source: str, target: str) -> None:
    assert convert(convert(3.7, source, target), target, source) == pytest.approx(3.7, rel=1e-12)
