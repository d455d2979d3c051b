"""What the rounds of one bike teach: rates, preloads, friction and weight split that fit all readings so far.

Weighted least squares with priors: the readings of every round with the covariance of their tools (two sags share
their topped-out length), and beside them what was known before, as a normal distribution each. The springs are the
same in every round but for what was changed on purpose: preload wound in, a spring exchanged, another load. At the
minimum the covariance is the inverse of the information, (JᵀC⁻¹J + P⁻¹)⁻¹, and the misfit tells by its χ² whether
the readings contradict the model beyond their uncertainty. Friction holds a length let up from below short by half
its band and one let down from above long by as much; a length read one way only may be off by as much either way.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from tuning.engine.arrays import Array
from tuning.engine.bike import Bike, bike_of
from tuning.engine.case import Case
from tuning.engine.derivation import ENGINE_VERSION
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.evidence import Datum, data_of
from tuning.engine.fork import equilibrium
from tuning.engine.geometry import chassis_of
from tuning.engine.interval import NORMAL
from tuning.engine.levers import standing
from tuning.engine.loads import WheelMasses, axial_fork_load, rear_sprung_load
from tuning.engine.pack import USUAL_FRICTION, Pack
from tuning.engine.quantities import ENDS
from tuning.engine.rates import carried_mass
from tuning.engine.units import STANDARD_GRAVITY
from tuning.engine.validate import require_sound

#: Standard deviation of a spring's rate about the figure it is sold by, as a share (common practice: within 5 %).
TOLERANCE = 0.03
#: Of a rate of which nothing is known, about the usual one (log scale: two out of three within 0.6 to 1.65 times).
UNKNOWN_RATE = 0.5
#: Usual rates, all springs of the end together: at the fork, and at the rear wheel, N/mm (common practice).
USUAL_RATE = {"front": 18.0, "rear": 22.0}
#: Of a preload of which nothing is known, mm: nothing is said.
UNKNOWN_PRELOAD = 60.0
#: Misfits that one bike in a hundred would show by chance alone are taken as contradictions.
QUANTILE_99 = 2.3263478740408408
STEPS = 25
_STEP = 1e-5


@dataclass(frozen=True, slots=True)
class Parameter:
    """One thing learnt: its value with the half-width of the 95 % interval, and both as they were known before."""

    value: float
    half_width: float
    unit: str
    before: float
    before_half_width: float


@dataclass(frozen=True, slots=True)
class Compared:
    """One reading against what the fitted bike should show.

    ``off``: measured less foretold over what it may differ by, in standard deviations; 0 for a reading that fits.
    """

    round: int
    key: str
    unit: str
    measured: float
    foretold: float
    half_width: float
    off: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What the rounds teach. ``suspects``: readings (round, key) further off than chance lets them, worst first.

    misfit: χ² of the whole with its degrees of freedom and the value that 1 in 100 exceeds by chance.
    """

    engine_version: str
    rounds: int
    parameters: Mapping[str, Parameter]
    readings: tuple[Compared, ...]
    misfit: float
    freedom: int
    most: float
    contradicts: bool
    suspects: tuple[tuple[int, str], ...]


@dataclass(frozen=True, slots=True)
class _Prior:
    key: str
    unit: str
    mean: float
    sd: float
    #: The value shown is the exponential of what is fitted.
    log: bool = False
    #: So wide that it says nothing: costs a degree of freedom.
    flat: bool = False


def learn(rounds: Sequence[Case]) -> Learned:
    """Return what the rounds of one bike teach, in their order.

    Raises EngineInputError: a round that is not sound, architectures that change or are outside the model, and
    rounds without a single loaded length.
    """
    if not rounds:
        raise EngineInputError([Fault("rounds", 0, "too_few", {"least": 1})])
    for case in rounds:
        require_sound(case)
    first = rounds[0]
    for place, case in enumerate(rounds):
        for name in ("front_architecture", "rear_architecture"):
            if getattr(case, name) != getattr(first, name):
                raise EngineInputError([Fault(f"rounds[{place}].{name}", getattr(case, name), "another_bike")])
    pack = Pack(rounds, uncertain=False)
    bike = bike_of(pack, chassis_of(pack))
    if bike is None:
        raise EngineInputError([Fault("front_architecture", first.front_architecture, "outside_the_model")])
    data, covariance = data_of(rounds)
    if not any(datum.sag for datum in data):
        raise EngineInputError([Fault("rounds", len(rounds), "no_loaded_length")])
    return _Fit(rounds, pack, bike, data, covariance).learned()


