"""Point values of the targets for many changes at once, and how far each is inside or outside its band."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from tuning.engine.arrays import Array, Mask, Num
from tuning.engine.bike import Bike, Change, changed
from tuning.engine.braking import Braking
from tuning.engine.clearance import full_compression
from tuning.engine.damping import frequency_ratio, ride_frequency
from tuning.engine.fork import equilibrium
from tuning.engine.geometry import of_state
from tuning.engine.peak import bracket
from tuning.engine.plane import Attitude, attitude
from tuning.engine.readouts import STOPS, body_of, stops, wheel_rates
from tuning.engine.solve_levers import SPACER, Move
from tuning.engine.solve_problem import CHANGE, TARGETS, Band
from tuning.engine.whatif import Model

Pair = tuple[Array, Array]
#: Indices into the places of levers.
Places = npt.NDArray[np.intp]
#: What counts as far, by unit: bands with one bound, or of no width, are judged by it.
SCALES: Mapping[str, float] = {"mm": 5.0, "1": 0.05, "deg": 0.5, "Hz": 0.2}
#: Outside by no more than this, in the target's unit, is inside.
EXACT = 1e-6
#: Rows worked at once: more of them run out of the processor's cache. Rows worked for one problem, all told.
BLOCK, MOST_ROWS = 4096, 60_000
#: What the model calls each lever.
FIELDS = {
    "front.preload_mm": "front_preload",
    SPACER: "front_preload",
    "rear.preload_mm": "rear_preload",
    "front.spring_rate": "front_rate",
    "rear.spring_rate": "rear_rate",
    "front.oil_level_mm": "oil",
    "front.air_pressure_kpa": "pressure",
    "front.fork_position_mm": "fork_position",
    "rear.ride_height_mm": "rear_height",
}


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Targets (T) of many changes (K): one value, the other end of a bracket, and how far inside the band.

    value, other: (T, K), alike where there is no bracket. inside: (T, K), in the target's unit, negative outside,
    minus infinity where nothing is foretold. share: the same over half the band's width, at most 1 (its middle).
    """

    keys: tuple[str, ...]
    value: Array
    other: Array
    inside: Array
    share: Array

    @property
    def met(self) -> Mask:
        """(T, K) whether each is inside."""
        return np.asarray(self.inside >= -EXACT)

    @property
    def meets(self) -> Mask:
        """(K) whether all are inside."""
        return np.asarray(self.met.all(axis=0))

    @property
    def margin(self) -> Array:
        """(K) the worst share; 1 without targets."""
        return np.asarray(self.share.min(axis=0, initial=1.0))


def change_of(moves: Sequence[Move], places: Places) -> Change:
    """Return the changes (K, 1) that put each lever in one of its places: ``places`` (K, moves) are indices."""
    return moved({move.lever: move.sizes[places[:, column], None] for column, move in enumerate(moves)})


def moved(sizes: Mapping[str, Num]) -> Change:
    """Return the change that moves each lever by its size, or fits the spring of that rate."""
    found: dict[str, Num] = {}
    for lever, size in sizes.items():
        name = FIELDS[lever]
        # Adjuster and spacer wind in the same seat.
        found[name] = found[name] + size if name in found else size
    return Change(**found)


class Teller:
    """Tells the targets of a case after any change. Counts the rows it has worked."""

    def __init__(self, model: Model, targets: Mapping[str, Band]) -> None:
        self.model, self.targets = model, targets
        self.rows = 0
        self._found = {key: _points(model, model.bike, key.removesuffix(CHANGE)) for key in targets}

    @property
    def left(self) -> int:
        """How many rows may still be worked."""
        return MOST_ROWS - self.rows

    def known(self, key: str) -> bool:
        """Return whether the bike as found tells this target."""
        return all(bool(np.isfinite(one).all()) for one in self._found[key])

    def judge(self, keys: Iterable[str], moves: Sequence[Move], places: Places) -> Judged:
        """Return the targets ``keys`` after each row of ``places``, in blocks that fit the cache."""
        keys, count = tuple(keys), len(places)
        self.rows += count
        value, other = np.empty((len(keys), count)), np.empty((len(keys), count))
        for start in range(0, count, BLOCK):
            part = places[start : start + BLOCK]
            # A case's reserves are asked of one bike as found: its outlook is worked once a block.
            now = changed(self.model.bike, change_of(moves, part)) if len(moves) else self.model.bike
            seen = _Seen(self.model, now)
            for row, key in enumerate(keys):
                pair = seen.points(key.removesuffix(CHANGE))
                for numbers, column, before in zip(pair, (value, other), self._found[key], strict=True):
                    less = before if key.endswith(CHANGE) else 0.0
                    spread = np.broadcast_to(numbers - less, (len(part), 1))
                    column[row, start : start + BLOCK] = spread[:, 0]
        return self._judged(keys, value, other)

    def _judged(self, keys: tuple[str, ...], value: Array, other: Array) -> Judged:
        inside = np.full(value.shape, np.inf)
        scale = np.empty((len(keys), 1))
        for row, key in enumerate(keys):
            band = self.targets[key]
            inside[row] = room(band, np.minimum(value[row], other[row]), np.maximum(value[row], other[row]))
            scale[row] = scale_of(key, band)
        inside = np.where(np.isnan(inside), -np.inf, inside)
        return Judged(keys, value, other, inside, np.minimum(inside / scale, 1.0))


