"""What was typed so far, as the review shows it, and how far the form has come."""

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from intake import words
from intake.presentation import NBSP, unit_label
from intake.services import steps as saved
from intake.services.requests import NotReady
from intake.steps import home_of, pages_of
from intake.steps.base import At, StepPage
from intake.steps.behaviour import Complaint
from intake.steps.fields import Choice, Field, Number, Tick
from intake.steps.form import StepForm
from intake.steps.recall import recalled
from tuning.engine.vocabulary import STOP_QUESTIONS


@dataclass(frozen=True)
class StepState:
    """A step in the list of steps. state: "complete", "look" (saved, but something cannot be read) or ""."""

    page: StepPage
    title: Any
    state: str
    here: bool = False


@dataclass(frozen=True)
class Summary:
    """One step's answers as typed, for reading over."""

    page: StepPage
    title: Any
    state: str
    #: Per group of the step: its heading, and label and text of each answer.
    groups: list[tuple[Any, list[tuple[Any, str]]]] = field(default_factory=list)


def steps_with_state(at: At, here: StepPage) -> list[StepState]:
    """Return the steps of the round's way, and the one shown where only a tuner's question led to it."""
    done = saved.progress(at.round)
    states = {step: "complete" if complete else "look" for step, complete in done.items()}
    pages = pages_of(at.round)
    if not any(page.id == here.id for page in pages):
        pages.insert(-1, here)
    return [
        StepState(page, page.title(at), "" if page.id == "review" else states.get(page.id, ""), page.id == here.id)
        for page in pages
    ]


def first_open(at: At) -> StepPage:
    """Return the first step that is not complete; the review when all are."""
    done = saved.progress(at.round)
    pages = pages_of(at.round)
    return next((page for page in pages if not done.get(page.id)), pages[-1])


def summaries(at: At) -> list[Summary]:
    """Return every step of the round's way but the review, with what was typed in it."""
    kept = saved.kept(at.round)
    found = []
    for page in pages_of(at.round)[:-1]:
        groups_asked = page.groups(at)
        specs = [spec for group in groups_asked for spec in group.fields]
        values = recalled(at, page, specs, kept, offered=False)
        form = StepForm(groups_asked, at.client, values, check=False)
        groups = []
        for group in form.groups:
            rows = [(spec.label, text) for spec in group.fields if (text := _text(spec, values, form))]
            if rows:
                groups.append((group.legend, rows))
        standing = kept[page.id].standing if page.id in kept else None
        state = "" if standing is None else "complete" if standing.complete else "look"
        found.append(Summary(page, page.title(at), state, groups))
    return found


#: What keeps a round from being sent, by the reason id of ``services.requests``.
_MISSING = {
    "stop_answers_missing": gettext_lazy("Answer the nine questions on whether the bike is fit to ride."),
    "discipline_missing": gettext_lazy("Say what the bike is set up for."),
    "consent_missing": gettext_lazy("Give your consent below."),
    "rider_mass_missing": gettext_lazy("Give the rider's weight in full kit."),
    "lengths_missing": gettext_lazy("Measure the three sag lengths, L0, L1 and L2, at one end at least."),
}


def until_sent(at: At, missing: NotReady) -> list[tuple[str, Any]]:
    """Return what must be done before sending: the step to go to, and what to do there."""
    here = {page.id for page in pages_of(at.round)}
    homes = ((home_of(at.round, step), reason) for step, reason in missing.problems)
    return [(step if step in here else "", _to_do(reason, missing)) for step, reason in homes]


def _to_do(reason: str, missing: NotReady) -> Any:
    if reason != "stop_answers_missing" or len(missing.unanswered) == len(STOP_QUESTIONS):
        return _MISSING[reason]
    named = "; ".join(str(words.STOP_REASONS[question]) for question in missing.unanswered)
    return _("Answer every question on whether the bike is fit to ride. Still open: %(named)s.") % {"named": named}


def _text(spec: Field, values: dict[str, str], form: StepForm) -> str:
    value = values.get(spec.name, "")
    if not value or spec.name in form.unasked:
        return ""
    if isinstance(spec, Complaint):
        severity = dict(spec.severities).get(values.get(f"{spec.name}.severity", ""), "")
        end = dict(spec.ends).get(values.get(f"{spec.name}.end", ""), "") if spec.asks_end else ""
        return ", ".join(str(part) for part in (severity, end) if part) or str(_("yes"))
    if isinstance(spec, Choice):
        # A unit to count in says nothing by itself.
        return "" if spec.name.endswith(".counted_in") else str(dict(spec.choices).get(value, value))
    if isinstance(spec, Number):
        unit = _unit(spec, values, form)
        bare = bool(unit) and value.strip()[-1:].isdigit()
        return f"{value}{'' if unit == '°' else NBSP}{unit}" if bare else value
    return str(_("yes")) if isinstance(spec, Tick) else value


def _unit(spec: Number, values: dict[str, str], form: StepForm) -> str:
    """Return the unit a number was typed in; for a setting, what it was counted in."""
    if spec.dimension != "count":
        return unit_label(spec.unit(form.client, values))
    end_and_kind = ".".join(spec.name.split(".")[:2])
    return unit_label(values.get(f"{end_and_kind}.counted_in", "1"))
