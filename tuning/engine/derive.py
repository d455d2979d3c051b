"""Cases in, derivations out: one vectorised pass over all cases of one architecture."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from types import MappingProxyType

from tuning.engine.case import Case
from tuning.engine.checks import check_derived
from tuning.engine.derivation import ENGINE_VERSION, Derivation, Derived
from tuning.engine.pack import Input, Pack
from tuning.engine.propagate import finalise
from tuning.engine.serial import input_hash
from tuning.engine.settings import derive_settings
from tuning.engine.settling import derive_film
from tuning.engine.steps import values_of
from tuning.engine.validate import require_sound

#: How many cases go through one pass: bounds the memory of a batch.
CHUNK = 250


def derive(case: Case, *, uncertain: bool = True) -> Derivation:
    """Return every value the case's readings allow, with half-widths, and what the checks say.

    Raises EngineInputError listing every fault when the case is outside what the model or physics allows. A value
    whose readings are missing is left out; one that the readings do not carry is there with status cannot_state.
    ``uncertain`` False leaves out the half-widths, for an answer in a fraction of the time.
    """
    require_sound(case)
    return _derive([case], uncertain)[0]


def derive_many(cases: Iterable[Case], *, uncertain: bool = True) -> Iterator[Derivation]:
    """Yield the derivation of each case in order. Raises EngineInputError at the first case that is not sound."""
    waiting = iter(cases)
    while chunk := list(islice(waiting, CHUNK)):
        for case in chunk:
            require_sound(case)
        # A table of leverage apart from a single figure, whose uncertainty has columns.
        groups: dict[tuple[str, str, bool], list[int]] = {}
        for place, case in enumerate(chunk):
            groups.setdefault(
                (case.front_architecture, case.rear_architecture, bool(case.leverage_table)), []
            ).append(place)
        made: dict[int, Derivation] = {}
        for places in groups.values():
            made |= zip(places, _derive([chunk[place] for place in places], uncertain), strict=True)
        yield from (made[place] for place in range(len(chunk)))


def _derive(cases: Sequence[Case], uncertain: bool) -> list[Derivation]:
    pack = Pack(cases, uncertain=uncertain)
    found = finalise(pack, values_of(pack))
    return [_derivation(case, inputs, values) for case, inputs, values in zip(cases, pack.inputs, found, strict=True)]


def _derivation(case: Case, inputs: dict[str, Input], values: dict[str, Derived]) -> Derivation:
    values |= {value.key: value for value in (*derive_film(case), *derive_settings(case))}
    checks = check_derived(case, inputs, values)
    return Derivation(ENGINE_VERSION, input_hash(case), MappingProxyType(values), checks)
