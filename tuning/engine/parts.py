"""Which spring to buy, and how far to wind it in, so that both sags come into their bands.

Two sags fix two unknowns, rate and preload. Of the springs that can be bought each leaves a range of preloads that
meets both bands, which the adjuster may or may not reach. All of it is closed form in the spring's own terms: at a
sag s under a load L the spring must carry a known force G(s, L) at a known compression u(s), so k = ΔG/Δu for the
pair wanted, and p(s) = G/k − u for any spring. Only the sags that result are solved for.

Candidates stand on a first axis of their own: arrays (R, ...) over the shape (...) that loads and bands share.
"""

import math
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Law, Num
from tuning.engine.coil import Coil, Sum
from tuning.engine.fork import equilibrium
from tuning.engine.linkage import Constant, Leverage
from tuning.engine.roots import root
from tuning.engine.shock import RearLaw

#: Misses closer together than this, mm, are one and the same: the nearer rate is then taken.
ALIKE = 0.01
#: A preload so loose that the spring never touches, mm.
_SLACK = -1e6
#: Values worked at once: more of them run out of the processor's cache and take three times as long each.
_BLOCK = 50_000
#: Bands of no width are met within this, mm of preload.
_EXACT = 1e-9
_STRAIGHT = Constant(1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Seat:
    """Where a plain coil of rate k and preload p works in an end, with all else that pushes or pulls there.

    Attributes:
        count: springs alike: 2 in most forks, 1 where one leg has the spring, 1 or 2 at the rear.
        leverage: the end's travel over the spring's; 1 along a fork.
        beside: the rest of the end's force law in the end's travel: air, top-out, an unlike leg. None: nothing.
        stop: each shock's other law in the spring's own travel: bump stop, top-out. None: nothing.
    """

    count: Num = 1.0
    leverage: Leverage = _STRAIGHT
    beside: Law | None = None
    stop: Law | None = None

    def law(self, rate: Num, preload: Num) -> Law:
        """Return the end's law with springs of ``rate`` N/mm each and ``preload`` mm."""
        spring: Law = Coil(rate, preload)
        if self.stop is not None:
            spring = Sum((spring, self.stop))
        end: Law = RearLaw(self.leverage, spring, self.count)
        return end if self.beside is None else Sum((end, self.beside))

    def compression(self, s: Num) -> Array:
        """Return the spring's own travel, mm, at the end's travel ``s``: preload not counted."""
        return self.leverage.shock_travel(s)

    def carries(self, s: Num, load: Num) -> Array:
        """Return G, N: what each spring must carry for the end to rest at ``s`` mm under ``load`` N.

        Negative where the end would go no deeper even without a spring.
        """
        rest = np.asarray(load, dtype=np.float64)
        if self.beside is not None:
            rest = rest - self.beside.force(s)
        force = rest * self.leverage.ratio(s) / self.count
        return force if self.stop is None else force - self.stop.force(self.compression(s))


@dataclass(frozen=True, slots=True)
class Aim:
    """What the two sags should be, under which loads. Every field broadcasts with the others.

    Attributes:
        alone: load on the end with the bike alone, N, in the end's own direction (axial at a fork).
        aboard: load with the rider aboard, N.
        alone_band: least and greatest sag, bike alone, mm of the end's travel.
        aboard_band: least and greatest sag, rider aboard, mm of the end's travel.
        stroke: the end's travel, mm.
    """

    alone: Num
    aboard: Num
    alone_band: tuple[Num, Num]
    aboard_band: tuple[Num, Num]
    stroke: Num


@dataclass(frozen=True, slots=True)
class Adjuster:
    """What the preload adjuster can do. Fields broadcast with the aim's, or one a candidate on the first axis.

    Attributes:
        least: preload wound fully out, mm of spring, topped out; negative: loose there.
        most: preload wound fully in, mm.
        per_turn: preload a turn, mm; NaN where it has no turns (spacers).
    """

    least: Num
    most: Num
    per_turn: Num = np.nan


@dataclass(frozen=True, slots=True, eq=False)
class Offer:
    """Springs that can be had and what comes of each; arrays (R, ...), or (...) for the one taken.

    Attributes:
        rate: of one spring, N/mm.
        low: least preload that meets both bands within the adjuster's range, mm; NaN where none does.
        high: greatest such preload, mm; NaN where none does.
        ideal: preload, mm, as near to both bands as this rate comes with no adjuster in the way; less ``preload`` it
            is the spacer that would be needed. Minus infinity: as loose as can be.
        preload: preload to set, mm: within the adjuster's range, as near to the bands as can be.
        turns: that preload in turns from fully out; NaN without turns.
        sag_alone: the sag that results, bike alone, mm.
        sag_aboard: the sag that results, rider aboard, mm.
        miss: how far the worse of the two sags is outside its band, mm; 0 where both are met.
        rate_meets: whether both bands are met at some preload, in the adjuster's range or not.
        meets: whether both bands are met within the adjuster's range.
    """

    rate: Array
    low: Array
    high: Array
    ideal: Array
    preload: Array
    turns: Array
    sag_alone: Array
    sag_aboard: Array
    miss: Array
    rate_meets: npt.NDArray[np.bool_]
    meets: npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """What is wanted, what every candidate gives, and the one to take.

    Attributes:
        wanted_rate: rate of one spring that meets the middles of both bands, N/mm; NaN where none does.
        wanted_preload: the preload that goes with it, mm.
        offers: one row a candidate, in the order given.
        order: candidates from best to worst, indices (R, ...).
        best: the offer to take. Where ``best.meets`` is False the bands cannot be met with what can be had: it is
            then the nearest, and ``best.miss`` says by how much.
    """

    wanted_rate: Array
    wanted_preload: Array
    offers: Offer
    order: npt.NDArray[np.intp]
    best: Offer


def wanted(seat: Seat, aim: Aim) -> tuple[Array, Array]:
    """Return the rate (N/mm, of one spring) and preload (mm) that put both sags in the middle of their bands.

    NaN where no spring does it: the sags do not differ, or the rate comes out at nought or less.
    """
    with np.errstate(all="ignore"):
        first, second = _middle(aim.alone_band), _middle(aim.aboard_band)
        near, far = seat.carries(first, aim.alone), seat.carries(second, aim.aboard)
        rate = (far - near) / (seat.compression(second) - seat.compression(first))
        # a spring that carries less than nothing would have to pull
        rate = np.where((rate > 0.0) & np.isfinite(rate) & (near >= 0.0) & (second > first), rate, np.nan)
        return rate, near / rate - seat.compression(first)


def choose(seat: Seat, aim: Aim, rates: tuple[float, ...], adjuster: Adjuster) -> Choice:
    """Return which of the purchasable ``rates`` (N/mm, of one spring) to take, and how far to wind it in.

    Of those that meet both bands the one nearest to the rate wanted; if none does, the one that misses least. NaN in
    a document's figures makes its best offer NaN. ``rates`` must hold at least one.
    """
    rate, preload = wanted(seat, aim)
    offers = offer(seat, aim, rates, adjuster)
    with np.errstate(invalid="ignore"):
        away = np.nan_to_num(np.abs(offers.rate - rate), nan=0.0)
        steps = np.where(np.isnan(offers.miss), np.inf, np.round(offers.miss / ALIKE))
    order = np.lexsort((away, steps, ~offers.meets), axis=0)
    known = ~np.isnan(offers.miss).all(axis=0)
    best = {}
    for item in fields(Offer):
        value = np.take_along_axis(getattr(offers, item.name), order[:1], axis=0)[0]
        best[item.name] = value if value.dtype == np.bool_ else np.where(known, value, np.nan)
    return Choice(rate, preload, offers, order, Offer(**best))


def offer(seat: Seat, aim: Aim, rates: tuple[float, ...], adjuster: Adjuster) -> Offer:
    """Return, for each of ``rates``, the preloads that meet both bands and the sags at the best that can be set."""
    shape = np.broadcast_shapes(
        *(np.shape(x) for x in (aim.alone, aim.aboard, *aim.alone_band, *aim.aboard_band, aim.stroke, seat.count)),
        np.shape(seat.carries(0.0, 0.0)),
    )
    rate = np.asarray(rates, dtype=np.float64).reshape((-1,) + (1,) * len(shape)) + np.zeros(shape)
    reach = [np.broadcast_to(x, rate.shape) for x in (adjuster.least, adjuster.most, adjuster.per_turn)]
    step = max(1, _BLOCK // max(1, math.prod(shape)))
    blocks = [slice(i, i + step) for i in range(0, len(rate), step)]
    found = [_offer(seat, aim, rate[block], Adjuster(*(x[block] for x in reach))) for block in blocks]
    if len(found) == 1:
        return found[0]
    return Offer(*(np.concatenate([getattr(part, item.name) for part in found]) for item in fields(Offer)))


def _offer(seat: Seat, aim: Aim, rate: Array, adjuster: Adjuster) -> Offer:
    with np.errstate(all="ignore"):
        alone = _preloads(seat, rate, aim.alone, aim.alone_band, aim.stroke)
        aboard = _preloads(seat, rate, aim.aboard, aim.aboard_band, aim.stroke)
        low, high = np.maximum(alone[0], aboard[0]), np.minimum(alone[1], aboard[1])
        rate_meets = low <= high + _EXACT
        middle = _preload(seat, rate, aim.aboard, _middle(aim.aboard_band))
        ideal = np.minimum(np.maximum(middle, low), high)
        if not rate_meets.all():
            ideal = np.where(rate_meets, ideal, _between(seat, aim, rate, alone, aboard))
        preload = np.minimum(np.maximum(ideal, np.maximum(adjuster.least, _SLACK)), adjuster.most)
        low, high = np.maximum(low, adjuster.least), np.minimum(high, adjuster.most)
        meets = rate_meets & (low <= high + _EXACT)
        law = seat.law(rate, preload)
        sag_alone, sag_aboard = (equilibrium(law, load, aim.stroke) for load in (aim.alone, aim.aboard))
        miss = np.maximum(_outside(sag_alone, aim.alone_band), _outside(sag_aboard, aim.aboard_band))
        miss = np.where(meets, 0.0 * miss, miss)
        known = ~np.isnan(miss)
        return Offer(
            rate=rate,
            low=np.where(meets, low, np.nan),
            high=np.where(meets, high, np.nan),
            ideal=ideal,
            preload=preload,
            turns=(preload - adjuster.least) / adjuster.per_turn,
            sag_alone=sag_alone,
            sag_aboard=sag_aboard,
            miss=miss,
            rate_meets=rate_meets & known,
            meets=meets & known,
        )


def _middle(band: tuple[Num, Num]) -> Array:
    return np.asarray((np.asarray(band[0]) + band[1]) / 2.0)


def _outside(sag: Array, band: tuple[Num, Num]) -> Array:
    return np.maximum(np.maximum(band[0] - sag, sag - band[1]), 0.0)


def _preload(seat: Seat, rate: Array, load: Num, s: Num) -> Array:
    """Return the preload, mm, at which the end rests at ``s``: the less sag, the more of it."""
    return seat.carries(s, load) / rate - seat.compression(s)


def _preloads(seat: Seat, rate: Array, load: Num, band: tuple[Num, Num], stroke: Num) -> tuple[Array, Array]:
    """Return the least and greatest preload, mm, that keep the sag in the band; endless where an end never binds.

    Topped out is no sag however far the spring is wound in, and a sag past the stroke cannot come. Where the others
    hold the load alone (G not above nought) no coil makes the sag that deep.
    """
    least, most = (np.asarray(end, dtype=np.float64) for end in band)
    # a band may reach past the travel: what is asked is asked within it
    high = _preload(seat, rate, load, np.maximum(least, 0.0))
    low = _preload(seat, rate, load, np.minimum(most, stroke))
    low = np.where((most >= stroke) | (seat.carries(np.minimum(most, stroke), load) <= 0.0), -np.inf + 0.0 * low, low)
    never = seat.carries(np.maximum(least, 0.0), load) < 0.0
    high = np.where(least <= 0.0, np.inf + 0.0 * high, np.where(never, -np.inf + 0.0 * high, high))
    return low, high


def _between(seat: Seat, aim: Aim, rate: Array, alone: tuple[Array, Array], aboard: tuple[Array, Array]) -> Array:
    """Return the preload, mm, at which both sags miss their bands by the same, for a rate that cannot meet both.

    With too soft a spring the sag aboard is too much where alone it is too little, with too stiff a one the other way
    about. Equal misses mean that the two sags add up to what the two band edges do that they miss.
    """
    soft = alone[1] < aboard[0]
    (least, most), (shallow, deep) = aim.alone_band, aim.aboard_band
    total = np.where(soft, least + np.asarray(deep), most + np.asarray(shallow))
    end = np.where(soft, np.minimum(total, aim.stroke), shallow)

    def apart(t: Array) -> Array:
        return _reached(seat, rate, aim.aboard, t) - _reached(seat, rate, aim.alone, total - t)

    sag = root(apart, np.where(soft, deep, total / 2.0), end)
    equal = _reached(seat, rate, aim.aboard, sag)
    # Topped out alone: no more is lost by winding in until the rider's sag is right. Bottomed: the other way about.
    stuck = np.where(total <= aim.stroke, aboard[0], alone[1])
    found = np.where(soft & (apart(end) > 0.0), stuck, equal)
    return np.where(found <= _SLACK, -np.inf, found)


def _reached(seat: Seat, rate: Array, load: Num, s: Num) -> Array:
    """Return the preload for a sag of ``s``, or a very loose one where no coil lets the end go that deep."""
    carried = seat.carries(s, load)
    return np.where(carried < 0.0, _SLACK, carried / rate - seat.compression(s))
