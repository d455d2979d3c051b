"""From fields that could be read to records, by way of the services."""

from collections.abc import Mapping, Sequence
from typing import Any

from intake.services import readings
from intake.steps import load
from intake.steps.base import At
from intake.steps.fields import Choice, Measure


def store_measures(at: At, specs: Sequence[Measure], cleaned: Mapping[str, Any], values: Mapping[str, str]) -> None:
    """Record what was typed, as typed; an emptied field takes its reading back."""
    aboard = load.of(at)
    for spec in specs:
        of: dict[str, Any] = {
            "quantity": spec.quantity,
            "end": spec.end,
            "leg": spec.leg,
            "load_state": aboard if spec.load_state == "rider" else spec.load_state,
            "approach": spec.approach,
            "repeat": spec.repeat,
        }
        if cleaned[spec.name] is None:
            readings.withdraw_reading(at.round, **of)
        else:
            readings.record_reading(
                at.round,
                **of,
                text=values[spec.name].strip(),
                unit=spec.unit(at.client, values),
                method=spec.method,
            )


def store_answers(at: At, specs: Sequence[Choice], cleaned: Mapping[str, Any]) -> None:
    """Record answers by choice; a question left open stays unanswered."""
    for spec in specs:
        readings.answer(at.round, spec.question, spec.end, cleaned[spec.name])
