"""Damping from a phone video: frame times and heights in, turning points, damping ratio and frequency out.

The heights are those of one point of the bike above the ground after one push; a mass on a spring with viscous
damping turns and crosses its settled height every half period. Half-widths are worst cases, not standard deviations.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.damping import HALF_CYCLE, damping_ratio, least_ratio, natural_frequency

#: A film that begins with the bike held down still for this long begins at a turning point, s.
HELD = 0.2
_FEWEST = 5


#: Frames nearer to each other than this, s, are one frame told twice: no camera takes them.
SHORTEST_GAP = 1e-5


@dataclass(frozen=True, slots=True)
class Peaks:
    """Turning points of a settling motion, successive ones on opposite sides of the settled height.

    times: s, (n,), NaN for a start held down; amplitudes: mm above or below the settled height, (n,), > 0;
    half_widths: mm, of each as read, the settled height's own not included. side: +1 where the first lies above the
    settled height, −1 below, 0 without any. settled: mm, in the heights' own zero. period: s, of a full cycle, NaN
    where no two turning points or crossings give one. smallest: the least amplitude, mm, that would be told from the
    settled height. complete: whether the film runs on until it is at rest.
    """

    times: Array
    amplitudes: Array
    half_widths: Array
    side: int
    settled: float
    settled_half_width: float
    period: float
    period_half_width: float
    smallest: float
    complete: bool

    def like(self) -> Array:
        """Return the amplitudes of the successive like peaks: those on the first one's side, mm."""
        return self.amplitudes[::2]


@dataclass(frozen=True, slots=True)
class Settling:
    """Damping read off one settling.

    delta per full cycle and zeta are NaN where only a bound is known; ζ lies from low to high (inf: no upper bound).
    frequency: undamped, Hz, with half-width; NaN without period or zeta.
    """

    delta: float
    zeta: float
    low: float
    high: float
    frequency: float
    frequency_half_width: float


@dataclass(frozen=True, slots=True)
class _Swing:
    """Frames first to last (inclusive) on one side of the settled height."""

    first: int
    last: int
    side: int


@dataclass(frozen=True, slots=True)
class _Turn:
    time: float
    time_half_width: float
    amplitude: float
    half_width: float
    side: int


def peaks_from_frames(
    times: Array, heights: Array, *, half_width: float = 1.0, settled: float | None = None
) -> Peaks:
    """Return the turning points of a push-and-let-go filmed frame by frame.

    ``times`` s and ``heights`` mm are 1-D, one of each a frame; they may be unevenly spaced. Frames with NaN are left
    out, and so is any not later than those before. ``half_width`` mm is that of one height as read. ``settled`` is
    the height at rest, known as closely; without it the median over the last fifth of the time.

    A turning point is the vertex of the parabola through a swing's outermost frame and its neighbours. It counts when
    it stands further from the settled height than both half-widths together, and the heights fall away from it by two
    half-widths on both sides. A swing that an end of the film cuts off has none, but for a bike held down, still, at
    the start: its depth counts, its time does not, for hands leave slowly.
    """
    t, h = _in_order(times, heights)
    if len(t) < _FEWEST or not half_width > 0:
        return _nothing(settled, half_width)
    rest, rest_half_width = (settled, half_width) if settled is not None else _rest(t, h, half_width)
    smallest = half_width + rest_half_width
    out = h - rest
    swings = _swings(out, smallest)
    found = [_turn(t, out, swing, half_width) for swing in swings]
    turns = [turn for turn in found if turn is not None]
    period, period_half_width = _period(turns, list(_crossings(t, out, swings, smallest)))
    return Peaks(
        times=np.array([turn.time for turn in turns]),
        amplitudes=np.array([turn.amplitude for turn in turns]),
        half_widths=np.array([turn.half_width for turn in turns]),
        side=turns[0].side if turns else 0,
        settled=rest,
        settled_half_width=rest_half_width,
        period=period,
        period_half_width=period_half_width,
        smallest=smallest,
        complete=bool(abs(out[-1]) <= smallest) and not (found and found[-1] is None),
    )


