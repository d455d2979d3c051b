"""Where an end comes to rest on its springs, and the springs that bring it to rest where it is wanted.

The questions are asked of any force law, fork or rear. Travel mm, load N, both in that end's own coordinate.
"""

from collections.abc import Sequence

import numpy as np

from tuning.engine.air import AirColumn, AirFork
from tuning.engine.arrays import Array, Law, Num
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.roots import newton, polish, root

#: A Newton step no longer than this, mm, is the last: what is left is of the order of its square, or, where the step
#: crossed a corner of the law, less than the step times the ratio of the two slopes.
NEAR = 1e-3
#: Two for a small move, three or four for a larger one; more, and the start was not near: solve in full.
NEWTON_STEPS = 4
#: No spring seat moves further than this, mm, either way.
WIDEST = 150.0
#: Laws whose answer to a moved seat is known here: a coil's is its compression, the others have none.
_SEATED = (Coil, TopOut, BumpStop, AirColumn, AirFork)


def equilibrium(law: Law, load: Num, stroke: Num, start: Num | None = None) -> Array:
    """Return the travel, mm, in [0, stroke] at which ``law`` carries ``load`` N.

    0 (topped out) where the load is no more than force(0), ``stroke`` (bottomed) where it is force(stroke) or more.
    ``start`` is a near solution (the nominal case's, say): a few Newton steps from it, and the whole solve only when
    those do not settle. NaN where anything is NaN or the stroke is not above zero. Shape: the broadcast of all.
    """

    def excess(s: Array) -> Array:
        return law.force(s) - load

    # Without load a loose coil rests anywhere until it is touched: only the whole solve says 0.
    if start is not None and np.asarray(load).all():
        start = np.asarray(start, dtype=np.float64)
        for _ in range(NEWTON_STEPS):
            last, start = start, polish(excess, law.stiffness, start, 0.0, stroke, steps=1)
            if not (np.abs(start - last) > NEAR).any():
                return start
    with np.errstate(all="ignore"):
        top, bottom = excess(np.zeros(())), excess(np.asarray(stroke, dtype=np.float64))
        between = (top < 0.0) & (bottom > 0.0)
        # Where the answer is an end, the solver is given a bracket of no width there.
        low = np.where(top >= 0.0, 0.0, np.where(bottom <= 0.0, stroke, 0.0))
        high = np.where(top >= 0.0, 0.0, stroke)
        guess = low + np.where(between, -top / (bottom - top), 0.0) * (high - low)
        known = np.where((np.asarray(stroke) > 0.0) & ~np.isnan(top + bottom), 0.0, np.nan)
        if not np.any(between & (known == 0.0)):
            ends: Array = guess + known
            return ends
        near = guess if start is None else np.where(between & ~np.isnan(start), start, guess)
        return newton(excess, law.stiffness, low, high, near + known)


def preload_for(law: Law, travel: Num, load: Num) -> Array:
    """Return how far, mm, to wind the spring's seat in (negative: out) for ``law`` to carry ``load`` N at ``travel``.

    Closed form where the law is one single-rate coil with or without laws that have no seat; a bracketed root
    otherwise. NaN where nothing within ±150 mm does it, the coil loose included. Measured at the spring.
    """
    parts = _parts(law)
    coils = [part for part in parts if isinstance(part, Coil)]
    if len(coils) == 1 and coils[0].second_rate is None and all(isinstance(part, _SEATED) for part in parts):
        coil = coils[0]
        need = load - _forces([part for part in parts if part is not coil], travel)
        with np.errstate(all="ignore"):
            delta = need / coil.rate - travel - coil.preload
            found = (need >= 0.0) & np.greater(coil.rate, 0.0) & (np.abs(delta) <= WIDEST)
            return np.where(found, delta, np.nan)

    def excess(delta: Array) -> Array:
        return law.with_preload(delta).force(travel) - load

    return root(excess, -WIDEST, WIDEST)


def rate_and_preload(
    travel_1: Num, load_1: Num, travel_2: Num, load_2: Num, others: Law | None = None
) -> tuple[Array, Array]:
    """Return the rate, N/mm, and preload, mm, of the plain coil that rests at travel_1 under load_1 and at 2 under 2.

    ``others`` carry their part first: air, top-out spring, bump stop. NaN, both, where travel_2 is not beyond
    travel_1, where the coil would need no rate above zero, and where it would be loose at travel_1.
    """
    first = load_1 - _forces([] if others is None else [others], travel_1)
    second = load_2 - _forces([] if others is None else [others], travel_2)
    with np.errstate(all="ignore"):
        rate = (second - first) / np.subtract(travel_2, travel_1)
        preload = first / rate - travel_1
        found = np.greater(travel_2, travel_1) & (rate > 0.0) & (first >= 0.0)
        return np.where(found, rate, np.nan), np.where(found, preload, np.nan)


