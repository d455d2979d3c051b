"""What is on record already, as a client would have typed it: a request may have come by the API, or a figure of the
bike from an earlier round. A step that starts empty would take those back when it is saved."""

from collections.abc import Sequence

from intake.case import key_of
from intake.models import Answer
from intake.steps import asked
from intake.steps.base import At, answers, measures
from intake.steps.fields import UNIT_SUFFIX, Field


def known_measures(at: At, specs: Sequence[Field]) -> dict[str, str]:
    """Return text and unit of each reading that a field stands for."""
    wanted = measures(specs)
    if not wanted:
        return {}
    aboard = asked.aboard(at) if any(spec.load_state == "rider" for spec in wanted) else ""
    rows = {key_of(row): row for row in asked.told(at).rows}
    found: dict[str, str] = {}
    for spec in wanted:
        state = aboard if spec.load_state == "rider" else spec.load_state
        row = rows.get((spec.quantity, spec.end, spec.leg, state, spec.approach, spec.repeat))
        if row is not None:
            found[spec.name] = row.text
            found[spec.name + UNIT_SUFFIX] = row.unit
    return found


def known_answers(at: At, specs: Sequence[Field]) -> dict[str, str]:
    """Return this round's answers by the names of their fields."""
    given = {(row.question, row.end): row.value for row in Answer.objects.filter(round=at.round)}
    return {
        spec.name: given[spec.question, spec.end] for spec in answers(specs) if (spec.question, spec.end) in given
    }
