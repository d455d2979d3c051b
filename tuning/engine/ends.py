"""One end of the bike as its springs: from known springs where they are told, else from what the two sags say.

A known spring has one unknown left, how far its seat is wound in, and one sag tells it. Unknown springs have two, and
both sags tell them: two equations, closed form for a plain coil. What carries besides the coil (air, top-out spring,
bump stop) is taken off first.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tuning.engine.air import AirColumn, AirFork, air_fork, ambient_pressure, circle, column_volume
from tuning.engine.arrays import Array, Law, Mask, Num
from tuning.engine.coil import BumpStop, Coil, Sum, TopOut
from tuning.engine.fork import equilibrium, preload_for, rate_and_preload
from tuning.engine.linkage import Constant, Leverage, Linear, Table
from tuning.engine.pack import Pack
from tuning.engine.rates import BOTTOMED, TOPPED_OUT, travel_resolved
from tuning.engine.sag import sags_of
from tuning.engine.shock import RearLaw

#: Air changes slowly while somebody measures.
STANDING = 1.0
CM3 = 1000.0  # mm³


@dataclass(frozen=True)
class End:
    """One end's springs and what they carry; arrays (D, C), NaN where not known.

    coil: all springs of the end together, at the spring; others: air, top-out spring, bump stop, at the spring too.
    leverage None: the spring moves with the wheel's travel, as in a fork. count: springs alike. stroke, sag_alone,
    sag_aboard: mm of the end's own travel. load_alone, load_aboard: N in the same direction. known: (D, 1), whether
    the rate was told rather than worked out. levered: (D, 1), whether the leverage was.
    """

    coil: Coil
    others: tuple[Law, ...]
    leverage: Leverage | None
    count: int
    stroke: Array
    sag_alone: Array
    sag_aboard: Array
    load_alone: Array
    load_aboard: Array
    known: Mask
    levered: Mask

    @cached_property
    def law(self) -> Law:
        """The force law standing still."""
        return self._law(self.others)

    @cached_property
    def rest_alone(self) -> Array:
        """Travel, mm, at which the springs carry the bike alone."""
        return equilibrium(self.law, self.load_alone, self.stroke)

    @cached_property
    def rest_aboard(self) -> Array:
        """Travel, mm, at which the springs carry the bike with the rider aboard."""
        return equilibrium(self.law, self.load_aboard, self.stroke)

    def riding(self, exponent: Num) -> Law:
        """Return the force law of quick travel: the air by that polytropic exponent."""
        return self._law(
            tuple(law.with_exponent(exponent) if isinstance(law, AirColumn | AirFork) else law for law in self.others)
        )

    def _law(self, others: tuple[Law, ...]) -> Law:
        spring: Law = Sum((self.coil, *others)) if others else self.coil
        return spring if self.leverage is None else RearLaw(self.leverage, spring, 1.0)

    @property
    def air(self) -> AirColumn | AirFork | None:
        """The air among what carries, if there is any."""
        return next((law for law in self.others if isinstance(law, AirColumn | AirFork)), None)

    @property
    def breathes(self) -> Mask:
        """(D, 1): whether air carries; in a pack, the documents without any have some of no area."""
        air = self.air
        area = 0.0 if air is None else air.area if isinstance(air, AirColumn) else air.main_area
        return np.broadcast_to(np.asarray(area) > 0, np.broadcast_shapes(np.shape(area), self.stroke.shape))[:, :1]

    def with_air(self, air: AirColumn | AirFork) -> "End":
        """Return the same end with other air."""
        return replace(self, others=tuple(air if law is self.air else law for law in self.others))


def _seen(numbers: Array) -> bool:
    return bool(np.isfinite(numbers[:, 0]).any())


def _or(numbers: Array, instead: Num) -> Array:
    return np.where(np.isnan(numbers), instead, numbers)


def _topped_out(pack: Pack, end: str, count: int) -> tuple[Law, ...]:
    rate, length = pack.get(f"top_out_rate.{end}") * count, pack.get(f"top_out_length.{end}")
    return (TopOut(_or(rate, 0.0), _or(length, 0.0)),) if _seen(rate * length) else ()


def _bump(pack: Pack, end: str, count: int, stroke: Array) -> tuple[Law, ...]:
    rate, length = pack.get(f"bump_stop_rate.{end}") * count, pack.get(f"bump_stop_length.{end}")
    start = stroke - length
    return (BumpStop(_or(start, 0.0), np.where(np.isnan(start), 0.0, _or(rate, 0.0))),) if _seen(rate * start) else ()


def _air(pack: Pack, stroke: Array) -> tuple[Law, ...]:
    """Return the air of both legs: the column over the oil, or an air fork's chambers; nothing where not told."""
    ambient = ambient_pressure(_or(pack.get("altitude") / 1000.0, 0.0))
    if pack.front_architecture == "air":
        charged = _charged(pack)
        if not charged.any():
            return ()
        now = _or(pack.get("temperature_ambient"), 20.0)
        height = _or(pack.get("altitude") / 1000.0, 0.0)
        return (
            air_fork(
                main_area=np.where(charged, pack.get("air_area.front"), 0.0),
                main_volume=np.where(charged, pack.get("air_volume.front") * CM3, 1.0),
                main_kpa=np.where(charged, pack.get("air_pressure.front"), 0.0),
                balance_area=np.where(charged, _or(pack.get("balance_area.front"), 0.0), 0.0),
                balance_volume=_or(pack.get("balance_volume.front") * CM3, 1.0),
                balance_kpa=_or(pack.get("air_pressure_balance.front"), 0.0),
                set_temperature=_or(pack.get("temperature_set"), now),
                temperature=now,
                set_altitude=height,
                altitude=height,
                exponent=STANDING,
            ),
        )
    gap, bore = _of_the_legs(pack, "oil_level"), _of_the_legs(pack, "tube_bore")
    spring = _or(_of_the_legs(pack, "spring_volume"), 0.0) * CM3
    volume = column_volume(bore, gap, stroke, spring)
    if not _seen(volume):
        return ()
    area = np.where(np.isnan(volume), 0.0, circle(bore))
    return (AirColumn(_or(area, 0.0), _or(volume, 1.0), ambient, ambient, STANDING).times(2),)


