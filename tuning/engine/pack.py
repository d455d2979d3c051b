"""Cases packed into arrays: one row a document, one column for the case as it is and one for each input moved.

Column 0 is nominal. Column j holds the same case with one uncertain input moved by ``STEP`` of its standard
uncertainty, so that one pass through the formulas gives every value and every sensitivity. An input is one variable
however often it is used: the same topped-out length in two sags is not independent of itself (JCGM 100:2008, 5.2).
"""

import copy
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tuning.engine.arrays import Array, Mask
from tuning.engine.assumptions import assumptions_for
from tuning.engine.case import Case, Reading

#: How far an input is moved to find what it does, in standard uncertainties: small, since limits bend the model.
STEP = 1e-3
#: Half the usual friction band of an end in good order, mm: what an unrepeated loaded length may be off by.
#: Common practice: up to about 6 mm front and 4 mm rear counts as in order; half of that is taken as usual.
USUAL_FRICTION: Mapping[str, float] = {"front": 3.0, "rear": 2.0}
#: Lengths that friction holds up or down.
LOADED = ("length_bike_alone", "length_rider_aboard")
#: Readings that belong to one load; those of another load than the case's are left out.
_OF_THE_LOAD = frozenset({"length_rider_aboard", "scale_rider_aboard"})


@dataclass(frozen=True, slots=True)
class Input:
    """One uncertain input: its value, its standard uncertainty, and the largest rectangular half-width in it.

    tag: what names it among the contributions.
    """

    value: float
    u: float
    rectangle: float
    tag: str


def rectangular(value: float, half_width: float, tag: str) -> Input:
    """Return an input known to ± ``half_width``, every value alike: u = a/√3 (JCGM 100:2008, 4.3.7)."""
    return Input(value, half_width / math.sqrt(3), half_width, tag)


def mean(rows: Sequence[Reading], tag: str) -> Input:
    """Return the mean of repeated readings, independent of each other."""
    count = len(rows)
    if count == 1:
        one = rows[0]
        return Input(float(one.value), math.sqrt(one.half_width**2 / 3), one.half_width, tag)
    variance = sum(row.half_width**2 for row in rows) / 3
    return Input(
        sum(row.value for row in rows) / count,
        math.sqrt(variance) / count,
        max(row.half_width for row in rows) / count,
        tag,
    )


def by_approach(rows: Iterable[Reading]) -> tuple[list[Reading], list[Reading]]:
    """Return the readings taken from below and those taken from above."""
    rows = list(rows)
    return [r for r in rows if r.approach == "from_below"], [r for r in rows if r.approach == "from_above"]


def _pair(below: Input, above: Input) -> Input:
    return Input(
        (below.value + above.value) / 2,
        math.hypot(below.u, above.u) / 2,
        max(below.rectangle, above.rectangle) / 2,
        below.tag,
    )


def inputs_of(case: Case) -> dict[str, Input]:
    """Return a case's inputs by name: ``quantity``, ``quantity.end``, ``quantity.end.leg``; then what friction may
    hide (``friction.<length>.<end>``), the friction bands read (``band.<length>.<end>``), where adjusters stand
    (``adjuster.<key>``) and what is assumed where no reading says (``assumed.<name>``)."""
    rows: dict[str, list[Reading]] = {}
    for row in case.readings:
        if row.quantity in _OF_THE_LOAD and row.load_state not in ("", case.load_state):
            continue
        rows.setdefault(".".join(part for part in (row.quantity, row.end, row.leg) if part), []).append(row)
    found: dict[str, Input] = {}
    for name, group in rows.items():
        quantity, _, end = name.partition(".")
        below, above = by_approach(group) if len(group) > 1 else ([], [])
        if below and above:
            low, high = mean(below, name), mean(above, name)
            found[name] = _pair(low, high)
            half = (high.value - low.value) / 2
            found[f"band.{name}"] = Input(abs(half), found[name].u, found[name].rectangle, name)
        else:
            found[name] = mean(group, name)
            if quantity in LOADED:
                found[f"friction.{name}"] = rectangular(0.0, USUAL_FRICTION[end], f"friction.{end}")
    for adjuster in case.adjusters:
        if adjuster.found is not None:
            found[f"adjuster.{adjuster.key}"] = rectangular(adjuster.found, adjuster.half_width, adjuster.key)
    for name, (value, half_width, tag) in assumptions_for(case, found.keys()).items():
        found[f"assumed.{name}"] = rectangular(value, half_width, tag)
    return found


