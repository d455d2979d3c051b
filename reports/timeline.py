"""Where a request stands, in words for the client."""

from dataclasses import dataclass

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from intake.choices import RequestState, Step
from intake.models import Round, SetupRequest
from reports.models import Job, Sheet

#: The way of a round as the client sees it. A question stands in the line only while it is open.
_WAY = (
    RequestState.RECEIVED,
    RequestState.READING,
    RequestState.QUESTION,
    RequestState.SHEET_READY,
    RequestState.RIDE,
    RequestState.SETTLED,
)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of the line: its state, its name, and "done", "now" or "ahead" with the word for it."""

    state: str
    name: str
    standing: str
    standing_text: str


@dataclass(frozen=True, slots=True)
class Standing:
    """All the status page says of where things are. ``open_round``: the round the client may fill in now."""

    stages: tuple[Stage, ...]
    headline: str
    next_step: str
    open_round: Round | None
    open_step: str
    open_text: str


def standing(request: SetupRequest, rounds: list[Round], sheets: list[Sheet], jobs: list[Job]) -> Standing:
    """Return what the status page says. ``rounds`` in order; ``jobs``: the request's jobs without a sheet."""
    current = next((round_ for round_ in rounds if round_.number == request.current_round), None)
    open_round = current if current is not None and current.sent_at is None else None
    if request.state in {RequestState.SETTLED, RequestState.CLOSED} and open_round and open_round.number == 1:
        open_round = None
    first = open_round is not None and open_round.number == 1
    headline, next_step = _words(request, sheets, jobs)
    return Standing(
        stages=_stages(request.state),
        headline=headline,
        next_step=next_step,
        open_round=open_round,
        open_step=Step.SAFETY,
        open_text=_("Carry on with the form") if first else _("Report how it went"),
    )


def _stages(state: str) -> tuple[Stage, ...]:
    if state == RequestState.CLOSED:
        return ()
    way = [step for step in _WAY if step != RequestState.QUESTION or state == RequestState.QUESTION]
    here = way.index(RequestState(state)) if state in way else -1
    words = {"done": _("done"), "now": _("now"), "ahead": _("to come")}
    stages = []
    for place, step in enumerate(way):
        standing_ = "now" if place == here else "done" if place < here else "ahead"
        if state == RequestState.SETTLED:
            standing_ = "done"
        stages.append(Stage(step, str(RequestState(step).label), standing_, words[standing_]))
    return tuple(stages)


def _words(request: SetupRequest, sheets: list[Sheet], jobs: list[Job]) -> tuple[str, str]:
    """Return the headline and what happens next."""
    hours = settings.PROMISED_REPLY_HOURS
    reply = ngettext("A tuner answers within %(hours)s hour.", "A tuner answers within %(hours)s hours.", hours) % {
        "hours": hours
    }
    match request.state:
        case RequestState.DRAFT:
            return _("Not sent yet"), _("What you typed is kept. Carry on where you left off, then send it.")
        case RequestState.RECEIVED if request.flag_stop:
            return _("We have your numbers"), _("%(reply)s Do not wait for it to have the bike seen to.") % {
                "reply": reply
            }
        case RequestState.RECEIVED:
            return _("We have your numbers"), _("%(reply)s You need not do anything meanwhile.") % {"reply": reply}
        case RequestState.READING:
            return _("A tuner is reading your numbers"), _(
                "You get a mail when the sheet is ready or a question comes up."
            )
        case RequestState.QUESTION:
            return _("There is a question for you"), _("Answer it below; the tuner carries on as soon as it is in.")
        case RequestState.SHEET_READY | RequestState.RIDE if jobs and not sheets:
            return _unfinished(jobs)
        case RequestState.SHEET_READY | RequestState.RIDE if request.flag_stop:
            return _("Your sheet says what comes first"), _(
                "Have it put right before the bike is ridden, then report: your tuner carries on from there."
            )
        case RequestState.SHEET_READY:
            return _("Your setup sheet is ready"), _(
                "Download it, print it, and do one change at a time in its order."
            )
        case RequestState.RIDE:
            return _("Ride, then report"), _(
                "Do the changes in order, ride as the sheet says, then report the new readings."
            )
        case RequestState.SETTLED:
            return _("Settled"), _("Your bike is set up. If something changes, report it here and we carry on.")
    return _("Closed"), _("This request is closed. Write a message below if that is a mistake.")


def _unfinished(jobs: list[Job]) -> tuple[str, str]:
    if any(job.state == Job.State.FAILED for job in jobs):
        return _("Your sheet is approved, but printing it failed"), _(
            "The shop sees this and tries again. You get a mail when it is there."
        )
    return _("Your sheet is being printed"), _("This takes a minute. Load this page again, or wait for the mail.")