def _charged(pack: Pack) -> Mask:
    """Return (D, 1): whose air fork's main chamber is told whole."""
    return pack.given("air_area.front") & pack.given("air_volume.front") & pack.given("air_pressure.front")


def _of_the_legs(pack: Pack, quantity: str) -> Array:
    """Return a figure told of both legs alike, else the mean of the legs it is told of."""
    left, right = pack.get(f"{quantity}.left"), pack.get(f"{quantity}.right")
    legs = (_or(left, right) + _or(right, left)) / 2
    return _or(pack.get(quantity), legs)


def _given_rate(pack: Pack, end: str, count: int, which: str = "spring_rate") -> Array:
    """Return the rate of all springs of an end together: legs add; a rate without a leg is that of each spring."""
    left, right = pack.get(f"{which}.{end}.left"), pack.get(f"{which}.{end}.right")
    if count == 1:
        legs = np.where(np.isnan(left), right, np.where(np.isnan(right), left, left + right))
    else:
        legs = _or(left, right) + _or(right, left)
    return np.where(np.isnan(legs), pack.get(f"{which}.{end}") * count, legs)


@dataclass(frozen=True, slots=True)
class _Measured:
    """What the springs of an end are seen to do, at the spring: travels mm, loads N."""

    alone: Array
    aboard: Array
    load_alone: Array
    load_aboard: Array
    #: Whether the pair of sags tells a rate: neither topped out nor bottomed, and apart by more than its uncertainty.
    tells: Mask


def _coil(pack: Pack, end: str, count: int, seen: _Measured, others: tuple[Law, ...]) -> tuple[Coil, Mask]:
    given = _given_rate(pack, end, count)
    both = Sum(others) if others else None
    rate, preload = rate_and_preload(seen.alone, seen.load_alone, seen.aboard, seen.load_aboard, both)
    known = np.isfinite(given[:, :1])
    rate = np.where(known, given, np.where(seen.tells, rate, np.nan))
    second, crossover = pack.get(f"spring_rate_second.{end}") * count, pack.get(f"spring_crossover.{end}")
    coil = Coil(rate, 0.0)
    if _seen(second * crossover):
        single = np.isnan(second) | np.isnan(crossover)
        coil = Coil(rate, 0.0, np.where(single, rate, second), np.where(single, 0.0, crossover))
    if known.any():
        law: Law = Sum((coil, *others)) if others else coil
        wound = preload_for(law, seen.aboard, seen.load_aboard)
        wound = np.where(np.isnan(wound), preload_for(law, seen.alone, seen.load_alone), wound)
        wound = np.where(np.isnan(wound), pack.get(f"spring_preload.{end}"), wound)
        preload = np.where(known, wound, preload)
    return replace(coil, preload=np.where(np.isnan(rate), np.nan, preload)), known


