"""What every step of the form can do, and what it is given to work with."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from intake.models import Client, Round, SetupRequest
from intake.steps.fields import Choice, Field, Group, Measure


@dataclass(frozen=True)
class At:
    """Where the client is: which request, which round, and in whose units."""

    request: SetupRequest
    round: Round
    #: What was read of the records already; ``intake.steps.asked`` keeps it.
    memory: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def client(self) -> Client:
        return self.request.client

    @property
    def later(self) -> bool:
        """Whether this round reports how a recommendation went."""
        return self.round.number > 1


class StepPage:
    """One step: what it asks, what it starts from, and how its answers become records."""

    id: str
    #: One sentence under the heading.
    about: Any = ""
    template = "intake/step.html"

    #: The same in later rounds, where it differs.
    about_later: Any = ""

    def title(self, at: At) -> Any:
        raise NotImplementedError

    def lead(self, at: At) -> Any:
        return (self.about_later or self.about) if at.later else self.about

    def groups(self, at: At) -> Sequence[Group]:
        raise NotImplementedError

    def initial(self, at: At) -> dict[str, str]:
        """Return what the fields start with when nothing was typed yet: what is on record."""
        return {}

    def counted(self, at: At) -> list[str]:
        """Return the names of the fields whose number is told over the page while they fill; none as a rule."""
        return []

    def specs(self, at: At) -> list[Field]:
        return [spec for group in self.groups(at) for spec in group.fields]

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        """Write the records of a step whose fields could all be read."""
        raise NotImplementedError


def measures(specs: Sequence[Field]) -> list[Measure]:
    return [spec for spec in specs if isinstance(spec, Measure)]


def answers(specs: Sequence[Field]) -> list[Choice]:
    return [spec for spec in specs if isinstance(spec, Choice) and spec.question]
