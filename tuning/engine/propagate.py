"""From arrays to derived values: GUM propagation of every input through every value in one pass.

The standard uncertainty combines the sensitivities to all inputs in quadrature (JCGM 100:2008, 5.1.2, inputs
independent of each other; what two values share they share through the input). The half-width is of the 95 %
interval: of the normal distribution where many terms add up, of the distribution's own where one rectangular term
dominates (JCGM 101:2008; ``tuning.engine.interval``).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from tuning.engine.arrays import Array, Mask
from tuning.engine.derivation import STATUSES, Derived
from tuning.engine.interval import coverage
from tuning.engine.pack import STEP, Pack

OK, AT_LEAST, AT_MOST, CANNOT_STATE, REFUSED, ABSENT = range(6)
#: Contributions smaller than this share of the variance are not listed.
SMALLEST_SHARE = 1e-3


class Each(tuple[object, ...]):
    """A parameter that differs from document to document: one item each."""


@dataclass(frozen=True, slots=True)
class Value:
    """One derived value of every document of a pack.

    numbers: (D, C) or (D, 1); a document whose nominal is NaN has no such value, unless its status says that it
    cannot be stated. status: one code, or (D, 1) of them. formula: its id, one for all or ``Each``. params: by name,
    one for all or ``Each``; None leaves the name out.
    """

    key: str
    numbers: Array
    unit: str
    formula: "str | Each"
    status: "int | np.ndarray[tuple[int, ...], np.dtype[np.int64]]" = OK
    params: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Spread:
    """Nominal values (K, D), half-widths of the 95 % intervals (K, D) and shares of the variance (K, D, M)."""

    nominal: Array
    half_width: Array
    shares: Array


def spread(pack: Pack, values: Sequence[Value]) -> Spread:
    """Return what the inputs' uncertainties do to each value."""
    stack = np.empty((len(values), pack.rows, pack.columns))
    for place, value in enumerate(values):
        stack[place] = value.numbers
    nominal = stack[:, :, 0]
    if pack.columns == 1:
        return Spread(nominal, np.zeros_like(nominal), np.zeros((*nominal.shape, 0)))
    with np.errstate(invalid="ignore", divide="ignore"):
        moved = (stack[:, :, 1:] - nominal[:, :, None]) / STEP
        moved = np.where(np.isfinite(moved), moved, 0.0)
        squares = moved**2
        variance = squares.sum(axis=-1)
        u = np.sqrt(variance)
        per_u = np.where(pack.u > 0, pack.rectangle / pack.u, 0.0)
        dominant = (np.abs(moved) * per_u).max(axis=-1, initial=0.0)
        shares = squares / variance[:, :, None]
    return Spread(
        nominal, np.where(u > 0, coverage(u, dominant) * u, 0.0), np.where(np.isfinite(shares), shares, 0.0)
    )


def finalise(pack: Pack, values: Iterable[Value]) -> list[dict[str, Derived]]:
    """Return the derived values of each document by key, in the order given."""
    rows = tuple(values)
    found: list[dict[str, Derived]] = [{} for _ in range(pack.rows)]
    if not rows:
        return found
    made = spread(pack, rows)
    stated = np.empty((len(rows), pack.rows, 1), dtype=np.int64)
    for place, row in enumerate(rows):
        stated[place] = row.status
    # A value that is stated needs a number; where there is none it is not there.
    codes = np.where((stated[:, :, 0] < CANNOT_STATE) & ~np.isfinite(made.nominal), ABSENT, stated[:, :, 0]).tolist()
    numbers, widths = made.nominal.tolist(), made.half_width.tolist()
    ranked = _ranked(pack, made.shares)
    for place, row in enumerate(rows):
        each, common = _params(row)
        formulas = row.formula if isinstance(row.formula, Each) else None
        columns = zip(found, codes[place], numbers[place], widths[place], ranked[place], strict=True)
        for document, (into, code, number, width, shares) in enumerate(columns):
            if code == ABSENT:
                continue
            params = common
            if each:
                told = {name: item[document] for name, item in each.items() if item[document] is not None}
                params = {**common, **told} if told else common
            if code >= CANNOT_STATE:
                number, width, shares = None, None, ()
            formula = str(row.formula) if formulas is None else str(formulas[document])
            into[row.key] = Derived(row.key, number, width, row.unit, STATUSES[code], formula, shares, params)
    return found


_NONE: Mapping[str, object] = {}


def _params(row: Value) -> tuple[Mapping[str, Each], Mapping[str, object]]:
    """Return the parameters that differ from document to document, and those that all share."""
    if not row.params:
        return {}, _NONE
    each = {name: item for name, item in row.params.items() if isinstance(item, Each)}
    return each, {name: item for name, item in row.params.items() if name not in each and item is not None}


def _ranked(pack: Pack, shares: Array) -> list[list[tuple[tuple[str, float], ...]]]:
    """Return by value and document which inputs its variance comes from: (tag, share), largest first.

    Inputs with one tag count together; like shares stand in alphabetical order; tiny ones are left out.
    """
    rows, documents, _ = shares.shape
    tags = sorted(set(pack.tags))
    belongs = np.zeros((len(pack.tags), len(tags)))
    belongs[np.arange(len(pack.tags)), [tags.index(tag) for tag in pack.tags]] = 1.0
    by_tag = (shares @ belongs).reshape(rows * documents, len(tags))
    value, tag = np.nonzero(by_tag >= SMALLEST_SHARE)
    share = by_tag[value, tag]
    order = np.lexsort((-share, value))
    pairs = list(zip([tags[place] for place in tag[order].tolist()], share[order].tolist(), strict=True))
    ends = np.searchsorted(value, np.arange(rows * documents + 1)).tolist()
    flat = [tuple(pairs[ends[place] : ends[place + 1]]) for place in range(rows * documents)]
    return [flat[place * documents : (place + 1) * documents] for place in range(rows)]


def standard_uncertainty(numbers: Array) -> Array:
    """Return (D, 1): the standard uncertainty of an array of a pack."""
    with np.errstate(invalid="ignore"):
        moved = (numbers[:, 1:] - numbers[:, :1]) / STEP
    squares = np.where(np.isfinite(moved), moved, 0.0) ** 2
    return np.asarray(np.sqrt(squares.sum(axis=1, keepdims=True)))


def resolved(numbers: Array) -> Mask:
    """Return (D, 1): whose number is positive by more than twice its standard uncertainty."""
    with np.errstate(invalid="ignore"):
        return np.asarray(numbers[:, :1] > 2 * standard_uncertainty(numbers))
