"""What a step would say of what stands in its fields, with nothing written."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from intake.choices import Step
from intake.steps.base import At, StepPage
from intake.steps.form import StepForm
from intake.steps.questions import Asked, asked_at, stop_reasons
from intake.steps.unsaved import unsaved


@dataclass(frozen=True)
class Look:
    """errors: what is wrong with a field, by its HTML name; asked: the checks' questions that saving would put, in the
    same words, over the records with the readable fields laid over; stopped: what the stop gate was answered with yes
    for, in words."""

    errors: Mapping[str, list[str]] = field(default_factory=dict)
    asked: tuple[Asked, ...] = ()
    stopped: tuple[str, ...] = ()


def look(at: At, page: StepPage, raw: Mapping[str, str]) -> Look:
    """Return what a step says of raw values by field name (units as ``<name>.unit``). Writes nothing, never raises for
    what was typed."""
    groups = page.groups(at)
    form = StepForm(groups, at.client, dict(raw), check=True)
    errors = {name: [str(text) for text in texts] for name, texts in form.errors.items()}
    over = unsaved(at, form.specs(), form.cleaned_data, form.with_units())
    return Look(
        errors=errors,
        asked=() if page.id == Step.REVIEW else tuple(asked_at(at, page, over)),
        stopped=tuple(stop_reasons(raw)) if page.id == Step.SAFETY else (),
    )