def settling(peaks: Peaks) -> Settling:
    """Return δ, ζ and frequency from the turning points, each from those that give it the narrowest range.

    Three and more: from the swings between successive turning points, which know nothing of the settled height. Two:
    from their ratio over half a cycle. One, on a film that runs until rest: only the least ζ there can be.
    """
    candidates = [found for found in _decrements(peaks) if found is not None]
    if not candidates:
        low = 0.0
        if len(peaks.amplitudes) == 1 and peaks.complete:
            least = peaks.amplitudes[0] - peaks.half_widths[0] - peaks.settled_half_width
            # One read as the smallest that counts, and so passed over, may be as much again in truth.
            hidden = 2.0 * peaks.smallest
            low = float(least_ratio(max(least, hidden), hidden, HALF_CYCLE))
        return Settling(math.nan, math.nan, low, math.inf, math.nan, math.nan)
    low, delta, high = min(candidates, key=lambda found: found[2] - found[0])
    zeta, least = float(damping_ratio(delta)), float(damping_ratio(low))
    most = float(damping_ratio(high)) if math.isfinite(high) else 1.0
    slow, fast = peaks.period + peaks.period_half_width, peaks.period - peaks.period_half_width
    ends = natural_frequency(np.array([slow, fast]), np.array([least, most]))
    frequency, spread = float(natural_frequency(peaks.period, zeta)), float(ends[1] - ends[0]) / 2.0
    return Settling(
        delta=delta,
        zeta=zeta,
        low=least,
        high=most,
        frequency=frequency,
        frequency_half_width=math.inf if math.isnan(spread) and not math.isnan(frequency) else spread,
    )


def _in_order(times: Array, heights: Array) -> tuple[Array, Array]:
    t, h = np.asarray(times, dtype=np.float64), np.asarray(heights, dtype=np.float64)
    known = np.isfinite(t) & np.isfinite(h)
    t, h = t[known], h[known]
    if not len(t):
        return t, h
    later = np.concatenate([[True], t[1:] > np.maximum.accumulate(t)[:-1]])
    return t[later], h[later]


def _nothing(settled: float | None, half_width: float) -> Peaks:
    none = np.array([], dtype=np.float64)
    rest = math.nan if settled is None else settled
    return Peaks(none, none, none, 0, rest, half_width, math.nan, math.nan, math.nan, complete=False)


def _rest(t: Array, h: Array, half_width: float) -> tuple[float, float]:
    tail = h[t >= t[-1] - (t[-1] - t[0]) / 5.0]
    # A tail that still moves widens the settled height by what it moves.
    return float(np.median(tail)), max(half_width, float(np.ptp(tail)) / 2.0)


def _swings(out: Array, smallest: float) -> list[_Swing]:
    """Return the swings that stand clear of the settled height; what trembles about it in between belongs to none."""
    sides = np.sign(out).astype(int)
    edges = np.flatnonzero(np.diff(sides)) + 1
    found: list[_Swing] = []
    for first, end in pairwise([0, *edges.tolist(), len(out)]):
        side = int(sides[first])
        if not side or np.max(np.abs(out[first:end])) <= smallest:
            continue
        if found and found[-1].side == side:
            found[-1] = _Swing(found[-1].first, end - 1, side)
        else:
            found.append(_Swing(first, end - 1, side))
    return found


