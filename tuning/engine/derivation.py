"""The engine's output: derived values, each with half-width, unit, status and the formula it came from."""

from collections.abc import Mapping
from dataclasses import dataclass, field

#: Bumped whenever a result could differ for the same input; stored with every derivation and every sheet.
ENGINE_VERSION = "3"

#: ok: the value stands. at_least / at_most: a one-sided bound only (censored reading). cannot_state: the inputs
#: are there but do not carry a number (difference within resolution). refused: outside the model.
STATUSES = ("ok", "at_least", "at_most", "cannot_state", "refused")


@dataclass(frozen=True, slots=True)
class Derived:
    """One derived value.

    key: ``id`` or ``id.end`` or ``id.end.leg``, e.g. ``sag_rider_aboard.front``; value and half_width (of the
    95 % interval) in ``unit``; formula: id of the formula, explained with its source in
    ``tuning.engine.formulas``; contributions: share of the variance (0…1) by reading, largest first;
    params: numbers and ids the wording needs (reason for cannot_state, bound, assumptions leaned on).
    """

    key: str
    value: float | None
    half_width: float | None
    unit: str
    status: str
    formula: str
    contributions: tuple[tuple[str, float], ...] = ()
    params: Mapping[str, object] = field(default_factory=dict)

    @property
    def id(self) -> str:
        return self.key.split(".", 1)[0]

    @property
    def end(self) -> str:
        parts = self.key.split(".")
        return parts[1] if len(parts) > 1 else ""


@dataclass(frozen=True, slots=True)
class Check:
    """One test of the readings against each other or against physics.

    verdict: "passes", "second_look" (asks for a second look) or "blocks". again: the readings to take again,
    as ``quantity.end`` keys, so that a face can lead to just that step.
    """

    id: str
    verdict: str
    end: str = ""
    again: tuple[str, ...] = ()
    params: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Derivation:
    """All that the engine has to say about one case."""

    engine_version: str
    input_hash: str
    values: Mapping[str, Derived]
    checks: tuple[Check, ...]

    def get(self, key: str) -> Derived | None:
        return self.values.get(key)
