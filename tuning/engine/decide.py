"""Which reading would decide a finding: the largest part of an interval that straddles an edge, and how fine to be.

An estimate: the value is assumed to stay where it is, all other contributions as they are. The interval is built anew
from the shares of the variance (JCGM 100:2008, 5.1.2) with one part of it shrunk, and from the coverage factor that
then holds (``tuning.engine.interval``); half-widths come out a few per cent off where sensitivities bend.
"""

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from tuning.engine.derivation import Derived
from tuning.engine.interval import coverage
from tuning.engine.pack import Input

#: How a part gets smaller: a finer or repeated reading; the loaded length read from below and from above, which takes
#: the friction out of it; a first reading in the place of an assumption.
FINER, BOTH_WAYS, INSTEAD = "finer", "both_ways", "instead_of_assumption"
_FRICTION, _ASSUMED, _BAND = "friction.", "assumed.", "band."
#: Front shares that weigh only with their load aboard.
_WITH_LOAD = {"assumed.passenger_front_share": "passenger_mass", "assumed.luggage_front_share": "luggage_mass"}
_STEPS = 60


@dataclass(frozen=True, slots=True)
class Part:
    """One contributor of an interval: the reading to take, and how fine it must be.

    tag: as among the contributions; inputs: the case's inputs behind it, by name, in whose unit the half-widths are;
    share: of the variance. half_width: at present, that of one reading as uncertain as all there are; enough: with
    it the interval just clears the edge, None where even a perfect reading would not do. how: one of FINER,
    BOTH_WAYS, INSTEAD.
    """

    tag: str
    inputs: tuple[str, ...]
    share: float
    half_width: float
    enough: float | None
    how: str


@dataclass(frozen=True, slots=True)
class Needed:
    """What would decide on which side of ``edge`` a value lies, ``gap`` away from it (in the value's unit).

    first: the largest contributor. next: where a perfect reading of the first would not do, the second, and both
    with the half-widths that do together (shrunk alike); ``enough`` is None there too where both perfect would not.
    """

    key: str
    edge: float
    gap: float
    first: Part
    next: Part | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One contributor as a row of a table.

    share: of the variance; alone: half-width that the value would have by it alone; without: by all the others; in
    the value's unit. Both by the value's own coverage factor, so near enough to compare, not to state.
    """

    tag: str
    share: float
    alone: float
    without: float


def contribution_table(value: Derived) -> tuple[Row, ...]:
    """Return the contributors of a value's uncertainty, largest first; none where it has no interval."""
    if not value.half_width:
        return ()
    return tuple(
        Row(tag, share, value.half_width * math.sqrt(share), value.half_width * math.sqrt(max(1.0 - share, 0.0)))
        for tag, share in value.contributions
    )


def needed(value: Derived, low: float, high: float, inputs: Mapping[str, Input]) -> Needed | None:
    """Return what would decide whether a value lies in the band from ``low`` to ``high`` (in its unit, ±inf: open).

    ``inputs``: of the case, as ``tuning.engine.pack.inputs_of`` gives them. None where the interval lies wholly
    inside or wholly outside, and for a value that is no more than a bound, or not stated: no finer reading decides
    those. Raises ValueError where ``low`` is above ``high`` or either is NaN.
    """
    if not low <= high:
        raise ValueError("a band goes from its lower edge to its higher one")
    if value.status != "ok" or value.value is None or not value.half_width or not value.contributions:
        return None
    edge = min((low, high), key=lambda one: abs(one - (value.value or 0.0)))
    gap = abs(value.value - edge)
    if gap >= value.half_width:
        return None
    tags = frozenset(tag for tag, _ in value.contributions)
    parts = [_Contribution.of(tag, share, inputs, tags) for tag, share in value.contributions]
    parts = [part for part in parts if part.names]
    if not parts:
        return None
    within = _within(value.contributions, parts, gap / value.half_width)
    first, *others = parts
    factor = within((first,))
    if factor is not None or not others:
        return Needed(value.key, edge, gap, first.part(factor))
    together = within((first, others[0]))
    return Needed(value.key, edge, gap, first.part(None), others[0].part(together))


@dataclass(frozen=True, slots=True)
class _Contribution:
    """A tag with its inputs: how many share its part of the variance, and a half-width's size in their own u."""

    tag: str
    share: float
    names: tuple[str, ...]
    half_width: float
    per_u: float

    @classmethod
    def of(cls, tag: str, share: float, inputs: Mapping[str, Input], tags: Collection[str]) -> "_Contribution":
        names = _behind(tag, inputs, tags)
        widest = max((inputs[name] for name in names), key=lambda one: one.u, default=None)
        if widest is None or widest.u <= 0:
            return cls(tag, share, (), 0.0, 0.0)
        return cls(tag, share, names, widest.u * math.sqrt(3), widest.rectangle / widest.u)

    @property
    def rectangle(self) -> float:
        """The largest rectangular half-width in it, in the value's u; inputs of one tag are taken to weigh alike."""
        return math.sqrt(self.share / len(self.names)) * self.per_u

    def part(self, factor: float | None) -> Part:
        """Return it as a part to be shrunk by ``factor``."""
        how = FINER
        if self.tag.startswith(_FRICTION):
            how = BOTH_WAYS
        elif self.names[0].startswith(_ASSUMED):
            how = INSTEAD
        enough = None if factor is None else factor * self.half_width
        return Part(self.tag, self.names, self.share, self.half_width, enough, how)


def _behind(tag: str, inputs: Mapping[str, Input], tags: Collection[str]) -> tuple[str, ...]:
    """Return the names of the inputs that a tag stands for: the reading itself where there is one.

    Friction is that of the loaded lengths that contribute as well, of both where neither does.
    """
    if tag in inputs:
        return (tag,)
    found = (name for name, one in inputs.items() if one.tag == tag and not name.startswith(_BAND) and one.u > 0)
    names = tuple(name for name in found if _WITH_LOAD.get(name, name) in inputs)
    return tuple(name for name in names if name.removeprefix(_FRICTION) in tags) or names


def _within(
    contributions: Sequence[tuple[str, float]], parts: Sequence[_Contribution], gap: float
) -> Callable[[tuple[_Contribution, ...]], float | None]:
    """Return what tells by how much some parts must shrink until the half-width is ``gap`` of the present one.

    In units of the value's present u. What no input stands for is taken for normal.
    """
    now = float(coverage(1.0, max(part.rectangle for part in parts)))

    def half_width(shrunk: tuple[_Contribution, ...], factor: float) -> float:
        less = sum(part.share for part in shrunk)
        u = math.sqrt(max(1.0 - less, 0.0) + less * factor**2)
        if u == 0.0:
            return 0.0
        dominant = max(part.rectangle * (factor if part in shrunk else 1.0) for part in parts)
        return float(coverage(u, min(dominant, math.sqrt(3) * u))) * u / now

    def shrink(shrunk: tuple[_Contribution, ...]) -> float | None:
        if half_width(shrunk, 0.0) >= gap:
            return None
        low, high = 0.0, 1.0
        for _ in range(_STEPS):
            middle = (low + high) / 2
            low, high = (low, middle) if half_width(shrunk, middle) > gap else (middle, high)
        return low

    return shrink
