"""Root finding on arrays: against SciPy, in few calls, and quiet about what has no root."""

import warnings
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tuning.engine.arrays import Array
from tuning.engine.roots import HALVINGS, newton, polish, root

CASES: dict[str, tuple[Callable[[Array], Array], float, float]] = {
    "cubic": (lambda x: x**3 - 2, 0.0, 3.0),
    "steep": (lambda x: np.exp(x) - 5, -3.0, 8.0),
    "kink": (lambda x: np.where(x < 1, x - 1.1, 5 * x - 5.1), 0.0, 10.0),
    "line": (lambda x: x - 3.3, 0.0, 10.0),
    "loose then stiff": (lambda x: 18 * np.maximum(x - 50, 0) - 400, -150.0, 150.0),
    "falling": (lambda x: 1 / x - 3, 0.01, 50.0),
    "triple": (lambda x: (x - 1.7) ** 3, 0.0, 10.0),
}


@pytest.mark.parametrize("name", CASES)
def test_root_agrees_with_brentq_within_the_bracket_it_promises(name: str) -> None:
    f, low, high = CASES[name]
    expected = brentq(lambda x: float(f(np.asarray(x))), low, high, xtol=1e-14, rtol=1e-14, maxiter=5000)
    assert root(f, low, high) == pytest.approx(expected, abs=(high - low) * 2.0**-HALVINGS + 1e-12)


@pytest.mark.parametrize("name", CASES)
def test_root_takes_few_calls_and_never_more_than_it_says(name: str) -> None:
    f, low, high = CASES[name]
    calls = []

    def counted(x: Array) -> Array:
        calls.append(1)
        return f(x)

    root(counted, low, high)
    assert len(calls) <= (2 * HALVINGS + 4 if name == "triple" else 20)


@given(st.floats(-0.999, 0.999), st.integers(1, 9), st.floats(0.01, 100))
def test_root_of_odd_powers_is_bracketed_in_the_worst_case(where: float, power: int, scale: float) -> None:
    def f(x: Array) -> Array:
        return scale * np.sign(x - where) * np.abs(x - where) ** power

    assert root(f, -1.0, 1.0) == pytest.approx(where, abs=2.0 * 2.0**-HALVINGS)


def test_few_steps_give_a_coarse_root() -> None:
    found = root(lambda x: x**3 - 2, 0.0, 3.0, steps=6)
    assert found == pytest.approx(2 ** (1 / 3), abs=3 / 2**6)


def test_one_call_solves_unlike_elements_and_broadcasts() -> None:
    target = np.linspace(-1.5, 8.0, 20).reshape(4, 5)
    found = root(lambda x: x**3 - target, -2.0, np.full((4, 1), 2.0))
    assert found.shape == (4, 5)
    np.testing.assert_allclose(found, np.cbrt(target), atol=1e-10)


def test_rising_and_falling_in_one_array() -> None:
    slope = np.array([1.0, -1.0])
    np.testing.assert_allclose(root(lambda x: slope * (x - 0.25), 0.0, 1.0), 0.25, atol=1e-11)


def test_an_end_that_is_the_root_is_returned() -> None:
    np.testing.assert_array_equal(root(lambda x: x - np.array([0.0, 1.0]), 0.0, 1.0), [0.0, 1.0])


@pytest.mark.parametrize("bad", [np.nan, 5.0, -5.0])
def test_no_root_is_nan_and_leaves_its_neighbours_alone(bad: float) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = root(lambda x: x - np.array([0.3, bad]), 0.0, 1.0)
    assert found[0] == pytest.approx(0.3, abs=1e-11)
    assert np.isnan(found[1])


@pytest.mark.parametrize(("low", "high"), [(1.0, 0.0), (np.nan, 1.0), (0.0, np.nan)])
def test_a_bracket_that_is_none_gives_nan(low: float, high: float) -> None:
    assert np.isnan(root(lambda x: x - 0.5, low, high))


@given(st.floats(0.05, 0.95), st.floats(0.01, 50.0), st.floats(0.0, 1.0))
def test_newton_finds_the_root_across_a_corner(where: float, after: float, start: float) -> None:
    corner = 0.5

    def f(x: Array) -> Array:
        return _bent(x) - _bent(np.asarray(where))

    def _bent(x: Array) -> Array:
        return np.where(x < corner, x, corner + after * (x - corner))

    found = newton(f, lambda x: np.where(x < corner, 1.0, after), 0.0, 1.0, start)
    assert found == pytest.approx(where, abs=1e-8)


def test_newton_starts_from_a_flat_place() -> None:
    found = newton(
        lambda x: 10 * np.maximum(x - 40.0, 0) - 200,
        lambda x: np.where(x >= 40, 10.0, 0.0),
        0.0,
        100.0,
        np.array([5.0, 90]),
    )
    np.testing.assert_allclose(found, 60.0, atol=1e-8)


def test_newton_that_has_not_arrived_says_nan() -> None:
    assert np.isnan(newton(lambda x: x**3 - 2, lambda x: 3 * x**2, 0.0, 100.0, 90.0, steps=2))


def test_newton_carries_nan_and_stays_quiet() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = newton(lambda x: x - np.array([np.nan, 0.5]), np.ones_like, 0.0, 1.0, 0.2)
    assert np.isnan(found[0])
    assert found[1] == pytest.approx(0.5)


def test_polish_is_newton_kept_in_its_bracket() -> None:
    # By hand: 2 - (4 - 2)/4 = 1.5; 1.5 - (2.25 - 2)/3 = 1.41666…
    assert polish(lambda x: x * x - 2, lambda x: 2 * x, 2.0, 0.0, 2.0) == pytest.approx(17 / 12, rel=1e-15)
    assert polish(lambda x: x - 9, np.ones_like, 2.0, 0.0, 3.0) == 3.0
    assert polish(lambda x: x - 9, np.zeros_like, 2.0, 0.0, 3.0) == 3.0
    assert np.isnan(polish(lambda x: x - np.nan, np.ones_like, 2.0, 0.0, 3.0))


def test_polish_stays_at_a_flat_root() -> None:
    assert polish(lambda x: np.maximum(x - 1, 0), lambda x: np.where(x >= 1, 1.0, 0.0), 0.5, 0.0, 3.0) == 0.5