def _turn(t: Array, out: Array, swing: _Swing, half_width: float) -> _Turn | None:
    far = out * swing.side
    part = far[swing.first : swing.last + 1]
    top = np.flatnonzero(part == np.max(part)) + swing.first
    i = int(top[len(top) // 2])
    near = far >= far[i] - 2.0 * half_width
    low, high = i, i
    while low > 0 and near[low - 1]:
        low -= 1
    while high < len(t) - 1 and near[high + 1]:
        high += 1
    if high == len(t) - 1:
        return None
    if low == 0:
        if t[high] - t[0] < HELD:
            return None
        return _Turn(math.nan, math.nan, float(np.median(far[: high + 1])), half_width, swing.side)
    when, height, weights, missed = _vertex(t[i - 1 : i + 2], far[i - 1 : i + 2])
    return _Turn(
        time=when,
        time_half_width=float(t[high + 1] - t[low - 1]) / 2.0,
        amplitude=height,
        half_width=weights * half_width + missed,
        side=swing.side,
    )


def _vertex(t: Array, y: Array) -> tuple[float, float, float, float]:
    """Return the parabola's vertex: time, height, the sum of its weights' sizes, and what it may miss the motion by.

    The middle point is a top. A damped motion of size A that bends by D over one gap Δ, D = A (ωΔ)², has a third
    derivative of 2ζω · Aω² at its top, and a parabola through three points misses at most 0.064 Δ³ of that (its
    error term): 0.128 ζ D √(D/A), taken at ζ = 0.7, above which hardly a top is seen.
    """
    left, right = float(t[1] - t[0]), float(t[2] - t[1])
    if min(left, right) < SHORTEST_GAP:
        return float(t[1]), float(y[1]), 1.0, 0.0
    rise, fall = float(y[1] - y[0]) / left, float(y[1] - y[2]) / right
    if rise + fall <= 0:
        return float(t[1]), float(y[1]), 1.0, 0.0
    # Slopes of the two chords, at their middles: nought in between.
    x = 0.5 * (right * rise - left * fall) / (rise + fall)
    before = x * (x - right) / (left * (left + right))
    after = x * (x + left) / (right * (left + right))
    middle = 1.0 - before - after
    height = before * float(y[0]) + middle * float(y[1]) + after * float(y[2])
    bend = 2.0 * (rise + fall) / (left + right) * max(left, right) ** 2
    missed = 0.09 * bend * math.sqrt(bend / height)
    return float(t[1]) + x, height, abs(before) + abs(middle) + abs(after), missed


def _crossings(t: Array, out: Array, swings: list[_Swing], smallest: float) -> Iterator[tuple[float, float]]:
    """Yield (time, half-width) of each crossing of the settled height, on the line between the frames clear of it."""
    clear = np.flatnonzero(np.abs(out) > smallest)
    for before, after in pairwise(swings):
        # The frames next to it may lie on either side by their half-widths alone; those clear of it do not.
        i = int(clear[clear <= before.last][-1])
        j = int(clear[clear >= after.first][0])
        gap, drop = float(t[j] - t[i]), abs(float(out[j] - out[i]))
        # The line misses the curve by at most an eighth of the gap while the gap is short against the period.
        yield float(t[i]) + abs(float(out[i])) * gap / drop, gap * (smallest / drop + 0.125)


def _period(turns: list[_Turn], crossings: list[tuple[float, float]]) -> tuple[float, float]:
    """Return (period, half-width) from whichever two events, whole half periods apart, tell it best."""
    by_turns = [(turn.time, turn.time_half_width) for turn in turns]
    found: list[tuple[float, float]] = []
    for events in (by_turns, crossings):
        for i, (start, start_half) in enumerate(events):
            for halves, (end, end_half) in enumerate(events[i + 1 :], start=1):
                found.append((2.0 * (end - start) / halves, 2.0 * (start_half + end_half) / halves))
    known = [pair for pair in found if not math.isnan(pair[0])]
    return min(known, key=lambda pair: pair[1], default=(math.nan, math.nan))


def _decrements(peaks: Peaks) -> Iterator[tuple[float, float, float] | None]:
    """Yield (low, δ, high) per full cycle from pairs of swings, and from the first two turning points."""
    x, w = peaks.amplitudes, peaks.half_widths
    n = len(x)
    if n >= 2:
        about = w + peaks.settled_half_width
        yield _range(x[0], about[0], x[1], about[1], HALF_CYCLE)
    for later in range(1, n - 1):
        first, last = x[0] + x[1], x[later] + x[later + 1]
        # The turning point two neighbouring swings share moves both the same way; worst cases are taken all the same.
        yield _range(first, w[0] + w[1], last, w[later] + w[later + 1], HALF_CYCLE * later)


def _range(a: float, a_half: float, b: float, b_half: float, cycles: float) -> tuple[float, float, float] | None:
    if b - b_half > a + a_half:  # it grows: no settling
        return None
    b = min(a, b)
    low = math.log(max((a - a_half) / (b + b_half), 1.0)) / cycles
    high = math.log((a + a_half) / (b - b_half)) / cycles if b > b_half else math.inf
    return low, math.log(a / b) / cycles, high
