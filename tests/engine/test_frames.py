"""Video frames: films of a known motion, with uneven times and rounded heights, must give the motion back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuning.engine.arrays import Array
from tuning.engine.frames import Peaks, peaks_from_frames, settling

pytestmark = pytest.mark.slow


def film(
    zeta: float,
    frequency: float,
    push: float,
    *,
    fps: float = 60,
    held: float = 0.5,
    length: float = 4.0,
    step: float = 0.0,
    noise: float = 0.0,
    jitter: float = 0.0,
    seed: int = 0,
    rest: float = 350.0,
) -> tuple[Array, Array]:
    """Frame times (s) and heights (mm): held ``push`` below rest, then let go; closed form of the damped motion."""
    rng = np.random.default_rng(seed)
    count = round(fps * (held + length))
    times = (np.arange(count) + jitter * rng.uniform(-1, 1, count)) / fps
    free = np.maximum(times - held, 0)
    omega = 2 * math.pi * frequency
    damped = omega * math.sqrt(1 - zeta * zeta)
    wave = np.cos(damped * free) + zeta * omega / damped * np.sin(damped * free)
    heights = rest - push * np.exp(-zeta * omega * free) * wave + noise * rng.uniform(-1, 1, count)
    return times, np.round(heights / step) * step if step else heights


def turning_points(zeta: float, push: float, count: int) -> list[float]:
    return [push * math.exp(-math.pi * zeta / math.sqrt(1 - zeta * zeta) * i) for i in range(count)]


def test_a_clean_film_gives_the_motion_back() -> None:
    zeta, frequency = 0.2, 1.6
    found = peaks_from_frames(*film(zeta, frequency, 60, fps=120), half_width=0.2, settled=350.0)
    np.testing.assert_allclose(found.amplitudes[:5], turning_points(zeta, 60, 5), rtol=2e-3)
    assert found.side == -1
    assert found.period == pytest.approx(1 / (frequency * math.sqrt(1 - zeta * zeta)), rel=2e-3)
    np.testing.assert_allclose(found.like()[:3], turning_points(zeta, 60, 5)[::2], rtol=2e-3)
    read = settling(found)
    assert read.zeta == pytest.approx(zeta, rel=5e-3)
    assert read.frequency == pytest.approx(frequency, rel=3e-3)
    assert found.complete


@given(
    st.floats(0.03, 0.85),
    st.floats(1.0, 2.5),
    st.floats(30, 90),
    st.sampled_from([30, 60, 120, 240]),
    st.sampled_from([0.0, 0.5, 1.0]),
    st.floats(0, 0.5),
    st.floats(0, 0.4),
    st.integers(0, 1000),
)
def test_the_truth_lies_within_the_half_widths(
    zeta: float, frequency: float, push: float, fps: int, step: float, noise: float, jitter: float, seed: int
) -> None:
    times, heights = film(zeta, frequency, push, fps=fps, step=step, noise=noise, jitter=jitter, seed=seed)
    found = peaks_from_frames(times, heights, half_width=max(step / 2 + noise, 0.1))
    read = settling(found)
    assert read.low <= zeta <= read.high
    period = 1 / (frequency * math.sqrt(1 - zeta * zeta))
    if not math.isnan(found.period):
        assert abs(found.period - period) <= found.period_half_width
        assert abs(read.frequency - frequency) <= read.frequency_half_width or math.isinf(read.frequency_half_width)
    true = turning_points(zeta, push, len(found.amplitudes))
    assert np.all(np.abs(found.amplitudes - true) <= found.half_widths + found.settled_half_width)


def test_a_well_damped_bike_gives_only_a_bound() -> None:
    # Told from 1.0 mm as read (half-widths 0.5 and 0.5), 2.0 in truth, after 60 mm less 1.0:
    # δ = 2 ln(59/2) = 6.76878; 6.76878 / √(39.47842 + 45.81638) = 0.73291.
    read = settling(peaks_from_frames(*film(0.85, 1.5, 60), half_width=0.5))
    assert math.isnan(read.zeta)
    assert read.low == pytest.approx(0.73291, abs=1e-4)
    assert read.high == math.inf
    assert math.isnan(read.frequency)


def test_a_film_cut_off_before_rest_bounds_nothing() -> None:
    times, heights = film(0.3, 1.5, 60)
    early = times < 0.62  # still on the way up
    found = peaks_from_frames(times[early], heights[early], half_width=0.5, settled=350.0)
    assert not found.complete
    read = settling(found)
    assert (read.low, read.high) == (0.0, math.inf)


def test_a_film_that_ends_in_a_swing_leaves_that_swing_out() -> None:
    times, heights = film(0.1, 1.5, 60)
    cut = times < 0.5 + 1.25 / 1.5
    found = peaks_from_frames(times[cut], heights[cut], half_width=0.5, settled=350.0)
    np.testing.assert_allclose(found.amplitudes, turning_points(0.1, 60, 3), atol=1.0)
    assert not found.complete


def test_a_film_that_starts_in_motion_begins_with_the_next_turning_point() -> None:
    times, heights = film(0.1, 1.5, 60)
    late = times > 0.55
    found = peaks_from_frames(times[late], heights[late], half_width=0.5)
    np.testing.assert_allclose(found.amplitudes[:3], turning_points(0.1, 60, 4)[1:], atol=1.0)
    assert found.side == 1
    assert not np.isnan(found.times).any()


def test_the_time_of_a_held_start_is_not_told() -> None:
    found = peaks_from_frames(*film(0.2, 1.5, 60), half_width=0.5)
    assert math.isnan(found.times[0])
    assert found.amplitudes[0] == pytest.approx(60, abs=0.5)


def test_a_shifted_settled_height_hardly_moves_the_ratio_read_from_swings() -> None:
    times, heights = film(0.15, 1.5, 60)
    zetas = [
        settling(peaks_from_frames(times, heights, half_width=1.0, settled=at)).zeta for at in (349.0, 350.0, 351.0)
    ]
    np.testing.assert_allclose(zetas, 0.15, atol=0.002)


def test_a_motion_that_grows_is_no_settling() -> None:
    times = np.arange(0, 3, 1 / 60)
    heights = 5 * np.exp(0.8 * times) * np.sin(2 * math.pi * 1.5 * times)
    read = settling(peaks_from_frames(times, heights, half_width=0.2, settled=0.0))
    assert math.isnan(read.zeta)


def test_bad_frames_are_left_out() -> None:
    times, heights = film(0.2, 1.6, 60)
    broken_times, broken = times.copy(), heights.copy()
    broken[50], broken_times[70], broken_times[90] = math.nan, math.nan, broken_times[80]
    kept = broken_times.copy(), broken.copy()
    found = settling(peaks_from_frames(broken_times, broken, half_width=0.5))
    assert found.zeta == pytest.approx(0.2, abs=0.01)
    np.testing.assert_array_equal(broken_times, kept[0])
    np.testing.assert_array_equal(broken, kept[1])


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("count", [0, 1, 4])
def test_too_few_frames_tell_nothing(count: int) -> None:
    found = peaks_from_frames(np.arange(float(count)), np.zeros(count))
    assert len(found.amplitudes) == 0
    assert math.isnan(found.period)
    assert settling(found).low == 0.0


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("heights", [np.full(100, 350.0), np.full(100, math.nan), np.linspace(0, 60, 100)])
def test_a_film_without_a_swing_tells_nothing(heights: Array) -> None:
    read = settling(peaks_from_frames(np.arange(100) / 30, heights))
    assert math.isnan(read.zeta)
    assert read.low == 0.0


@given(st.lists(st.tuples(st.floats(allow_nan=True, width=32), st.floats(allow_nan=True, width=32)), max_size=40))
def test_any_frames_are_borne(frames: list[tuple[float, float]]) -> None:
    table = np.array(frames, dtype=np.float64).reshape(-1, 2)
    found = peaks_from_frames(table[:, 0], table[:, 1])
    assert isinstance(found, Peaks)
    read = settling(found)
    assert 0 <= read.low <= read.high


def test_uneven_frames_of_a_parabola_give_its_vertex() -> None:
    # 10 − 3 (t − 0.35)² at 0, 0.3 and 1; weights −0.108333, 1.083333, 0.025 at the vertex; it bends by
    # 6 · 0.7² = 2.94 over the longer gap: 1.216667 · 0.01 + 0.09 · 2.94 · √0.294 = 0.155637.
    t = np.array([-0.5, 0.0, 0.3, 1.0, 2.5, 2.6, 2.7])
    y = np.where(t < 2, 10 - 3 * (t - 0.35) ** 2, 0.0)
    found = peaks_from_frames(t, y, half_width=0.01, settled=0.0)
    np.testing.assert_allclose(found.times, [0.35], rtol=1e-12)
    np.testing.assert_allclose(found.amplitudes, [10], rtol=1e-12)
    np.testing.assert_allclose(found.half_widths, [0.155637], atol=1e-6)


@pytest.mark.parametrize("held", [0.5, 0.51, 0.52, 0.53])
def test_few_but_exact_frames_still_hold_the_truth(held: float) -> None:
    times, heights = film(0.3, 2.5, 60, fps=25, held=held)
    found = peaks_from_frames(times, heights, half_width=0.02, settled=350.0)
    assert abs(found.period - 1 / (2.5 * math.sqrt(0.91))) <= found.period_half_width
    true = turning_points(0.3, 60, len(found.amplitudes))
    assert np.all(np.abs(found.amplitudes - true) <= found.half_widths + found.settled_half_width)


def test_a_small_overshoot_the_film_does_not_see_the_end_of_bounds_nothing() -> None:
    heights = np.array([-60.0] * 20 + [-40, -20, -5, 0.5, 2.0, 2.5, 1.9])
    found = peaks_from_frames(np.arange(len(heights)) / 30, heights, half_width=1.0, settled=0.0)
    assert not found.complete
    assert settling(found).low == 0.0


def test_the_frequency_spans_that_of_the_shortest_and_the_longest_period() -> None:
    # A ninth a cycle: √(1 − ζ²) = 2π / √(4π² + ln² 9) = 0.943947; (1/0.9 − 1/1.1) / 2 / 0.943947 = 0.107008.
    nought = np.zeros(3)
    exact = Peaks(np.array([0, 0.5, 1]), np.array([9.0, 3, 1]), nought, 1, 0.0, 0.0, 1.0, 0.1, 0.1, complete=True)
    read = settling(exact)
    assert read.delta == pytest.approx(math.log(9), rel=1e-12)
    assert read.low == pytest.approx(read.zeta, rel=1e-12)
    assert read.frequency == pytest.approx(1 / 0.943947, rel=1e-6)
    assert read.frequency_half_width == pytest.approx(0.107008, rel=1e-5)
