"""From fields that could be read to records, by way of the services."""

from collections.abc import Mapping, Sequence
from typing import Any

from intake.case import key_of
from intake.models import Answer, Reading
from intake.services import readings
from intake.steps import asked, from_catalogue
from intake.steps.base import At
from intake.steps.fields import Choice, Measure


def store_measures(at: At, specs: Sequence[Measure], cleaned: Mapping[str, Any], values: Mapping[str, str]) -> None:
    """Record what was typed, as typed; an emptied field takes its reading back. What stands as it is costs nothing."""
    if not specs:
        return
    # The load is said on the rider's step alone, which stores no length.
    aboard = asked.aboard(at) if any(spec.load_state == "rider" for spec in specs) else ""
    standing = {key_of(row): row for row in Reading.objects.filter(round=at.round, is_current=True)}
    for spec in specs:
        of: dict[str, Any] = {
            "quantity": spec.quantity,
            "end": spec.end,
            "leg": spec.leg,
            "load_state": aboard if spec.load_state == "rider" else spec.load_state,
            "approach": spec.approach,
            "repeat": spec.repeat,
        }
        stands = standing.get(tuple(of.values()))
        if cleaned[spec.name] is None:
            if stands is not None:
                readings.withdraw_reading(at.round, **of)
            continue
        text, unit = values[spec.name].strip(), spec.unit(at.client, values)
        method, least = from_catalogue.method_of(at, spec, text, unit)
        said: dict[str, Any] = {"text": text, "unit": unit, "method": method}
        if stands is None or {name: getattr(stands, name) for name in said} != said:
            readings.record_reading(at.round, **of, **said, least=least)
    from_catalogue.decline(at, [spec.name for spec in specs if cleaned[spec.name] is None])


def store_answers(at: At, specs: Sequence[Choice], cleaned: Mapping[str, Any]) -> None:
    """Record answers by choice; a question left open stays unanswered. What stands as it is costs nothing."""
    if not specs:
        return
    standing = {(row.question, row.end): row.value for row in Answer.objects.filter(round=at.round)}
    for spec in specs:
        if cleaned[spec.name] == standing.get((spec.question, spec.end), ""):
            continue
        readings.answer(at.round, spec.question, spec.end, cleaned[spec.name])
