"""Coverage factors against SciPy, against exact trapezoids and against Monte Carlo; u of the plain distributions."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from tuning.engine import interval

ROOT3 = math.sqrt(3.0)


def exact(share: float) -> float:
    """The factor by quadrature of the normal over the rectangle and Brent's method: none of the engine's algebra."""
    h, s = ROOT3 * share, math.sqrt(1 - share * share)

    def outside(k: float) -> float:
        inside, _ = integrate.quad(
            lambda v: stats.norm.cdf((k - v) / s) - stats.norm.cdf((-k - v) / s),
            -h,
            h,
            points=[max(-h, -k), min(h, k)],
            epsabs=1e-12,
        )
        return float(inside / (2 * h) - 0.95)

    return float(optimize.brentq(outside, 1.5, 2.1, xtol=1e-10))


@pytest.mark.parametrize("share", [0.02, 0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.87, 0.9, 0.94, 0.97, 0.99, 0.995, 0.999])
def test_factor_is_the_quantile_of_the_convolution(share: float) -> None:
    assert float(interval.coverage(1.0, ROOT3 * share)) == pytest.approx(exact(share), abs=1e-5)
    assert interval.quantile(share) == pytest.approx(exact(share), abs=1e-8)


def test_interpolation_is_within_a_tenth_of_what_is_claimed_everywhere() -> None:
    rng = np.random.default_rng(20)
    shares = np.concatenate([rng.uniform(0, 1, 1000), 1 - 10 ** rng.uniform(-10, -2, 1000)])
    wanted = [interval.quantile(float(share)) for share in shares]
    np.testing.assert_allclose(interval.coverage(np.ones(2000), ROOT3 * shares), wanted, atol=1e-5)


def test_both_ends_are_exact() -> None:
    assert float(interval.coverage(2.0, 0.0)) == stats.norm.ppf(0.975)
    assert float(interval.coverage(1 / ROOT3, 1.0)) == pytest.approx(0.95 * ROOT3, abs=1e-12)
    assert float(interval.expanded(1 / ROOT3, 1.0)) == pytest.approx(0.95, abs=1e-12)


def trapezoid(a: float, b: float) -> float:
    """k of the sum of two rectangular terms, exact: the sum is a trapezoid (JCGM 101:2008, 6.4.4)."""
    beta = abs(a - b) / (a + b)
    u = (a + b) * math.sqrt((1 + beta * beta) / 6)
    if 2 * beta / (1 + beta) >= 0.95:  # the whole interval lies under the level top
        return 0.95 * (1 + beta) / 2 * (a + b) / u
    return (1 - math.sqrt(0.05 * (1 - beta * beta))) * (a + b) / u


def test_two_equal_rectangular_terms_are_given_one_hundredth_too_much() -> None:
    # Exact: a triangle, sqrt(6) (1 - sqrt(0.05)) = 1.90177. The rest is taken for normal: 1.91742, 0.8 % more.
    assert trapezoid(1, 1) == pytest.approx(math.sqrt(6) * (1 - math.sqrt(0.05)), abs=1e-12)
    assert trapezoid(1, 1) == pytest.approx(1.90177, abs=5e-6)
    assert float(interval.coverage(math.sqrt(2 / 3), 1.0)) - trapezoid(1, 1) == pytest.approx(0.01566, abs=2e-5)


@given(st.floats(0.001, 1))
def test_two_rectangular_terms_are_within_the_stated_share(other: float) -> None:
    k = float(interval.coverage(math.sqrt((1 + other * other) / 3), 1.0))
    assert -0.0140 <= k / trapezoid(1, other) - 1 <= 0.0090


@pytest.mark.parametrize("dominant", [0.5, 1.0, 2.0, 4.0])
def test_monte_carlo_finds_95_percent_inside(dominant: float) -> None:
    rng = np.random.default_rng(101)
    sums = rng.uniform(-dominant, dominant, 400_000) + rng.normal(0, 0.5, 400_000)
    half = float(interval.expanded(math.sqrt(0.25 + dominant * dominant / 3), dominant))
    # Four standard deviations of the share found: 4 sqrt(0.95 * 0.05 / 400 000).
    assert float(np.mean(np.abs(sums) <= half)) == pytest.approx(0.95, abs=0.0014)


@given(st.floats(1e-6, 1e6), st.floats(0, 1), st.floats(1e-6, 1e6))
def test_the_factor_knows_no_unit_and_stays_between_its_ends(u: float, share: float, scale: float) -> None:
    k = float(interval.coverage(u, ROOT3 * share * u))
    assert float(interval.coverage(u * scale, ROOT3 * share * u * scale)) == pytest.approx(k, abs=1e-6)
    # Just before the rectangular end it dips a thousandth below it: the normal rest shortens the rectangle first.
    assert interval.RECTANGULAR - 0.0013 <= k <= interval.NORMAL + 1e-12


@given(st.floats(0, 0.99), st.floats(0, 0.99))
def test_more_of_the_rectangular_never_raises_the_factor(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert float(interval.coverage(1.0, ROOT3 * high)) <= float(interval.coverage(1.0, ROOT3 * low)) + 1e-12


def test_arrays_broadcast_and_inputs_stay_as_they_were() -> None:
    u, a = np.full((3, 1), 1.0), np.linspace(0, ROOT3, 5)
    kept = u.copy(), a.copy()
    assert interval.coverage(u, a).shape == (3, 5)
    np.testing.assert_array_equal(u, kept[0])
    np.testing.assert_array_equal(a, kept[1])


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    ("u", "a"), [(math.nan, 1), (1, math.nan), (1, 2), (1, 1.75), (-1, 0), (1, -1), (0, 1), (math.inf, math.inf)]
)
def test_what_no_distribution_has_is_nan(u: float, a: float) -> None:
    assert math.isnan(float(interval.coverage(u, a)))
    assert interval.distribution(u, a) == "unknown"


@pytest.mark.filterwarnings("error")
def test_a_certain_value_has_an_interval_of_nought() -> None:
    assert float(interval.expanded(0.0, 0.0)) == 0.0


def test_the_note_names_the_distribution() -> None:
    notes = interval.distribution(np.ones(5), ROOT3 * np.array([0, 0.2, 0.5, 0.8, 1.0]))
    assert notes.tolist() == ["normal", "normal", "rectangular and normal", "rectangular and normal", "rectangular"]


@pytest.mark.parametrize(
    ("found", "frozen"),
    [
        (interval.rectangular(1.5), stats.uniform(-1.5, 3.0)),
        (interval.triangular(1.5), stats.triang(0.5, -1.5, 3.0)),
        (interval.trapezoidal(1.5, 0.4), stats.trapezoid(0.3, 0.7, -1.5, 3.0)),
        (interval.resolution(3.0), stats.uniform(-1.5, 3.0)),
    ],
)
def test_u_is_the_standard_deviation(found: float, frozen: "stats.rv_frozen") -> None:
    assert float(found) == pytest.approx(frozen.std(), rel=1e-12)


def test_a_trapezoid_runs_from_triangle_to_rectangle() -> None:
    np.testing.assert_allclose(interval.trapezoidal(2.0, np.array([0.0, 1.0])), [2 / math.sqrt(6), 2 / ROOT3])
    assert math.isnan(float(interval.trapezoidal(1.0, 1.1)))


def test_a_row_of_half_widths_gives_u_and_the_greatest() -> None:
    # By hand: (9 + 16 + 144) / 3 = 56.333; the sign of a sensitivity does not matter.
    u, dominant = interval.of_rectangular(np.array([[3.0, -4.0, 12.0], [0.0, 0.0, 0.0]]))
    np.testing.assert_allclose(u, [math.sqrt(169 / 3), 0])
    np.testing.assert_allclose(dominant, [12, 0])


def test_one_unknown_part_makes_the_sum_unknown() -> None:
    u, dominant = interval.of_rectangular(np.array([1.0, math.nan]))
    assert math.isnan(float(u))
    assert math.isnan(float(dominant))