def implied_rate(travel_1: Num, load_1: Num, travel_2: Num, load_2: Num) -> Array:
    """Return Δload/Δtravel, N/mm, of all springs together between two states; NaN where travel_2 is not beyond 1."""
    with np.errstate(all="ignore"):
        rate = np.subtract(load_2, load_1) / np.subtract(travel_2, travel_1)
        return np.where(np.greater(travel_2, travel_1), rate, np.nan)


def vertical_rate(rate: Num, rake: Num) -> Array:
    """Return the rate at the wheel against vertical movement, N/mm: k/cos² ε, ``rake`` ε in radians."""
    with np.errstate(all="ignore"):
        vertical: Array = rate / np.square(np.cos(rake))
        return np.where(np.abs(rake) < np.pi / 2.0, vertical, np.nan)


def fork_law(
    spring_rates: tuple[Num, Num],
    preload: Num | tuple[Num, Num],
    *,
    second_rates: tuple[Num, Num] | None = None,
    crossover: Num | tuple[Num, Num] | None = None,
    top_out: TopOut | None = None,
    air: AirColumn | AirFork | None = None,
    legs_with_air: Num = 2,
    bump_stop: BumpStop | None = None,
) -> Law:
    """Return the law of both legs together, along the fork: legs add.

    ``spring_rates`` are the legs' coils, N/mm, NaN for a leg without one; both NaN is an air fork where ``air`` is
    given, and not known (NaN) where it is not. A preload, crossover (mm, of the spring) that is one value holds for
    both legs. A second rate of NaN is a single rate; one without its crossover leaves the law not known. ``air`` is
    one leg's; ``legs_with_air`` says how many have it. ``top_out`` and ``bump_stop`` are both legs' together.
    """
    laws: list[Law] = list(_coils(spring_rates, preload, second_rates, crossover, known=air is not None))
    if air is not None:
        laws.append(air.times(legs_with_air))
    laws += [law for law in (top_out, bump_stop) if law is not None]
    return laws[0] if len(laws) == 1 else Sum(tuple(laws))


def _coils(
    rates: tuple[Num, Num],
    preload: Num | tuple[Num, Num],
    second_rates: tuple[Num, Num] | None,
    crossover: Num | tuple[Num, Num] | None,
    *,
    known: bool,
) -> tuple[Coil, ...]:
    """Return one coil for like seats and single rates, which is the same thing and quicker, else one a leg."""
    firsts = [np.asarray(rate, dtype=np.float64) for rate in rates]
    neither = np.isnan(firsts[0]) & np.isnan(firsts[1])
    seconds = [np.asarray(rate, dtype=np.float64) for rate in second_rates or (np.nan, np.nan)]
    dual = not all(np.isnan(rate).all() for rate in seconds)
    # A leg without a spring has no rate and any seat; a fork of which no spring is told has no law.
    rest = np.where(neither & (not known), np.nan, 0.0)
    if not dual and not isinstance(preload, tuple):
        total = np.where(np.isnan(firsts[0]), 0.0, firsts[0]) + np.where(np.isnan(firsts[1]), 0.0, firsts[1])
        return (Coil(total + rest, np.where(neither & known, 0.0, preload)),)
    coils = []
    for first, second, seat, corner in zip(firsts, seconds, _legs(preload), _legs(crossover), strict=True):
        rate, seated = np.where(np.isnan(first), rest, first), np.where(np.isnan(first), 0.0, seat)
        if not dual:
            coils.append(Coil(rate, seated))
            continue
        single = np.isnan(second)
        coils.append(Coil(rate, seated, np.where(single, rate, second), np.where(single, 0.0, corner)))
    return tuple(coils)


def _legs(value: Num | tuple[Num, Num] | None) -> tuple[Num, Num]:
    if isinstance(value, tuple):
        return value
    return (np.nan, np.nan) if value is None else (value, value)


def _parts(law: Law) -> tuple[Law, ...]:
    return law.laws if isinstance(law, Sum) else (law,)


def _forces(laws: Sequence[Law], travel: Num) -> Array:
    total: Array = np.zeros(())
    for law in laws:
        total = total + law.force(travel)
    return total