class Pack:
    """Cases of one architecture as arrays of shape (D, C): D documents, C columns.

    ``uncertain`` False packs the nominal column alone.
    """

    def __init__(self, cases: Sequence[Case], *, uncertain: bool = True) -> None:
        self.cases = tuple(cases)
        if len({(case.front_architecture, case.rear_architecture) for case in self.cases}) != 1:
            raise ValueError("a pack holds cases of one front and one rear architecture")
        self.front_architecture = self.cases[0].front_architecture
        self.rear_architecture = self.cases[0].rear_architecture
        #: The inputs of each document by name.
        self.inputs = given = [inputs_of(case) for case in self.cases]
        names = list(dict.fromkeys(name for one in given for name in one))
        self._place = {name: place for place, name in enumerate(names)}
        shape = (len(self.cases), len(names))
        self._value, self._u, self._rectangle = np.full(shape, np.nan), np.zeros(shape), np.zeros(shape)
        for row, one in enumerate(given):
            for name, item in one.items():
                place = self._place[name]
                self._value[row, place], self._u[row, place] = item.value, item.u
                self._rectangle[row, place] = item.rectangle
        self._tags = [next(one[name].tag for one in given if name in one) for name in names]
        self.rows = len(self.cases)
        self._nothing = np.full((self.rows, 1), np.nan)
        self._whole: Pack | None = None
        self._move(uncertain=uncertain)

    def _move(self, *, uncertain: bool) -> None:
        moved = np.flatnonzero(self._u.max(axis=0, initial=0.0) > 0) if uncertain else np.empty(0, dtype=np.intp)
        self._column = {int(place): column for column, place in enumerate(moved, 1)}
        #: Tag of each moved column, in order.
        self.tags = tuple(self._tags[place] for place in moved)
        self.u, self.rectangle = self._u[:, moved], self._rectangle[:, moved]
        self.columns = 1 + len(moved)
        self._made: dict[str, Array] = {}
        self._kept: dict[str, tuple[Array, ...]] = {}

    def with_columns(self) -> "Pack":
        """Return this pack with its columns where it has the nominal one alone: to ask whether a number is resolved.

        Of a case drawn many times it is the case itself, one row.
        """
        if self.columns > 1:
            return self
        if self._whole is None:
            self._whole = copy.copy(self)
            self._whole._move(uncertain=True)
        return self._whole

    @classmethod
    def drawn(cls, case: Case, draws: Mapping[str, Array]) -> "Pack":
        """Return one case many times over, its inputs drawn at random: one row a draw (JCGM 101:2008).

        ``draws``: by the name of an input of ``inputs_of``, all of one length; an input not named stays as it is.
        Raises KeyError for a name the case has not.
        """
        pack = cls([case], uncertain=False)
        pack.with_columns()
        pack.rows = max(len(column) for column in draws.values())
        pack.cases, pack.inputs = pack.cases * pack.rows, pack.inputs * pack.rows
        pack._value = np.repeat(pack._value, pack.rows, axis=0)
        for name, column in draws.items():
            pack._value[:, pack._place[name]] = column
        pack.u, pack.rectangle = np.repeat(pack.u, pack.rows, axis=0), np.repeat(pack.rectangle, pack.rows, axis=0)
        pack._nothing = np.full((pack.rows, 1), np.nan)
        return pack

    def has(self, name: str) -> bool:
        """Return whether any document gives this input."""
        return name in self._place

    def given(self, name: str) -> Mask:
        """Return (D, 1): which documents give this input."""
        place = self._place.get(name)
        if place is None:
            return np.zeros((self.rows, 1), dtype=np.bool_)
        return np.asarray(np.isfinite(self._value[:, place, None]))

    def get(self, name: str) -> Array:
        """Return an input, (D, C), or (D, 1) where no column moves it; NaN where it is not given."""
        made = self._made.get(name)
        if made is None:
            place = self._place.get(name)
            if place is None:
                return self._nothing
            made = self._value[:, place, None]
            column = self._column.get(place)
            if column is not None:
                nominal, made = made, np.empty((self.rows, self.columns))
                made[:] = nominal
                made[:, column] += STEP * self._u[:, place]
            made.flags.writeable = False
            self._made[name] = made
        return made

    def once(self, name: str, make: Callable[[], tuple[Array, ...]]) -> tuple[Array, ...]:
        """Return what ``make`` makes of this pack, made the first time it is asked for: several values rest on it."""
        if name not in self._kept:
            self._kept[name] = make()
        return self._kept[name]

    def first(self, *names: str) -> Array:
        """Return the first of these inputs that a document gives, document by document."""
        found = self.get(names[0])
        for name in names[1:]:
            if self.has(name):
                found = np.where(np.isnan(found), self.get(name), found)
        return found

    def or_zero(self, name: str) -> Array:
        """Return an input, 0 where it is not given."""
        if not self.has(name):
            return np.zeros((self.rows, 1))
        found = self.get(name)
        return np.where(np.isnan(found), 0.0, found)

    def usual(self, name: str) -> Array:
        """Return the reading, or what is assumed where there is none."""
        return self.first(name, f"assumed.{name}")

    def loaded_with(self, what: str) -> Mask:
        """Return (D, 1): whose load state has ``what`` in it ("two_up", "luggage")."""
        return np.array([[what in case.load_state] for case in self.cases])

    def answer(self, key: str, *values: str) -> Mask:
        """Return (D, 1): whose answer to ``key`` is one of ``values``."""
        return np.array([[case.answers.get(key) in values] for case in self.cases])
