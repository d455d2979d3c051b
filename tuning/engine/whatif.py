"""What a change would do: every value foretold of the bike as found, after the change, and the difference."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType

import numpy as np

from tuning.engine.bike import Bike, bike_of, changed
from tuning.engine.case import Case
from tuning.engine.derivation import ENGINE_VERSION, Derived
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.geometry import chassis_of
from tuning.engine.levers import Wish, change_of
from tuning.engine.outlook import Found, found, outlook
from tuning.engine.pack import Pack
from tuning.engine.propagate import ABSENT, OK, Value, finalise
from tuning.engine.serial import input_hash
from tuning.engine.validate import require_sound


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is foretold before and after a change, and by how much each value moves.

    before, after: derived values by key; difference: after less before, its half-width that of the change alone,
    since what both lean on falls out. missing: the readings without which nothing is foretold of an end.
    """

    engine_version: str
    input_hash: str
    wishes: tuple[Wish, ...]
    before: Mapping[str, Derived]
    after: Mapping[str, Derived]
    difference: Mapping[str, Derived]
    missing: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Model:
    """A case made ready for changes: its pack, and its bike as found."""

    case: Case
    pack: Pack
    base: Found

    @property
    def bike(self) -> Bike:
        """The bike as found."""
        return self.base.bike

    @cached_property
    def before(self) -> tuple[Value, ...]:
        """What is foretold of the bike as found."""
        return tuple(outlook(self.pack, self.base, self.bike))

    @cached_property
    def told_before(self) -> Mapping[str, Derived]:
        """The same as derived values by key."""
        return MappingProxyType(finalise(self.pack, self.before)[0])

    @cached_property
    def input_hash(self) -> str:
        """The hash the case is known by."""
        return input_hash(self.case)

    def shares(self) -> dict[str, float]:
        """Return the front share of each load, nominal."""
        return {
            load: float(self.pack.usual(f"{load}_front_share")[0, 0]) for load in ("rider", "passenger", "luggage")
        }


def model_of(case: Case, *, uncertain: bool = True) -> Model:
    """Return the model of a sound case. Raises EngineInputError (also ``refused`` for an architecture outside it)."""
    require_sound(case)
    pack = Pack([case], uncertain=uncertain)
    bike = bike_of(pack, chassis_of(pack))
    if bike is None:
        raise EngineInputError([Fault("front_architecture", case.front_architecture, "outside_the_model")])
    return Model(case, pack, found(pack, bike))


def what_if(case: Case, wishes: Iterable[Wish], *, uncertain: bool = True) -> WhatIf:
    """Return what the wished changes would do to a case. Raises EngineInputError with every fault.

    Values whose springs, stroke or figures are not known are left out, and ``missing`` names what would bring them.
    """
    return foretell(model_of(case, uncertain=uncertain), tuple(wishes))


def foretell(model: Model, wishes: tuple[Wish, ...]) -> WhatIf:
    """Return the same of a model that is ready."""
    change = change_of(model.case, wishes, model.shares())
    after = tuple(outlook(model.pack, model.base, changed(model.bike, change)))
    then, difference = (
        MappingProxyType(finalise(model.pack, side)[0]) for side in (after, _difference(model.before, after))
    )
    lacking = MappingProxyType(missing(model))
    return WhatIf(ENGINE_VERSION, model.input_hash, wishes, model.told_before, then, difference, lacking)


def _difference(before: Sequence[Value], after: Sequence[Value]) -> list[Value]:
    firsts = {value.key: value for value in before}
    found = []
    for value in after:
        first = firsts.get(value.key)
        if first is None:
            continue
        numbers, status = value.numbers - first.numbers, value.status
        if not (isinstance(first.status, int) and isinstance(status, int) and first.status == status == OK):
            # Where one side is only a bound, so is the difference, to neither side.
            bounded = (np.asarray(first.status) != OK) | (np.asarray(status) != OK)
            numbers, status = np.where(bounded, np.nan, numbers), np.where(bounded, ABSENT, OK)
        found.append(Value(value.key, numbers, value.unit, value.formula, status))
    return found


def missing(model: Model) -> dict[str, tuple[str, ...]]:
    """Return, by end, the readings without which the springs of that end are not known; nothing where they are."""
    found: dict[str, tuple[str, ...]] = {}
    lengths = ("length_topped_out", "length_bike_alone", "length_rider_aboard")
    for name, end in (("front", model.bike.front), ("rear", model.bike.rear)):
        if np.isfinite(np.asarray(end.coil.rate)[..., 0]).all() and np.isfinite(end.stroke[..., 0]).all():
            continue
        wanted = [f"{quantity}.{name}" for quantity in (*lengths, "stroke")] + ["rider_mass"]
        absent = [key for key in wanted if not model.pack.given(key).all()]
        found[name] = tuple(absent) or (f"spring_rate.{name}",)
    return found
