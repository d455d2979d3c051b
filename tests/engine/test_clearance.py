"""Clearance at full compression: by hand, and against a wheel moved along the fork step by step."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine.clearance import NEEDED, full_compression

lengths = st.floats(0, 400)


@pytest.mark.parametrize(
    ("gap", "stroke", "travel", "legs_up", "growth", "left", "enough", "most_up"),
    [
        (150.0, 120.0, 0.0, 5.0, 0.0, 25.0, True, 22.0),
        (100.0, 120.0, 38.0, 10.0, 0.0, 8.0, True, 10.0),
        (100.0, 120.0, 38.0, 10.0, 0.5, 7.5, False, 9.5),
        # The legs already went down by 5: room came back.
        (120.0, 120.0, 0.0, -5.0, 0.0, 5.0, False, -8.0),
    ],
)
def test_by_hand(
    gap: float, stroke: float, travel: float, legs_up: float, growth: float, left: float, enough: bool, most_up: float
) -> None:
    found = full_compression(gap, stroke, travel, legs_up, growth)
    assert (float(found.left), bool(found.enough), float(found.most_up)) == (left, enough, most_up)
    assert not found.at_least


@given(lengths, lengths, lengths, st.floats(-10, 10), st.floats(0, 60))
def test_any_known_travel_tells_the_same(gap: float, stroke: float, travel: float, up: float, more: float) -> None:
    # Pushed down by `more`, the gap is smaller by as much.
    one, other = full_compression(gap, stroke, travel, up), full_compression(gap - more, stroke, travel + more, up)
    assert float(one.left) == pytest.approx(float(other.left), abs=1e-9)


@given(lengths, lengths, st.floats(-10, 10))
def test_moved_up_as_far_as_may_be_leaves_what_is_needed(gap: float, stroke: float, growth: float) -> None:
    most = float(full_compression(gap, stroke, growth=growth).most_up)
    assert float(full_compression(gap, stroke, legs_up=most, growth=growth).left) == pytest.approx(NEEDED, abs=1e-9)


@given(st.floats(5, 200), st.floats(-1.5, 1.5), st.floats(240, 360), st.floats(50, 250))
def test_off_the_line_the_difference_is_a_lower_bound(gap: float, angle: float, radius: float, stroke: float) -> None:
    # A point part at this angle off the line from the axle, the tread a circle that moves along the line.
    part = (radius + gap) * np.array([math.sin(angle), math.cos(angle)])
    steps = np.linspace(0, stroke, 400)
    nearest = np.min(np.hypot(part[0], part[1] - steps)) - radius
    found = full_compression(gap, stroke, off_line=True)
    assert float(found.left) <= nearest + 1e-9
    assert bool(found.at_least)
    assert not found.enough


def test_arrays_and_what_is_missing() -> None:
    found = full_compression(np.array([150.0, np.nan]), 120.0, off_line=np.array([[False], [True]]))
    assert found.left.shape == found.most_up.shape == (2, 2)
    assert np.isnan(found.left[:, 1]).all()
    assert found.enough.tolist() == [[True, False], [False, False]]