class _Fit:
    """The least-squares problem of one bike's rounds."""

    def __init__(
        self, rounds: Sequence[Case], pack: Pack, bike: Bike, data: Sequence[Datum], covariance: Array
    ) -> None:
        self.pack, self.bike, self.data = pack, bike, tuple(data)
        self.wound = self._wound(rounds)
        self.known = {"front": bike.front.known, "rear": bike.rear.known}
        self.priors = tuple(self._priors())
        self.place = {prior.key: place for place, prior in enumerate(self.priors)}
        self.mean = np.array([prior.mean for prior in self.priors])
        self.sd = np.array([prior.sd for prior in self.priors])
        self.rounds = len(rounds)
        # A round that lacks what an end's travel takes, its leverage for one, foretells nothing of that end.
        told = np.isfinite(self.foretell(self.mean[:, None])[:, 0])
        self.data = tuple(datum for datum, kept in zip(data, told, strict=True) if kept)
        if not any(datum.sag for datum in self.data):
            raise EngineInputError([Fault("rounds", self.rounds, "no_loaded_length")])
        self.measured = np.array([datum.value for datum in self.data])
        self.covariance = covariance[np.ix_(told, told)]
        self.weight = np.linalg.inv(self.covariance)

    def _wound(self, rounds: Sequence[Case]) -> dict[str, Array]:
        """Return by end how much more preload each round has than the first, mm; unknown counts as unchanged."""
        places = [standing(case) for case in rounds]
        found = {}
        for end in ENDS:
            each = np.array([[place.get(f"{end}.preload_mm", np.nan)] for place in places])
            found[end] = np.nan_to_num(each - each[0])
        return found

    def _priors(self) -> list[_Prior]:
        case = self.pack.cases[0]
        found = []
        for end in ENDS:
            if np.isnan(self._base(end)).any():
                continue
            known = bool(self.known[end].all())
            sd = TOLERANCE if known else UNKNOWN_RATE
            found.append(_Prior(f"effective_rate.{end}", "N/mm", 0.0, sd, log=True))
            found.append(_Prior(f"effective_preload.{end}", "mm", 10.0, UNKNOWN_PRELOAD, flat=True))
            half = USUAL_FRICTION[end]
            found.append(_Prior(f"friction.{end}", "mm", half / 2, half / 2))
        for name, unit in (("bike_mass", "kg"), ("bike_front_share", "1"), ("rider_front_share", "1")):
            item = self.pack.inputs[0].get(name) or self.pack.inputs[0][f"assumed.{name}"]
            found.append(_Prior(name, unit, item.value, max(item.u, 1e-6)))
        rider = self.pack.inputs[0].get("rider_mass")
        if rider is None:
            raise EngineInputError(
                [Fault("rounds[0].readings", case.load_state, "missing_field", {"missing": ("rider_mass",)})]
            )
        found.append(_Prior("rider_mass", "kg", rider.value, max(rider.u, 1e-6)))
        return found

    def _base(self, end: str) -> Array:
        """Return (R, 1): the rate the fit's factor goes with: as told, round by round, else the usual one."""
        one = self.bike.front if end == "front" else self.bike.rear
        usual = USUAL_RATE[end] * (1.0 if one.leverage is None else np.asarray(one.leverage.ratio(0.0))[:, :1] ** 2)
        told = np.asarray(one.coil.rate)[:, :1]
        return np.asarray(np.where(self.known[end], told, usual + 0.0 * self.known[end]))

    def _part(self, theta: Array, key: str) -> Array:
        part: Array = theta[self.place[key]][None, :]
        return part

    def foretell(self, theta: Array) -> Array:
        """Return (N, C): every datum as parameters (P, C) foretell it."""
        bike_mass, bike_share = self._part(theta, "bike_mass"), self._part(theta, "bike_front_share")
        # A rider who weighs otherwise in a later round is still measured by the same scale.
        lighter = self._part(theta, "rider_mass") - self.mean[self.place["rider_mass"]]
        share = self._part(theta, "rider_front_share")
        front, total = carried_mass(self.pack)
        usual = self.pack.usual("rider_front_share")
        mass = self.pack.get("rider_mass")
        carried = front + mass * (share - usual) + lighter * share
        alone = WheelMasses(bike_mass * bike_share, bike_mass * (1 - bike_share), np.zeros(1, dtype=np.int64))
        aboard = WheelMasses(alone.front + carried, alone.rear + total + lighter - carried, alone.weighed)
        travel = {
            "front": self._sags(theta, "front", alone, aboard),
            "rear": self._sags(theta, "rear", alone, aboard),
        }
        columns = theta.shape[1]
        scale = {("bike_alone", "front"): alone.front, ("bike_alone", "rear"): alone.rear}
        scale |= {("rider_aboard", "front"): aboard.front, ("rider_aboard", "rear"): aboard.rear}
        found = np.empty((len(self.data), columns))
        for place, datum in enumerate(self.data):
            if datum.sag:
                found[place] = np.broadcast_to(travel[datum.end][datum.state], (self.rounds, columns))[datum.round]
                if datum.friction and f"friction.{datum.end}" in self.place:
                    found[place] += datum.friction * theta[self.place[f"friction.{datum.end}"]]
            else:
                found[place] = np.broadcast_to(scale[datum.state, datum.end], (self.rounds, columns))[datum.round]
        return found

    def _sags(self, theta: Array, name: str, alone: WheelMasses, aboard: WheelMasses) -> dict[str, Array]:
        end = self.bike.front if name == "front" else self.bike.rear
        if f"effective_rate.{name}" not in self.place:
            nothing = np.full((self.rounds, 1), np.nan)
            return {"bike_alone": nothing, "rider_aboard": nothing}
        rate = self._base(name) * np.exp(self._part(theta, f"effective_rate.{name}"))
        preload = self.wound[name] + self._part(theta, f"effective_preload.{name}")
        coil = replace(end.coil, rate=rate, preload=preload)
        if coil.second_rate is not None:
            coil = replace(coil, second_rate=np.asarray(coil.second_rate) * rate / self._base(name))
        law = replace(end, coil=coil).law
        stroke = np.where(np.isnan(end.stroke), 400.0, end.stroke)
        found = {}
        for state, wheels in (("bike_alone", alone), ("rider_aboard", aboard)):
            if name == "front":
                load = axial_fork_load(wheels.front * STANDARD_GRAVITY, self.bike.unsprung[0], self.bike.rake)
            else:
                load = rear_sprung_load(wheels.rear * STANDARD_GRAVITY, self.bike.unsprung[1])
            found[state] = equilibrium(law, load, stroke)
        return found

    def _cost(self, residual: Array, theta: Array) -> float:
        off = (theta - self.mean) / self.sd
        return float(residual @ self.weight @ residual + off @ off)

    def _slopes(self, theta: Array) -> tuple[Array, Array]:
        steps = _STEP * self.sd
        columns = np.concatenate([theta[:, None], theta[:, None] + np.diag(steps)], axis=1)
        all_columns = self.foretell(columns)
        return all_columns[:, 0], (all_columns[:, 1:] - all_columns[:, :1]) / steps

    def solve(self) -> tuple[Array, Array, Array, float]:
        """Return (parameters, covariance, foretold, misfit): Levenberg's damped Gauss–Newton steps."""
        theta, damping = self.mean.copy(), 1e-3
        foretold, slopes = self._slopes(theta)
        cost = self._cost(self.measured - foretold, theta)
        precision = np.diag(1 / self.sd**2)
        for _ in range(STEPS):
            information = slopes.T @ self.weight @ slopes + precision
            gradient = slopes.T @ self.weight @ (self.measured - foretold) - precision @ (theta - self.mean)
            move = np.linalg.solve(information + damping * np.diag(np.diag(information)), gradient)
            tried = theta + move
            new, new_slopes = self._slopes(tried)
            new_cost = self._cost(self.measured - new, tried)
            if not new_cost <= cost:
                damping *= 10
                if damping > 1e8:
                    break
                continue
            done = cost - new_cost < 1e-9 * (1 + cost)
            theta, foretold, slopes, cost, damping = tried, new, new_slopes, new_cost, damping / 10
            if done:
                break
        information = slopes.T @ self.weight @ slopes + precision
        self.slopes = slopes
        return theta, np.asarray(np.linalg.inv(information), dtype=np.float64), foretold, cost

    def learned(self) -> Learned:
        """Return the solution in words of the trade."""
        theta, covariance, foretold, cost = self.solve()
        freedom = max(1, len(self.data) - sum(prior.flat for prior in self.priors))
        third = 2 / (9 * freedom)
        most = freedom * (1 - third + QUANTILE_99 * np.sqrt(third)) ** 3  # Wilson and Hilferty 1931
        spread = np.diag(self.covariance) - np.einsum("ip,pq,iq->i", self.slopes, covariance, self.slopes)
        off = (self.measured - foretold) / np.sqrt(np.maximum(spread, 1e-3 * np.diag(self.covariance)))
        readings = tuple(
            Compared(
                datum.round + 1,
                datum.key,
                "mm" if datum.sag else "kg",
                datum.value,
                float(expected),
                NORMAL * float(np.sqrt(self.covariance[place, place])),
                float(z),
            )
            for place, (datum, expected, z) in enumerate(zip(self.data, foretold, off, strict=True))
        )
        ranked = sorted(readings, key=lambda one: (-abs(one.off), one.round, one.key))
        return Learned(
            ENGINE_VERSION,
            self.rounds,
            MappingProxyType(dict(self._parameters(theta, covariance))),
            readings,
            cost,
            freedom,
            float(most),
            bool(cost > most),
            tuple((one.round, one.key) for one in ranked if abs(one.off) > 3.0),
        )

    def _parameters(self, theta: Array, covariance: Array) -> list[tuple[str, Parameter]]:
        found = []
        for place, prior in enumerate(self.priors):
            sd = float(np.sqrt(covariance[place, place]))
            scale, before, after = 1.0, prior.mean, float(theta[place])
            if prior.log:
                base = float(self._base(prior.key.partition(".")[2])[0, 0])
                before, after = base * float(np.exp(before)), base * float(np.exp(after))
                scale = after
            width = NORMAL * prior.sd * (before if prior.log else 1.0)
            found.append((prior.key, Parameter(after, NORMAL * sd * scale, prior.unit, before, width)))
        return found