def _tells(pack: Pack, end: str, loads: Mask) -> Mask:
    alone, aboard = sags_of(pack, end)
    with np.errstate(invalid="ignore"):
        bottomed = pack.get(f"stroke.{end}")[:, :1] - aboard[:, :1] < BOTTOMED
        free = (alone[:, :1] >= TOPPED_OUT) & ~bottomed
    return np.asarray(free & travel_resolved(pack, end) & loads)


def _hidden(end: End) -> End:
    """Return the end without its spring: electronics that level it let no sag tell what the spring is."""
    nothing = np.full_like(end.sag_alone, np.nan)
    return replace(end, coil=Coil(nothing, nothing), others=(), known=np.zeros_like(end.known))


def front_end(pack: Pack, load_alone: Array, load_aboard: Array, loads: Mask) -> End:
    """Return the fork: ``load_alone`` and ``load_aboard`` along both legs together, N.

    ``loads``: (D, 1), whether the two differ by more than their uncertainty.
    """
    count = 1 if pack.front_architecture == "coil_split" else 2
    stroke = pack.get("stroke.front")
    alone, aboard = sags_of(pack, "front")
    others = (*_topped_out(pack, "front", 1), *_bump(pack, "front", 1, stroke), *_air(pack, stroke))
    seen = _Measured(alone, aboard, load_alone, load_aboard, _tells(pack, "front", loads))
    coil, known = _coil(pack, "front", count, seen, others)
    if pack.front_architecture == "air" and others:
        # Chambers that are told leave no coil to be found.
        told = np.isfinite(Sum(others).force(0.0)) & _charged(pack)
        coil = Coil(np.where(told, 0.0, coil.rate), np.where(told, 0.0, coil.preload))
        known = known | told[:, :1]
    levered = np.ones_like(known)
    end = End(coil, others, None, count, stroke, alone, aboard, load_alone, load_aboard, known, levered)
    return _hidden(end) if pack.front_architecture == "semi_active" else end


def leverage_of(pack: Pack) -> tuple[Leverage, Mask]:
    """Return the rear leverage, 1 where none is told, and (D, 1) whether it is."""
    start, end = pack.get("leverage.rear"), pack.get("leverage_end.rear")
    tables = [case.leverage_table for case in pack.cases]
    told = pack.given("leverage.rear") | np.array([[bool(table)] for table in tables])
    if any(tables):
        longest = max(2, *(len(table) for table in tables))
        points, ratios = np.empty((pack.rows, 1, longest)), np.empty((pack.rows, 1, longest))
        for row, table in enumerate(tables):
            first = float(np.nan_to_num(start[row, 0], nan=1.0))
            known = list(table) or [(0.0, first), (400.0, first)]
            known += [known[-1]] * (longest - len(known))
            points[row, 0], ratios[row, 0] = zip(*known, strict=True)
        return Table(points, ratios), told
    if _seen(end):
        stroke = pack.get("stroke.rear")
        varies = np.isfinite(end) & np.isfinite(stroke)
        start = _or(start, 1.0)
        return Linear(start, np.where(varies, end, start), np.where(varies, stroke, 100.0)), told
    return Constant(_or(start, 1.0)), told


def rear_end(pack: Pack, load_alone: Array, load_aboard: Array, loads: Mask) -> End:
    """Return the rear: loads vertical at the axle, N; the coil at the shock, all shocks together.

    ``loads``: (D, 1), whether the two differ by more than their uncertainty.
    """
    count = 2 if pack.rear_architecture == "twin_shock" else 1
    leverage, told = leverage_of(pack)
    alone, aboard = sags_of(pack, "rear")
    stroke = pack.get("stroke.rear")
    at_shock = pack.first("shock_stroke")
    at_shock = np.where(np.isnan(at_shock), leverage.shock_travel(stroke), at_shock)
    others = (*_topped_out(pack, "rear", count), *_bump(pack, "rear", count, at_shock))
    seen = _Measured(
        leverage.shock_travel(alone),
        leverage.shock_travel(aboard),
        load_alone * leverage.ratio(alone),
        load_aboard * leverage.ratio(aboard),
        _tells(pack, "rear", loads),
    )
    coil, known = _coil(pack, "rear", count, seen, others)
    # A shock's rate means nothing at the wheel without its leverage.
    rate = np.where(known & ~told, np.nan, coil.rate)
    coil = replace(coil, rate=rate)
    end = End(coil, others, leverage, count, stroke, alone, aboard, load_alone, load_aboard, known & told, told)
    return _hidden(end) if pack.rear_architecture == "semi_active" else end
