"""The engine's one error: every fault of an input at once, each with its path, value and reason."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input.

    path: where, as dotted names and indices (``readings[3].value``); value: what stood there, as given;
    reason: an id such as ``below_physical_limit``; params: numbers the wording needs (limits, units).
    """

    path: str
    value: object
    reason: str
    params: Mapping[str, object] = field(default_factory=dict)

    def __str__(self) -> str:
        details = ", ".join(f"{key}={value}" for key, value in self.params.items())
        return f"{self.path}: {self.reason} (got {self.value!r}{'; ' + details if details else ''})"


class EngineInputError(ValueError):
    """Raised for inputs outside what the model or physics allows; lists every fault, not just the first."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        if not self.faults:
            raise ValueError("an EngineInputError needs at least one fault")
        super().__init__("; ".join(str(fault) for fault in self.faults))