def room(band: Band, least: Array, greatest: Array) -> Array:
    """Return how far both are inside the band, negative outside."""
    low = np.inf + 0.0 * least if band.low is None else least - band.low
    high = np.inf + 0.0 * greatest if band.high is None else band.high - greatest
    return np.asarray(np.minimum(low, high))


def scale_of(key: str, band: Band) -> float:
    """Return half the width of a band, or what counts as far for one that has none."""
    if band.low is not None and band.high is not None and band.high - band.low > EXACT:
        return (band.high - band.low) / 2.0
    return SCALES[TARGETS[key]]


def _points(model: Model, now: Bike, key: str) -> Pair:
    return _Seen(model, now).points(key)


class _Seen:
    """One look at a changed bike: what several targets need is worked once."""

    def __init__(self, model: Model, now: Bike) -> None:
        self.model, self.now = model, now
        self._made: dict[str, Array] = {}
        self._stops: Braking | None = None

    def rest(self, end: str, *, rider: bool) -> Array:
        name = f"{end} {rider}"
        if name not in self._made:
            one = self.now.front if end == "front" else self.now.rear
            load = one.load_aboard if rider else one.load_alone
            self._made[name] = equilibrium(one.law, load, one.stroke)
        return self._made[name]

    def points(self, key: str) -> Pair:
        name, _, end = key.partition(".")
        if name.startswith("reserve_"):
            return self._reserve(name, end)
        found = self._one(name, end)
        return found, found

    def _one(self, name: str, end: str) -> Array:
        now = self.now
        if name.startswith("sag_"):
            sag = self.rest(end, rider="rider_aboard" in name)
            return sag / (now.front if end == "front" else now.rear).stroke if name.endswith("_share") else sag
        if name.startswith("ride_frequency"):
            rates = wheel_rates(now, self.rest("front", rider=True), self.rest("rear", rider=True))
            front = ride_frequency(rates[0], now.aboard.front - now.unsprung[0])
            rear = ride_frequency(rates[1], now.aboard.rear - now.unsprung[1])
            return {"front": front, "rear": rear}.get(end, frequency_ratio(rear, front))
        if name == "clearance":
            gap = self.model.pack.get("bodywork_gap.front")
            return full_compression(gap, now.front.stroke, legs_up=now.fork_position).left
        if name.startswith("brake_"):
            return self._brake(name)
        return self._geometry(name)

    def _reserve(self, name: str, end: str) -> Pair:
        ride = name.split("_")[1]
        base = self.model.base.bike
        before, after = (base.front, self.now.front) if end == "front" else (base.rear, self.now.rear)
        if f"{name.split('_by_')[0]} {end}" not in self._made:
            deepest = self.model.pack.get(f"deepest_{ride}.{end}")
            reach = bracket(before.riding(base.exponent), after.riding(base.exponent), deepest, after.stroke)
            for how, travel in (("force", reach.by_force), ("energy", reach.by_energy)):
                self._made[f"reserve_{ride} {end} {how}"] = after.stroke - travel
        force, energy = (self._made[f"reserve_{ride} {end} {how}"] for how in ("force", "energy"))
        if name.endswith("_by_force"):
            return force, force
        return (energy, energy) if name.endswith("_by_energy") else (force, energy)

    def _braking(self) -> Braking:
        if self._stops is None:
            now, base = self.now, self.model.base
            travels = (self.rest("front", rider=True), self.rest("rear", rider=True))
            # The same body as the outlook takes.
            self._stops = stops(now, base.body if now.aboard is base.bike.aboard else body_of(now, *travels))
        return self._stops

    def _brake(self, name: str) -> Array:
        found = self._braking()
        if name == "brake_limit":
            return found[-1].decel_g
        what, _, stop = name.removeprefix("brake_").rpartition("_")
        one = found[(*STOPS, "limit").index(stop)]
        if what == "pitch":
            return np.degrees(one.pitch - self._level().pitch)
        return {"travel": one.front_travel, "reserve": one.left, "load_share": one.front_share}[what]

    def _level(self) -> Attitude:
        now = self.now
        travels = (self.rest("front", rider=True), self.rest("rear", rider=True))
        return attitude(now.filled.chassis, *travels, now.fork_position, now.rear_height)

    def _geometry(self, key: str) -> Array:
        if key not in self._made:
            now, state = self.now, "braking" if key.endswith("_braking") else "rider_aboard"
            if state == "braking":
                last = self._braking()[-1]
                heights = (now.fork_position, now.rear_height)
                plane = attitude(now.filled.chassis, last.front_travel, last.rear_travel, *heights)
            else:
                plane = self._level()
            self._made |= {value.key: value.numbers for value in of_state(now.filled, state, plane)}
        return self._made[key]
