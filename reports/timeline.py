"""Where a request stands, in words for the client."""

from dataclasses import dataclass
from datetime import UTC, timedelta

from django.conf import settings
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from intake.choices import RequestState, Step
from intake.models import Question, Round, SetupRequest
from reports.models import Job, Sheet
from reports.says import NO_CHANGE, STOP, what_it_says

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
    """All the status page says of where things are.

    open_round: the round the client may fill in now; first_sheet: the sheet to take in hand now; waits: something is
    under way that shows when the page is looked at again; may_come_back: settled, with no round open to report in.
    """

    stages: tuple[Stage, ...]
    headline: str
    next_step: str
    open_round: Round | None
    open_step: str
    open_text: str
    first_sheet: Sheet | None = None
    waits: bool = False
    may_come_back: bool = False


def standing(
    request: SetupRequest,
    rounds: list[Round],
    sheets: list[Sheet],
    jobs: list[Job],
    questions: list[Question] | None = None,
) -> Standing:
    """Return what the status page says. ``rounds`` in order; ``jobs``: the request's jobs without a sheet;
    ``questions``: what the client still sees of the tuner's questions."""
    current = next((round_ for round_ in rounds if round_.number == request.current_round), None)
    open_round = current if current is not None and current.sent_at is None else None
    if request.state in {RequestState.SETTLED, RequestState.CLOSED} and open_round and open_round.number == 1:
        open_round = None
    first = open_round is not None and open_round.number == 1
    settled = request.state == RequestState.SETTLED
    headline, next_step = _words(request, sheets, jobs, _open(questions or []))
    return Standing(
        stages=_stages(request.state),
        headline=headline,
        next_step=next_step,
        open_round=open_round,
        open_step=Step.SAFETY,
        open_text=_open_text(first, settled),
        first_sheet=sheets[0] if sheets and request.state == RequestState.SHEET_READY else None,
        waits=bool(_later(jobs, sheets)) and request.state in {RequestState.SHEET_READY, RequestState.RIDE},
        may_come_back=settled and open_round is None,
    )


def _open(questions: list[Question]) -> int:
    return sum(1 for question in questions if question.answered_at is None)


def _open_text(first: bool, settled: bool) -> str:
    if first:
        return _("Carry on with the form")
    return _("Something has changed: report it") if settled else _("Report how it went")


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


def _words(request: SetupRequest, sheets: list[Sheet], jobs: list[Job], still_open: int) -> tuple[str, str]:
    """Return the headline and what happens next. ``still_open``: questions that wait for the client."""
    match request.state:
        case RequestState.DRAFT:
            return _("Not sent yet"), _("What you typed is kept. Carry on where you left off, then send it.")
        case RequestState.RECEIVED if request.flag_stop:
            return _("We have your numbers"), _("%(reply)s Do not wait for it to have the bike seen to.") % {
                "reply": _reply(request)
            }
        case RequestState.RECEIVED | RequestState.READING if still_open:
            return _("Your tuner has heard from you"), ngettext(
                "One question is still open: answer it below when you can.",
                "%(count)d questions are still open: answer them below when you can.",
                still_open,
            ) % {"count": still_open}
        case RequestState.RECEIVED:
            return _("We have your numbers"), _("%(reply)s You need not do anything meanwhile.") % {
                "reply": _reply(request)
            }
        case RequestState.READING:
            return _("A tuner is reading your numbers"), _(
                "%(reply)s You get a mail when the sheet is ready or a question comes up."
            ) % {"reply": _reply(request)}
        case RequestState.QUESTION if still_open:
            return ngettext("There is a question for you", "There are %(count)d questions for you", still_open) % {
                "count": still_open
            }, _("Answer below; the tuner carries on as soon as the answers are sent.")
        case RequestState.QUESTION:
            one = ngettext("There is a question for you", "There are %(count)d questions for you", 1)
            return one, _("Everything is answered. Send the answers below.")
        case RequestState.SHEET_READY | RequestState.RIDE if later := _later(jobs, sheets):
            return _unfinished(later)
        case RequestState.SHEET_READY | RequestState.RIDE if request.flag_stop or _says(sheets) == STOP:
            return _("Your sheet says what comes first"), _(
                "Have it put right before the bike is ridden, then report: your tuner carries on from there."
            )
        case RequestState.SHEET_READY | RequestState.RIDE if _says(sheets) == NO_CHANGE:
            return _("Your setup sheet is ready"), _(
                "There is nothing to change on it. Read what it says, ride, then report."
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


def _later(jobs: list[Job], sheets: list[Sheet]) -> list[Job]:
    """Return the jobs that have yet to print what is newer than every sheet there is."""
    newest = max((sheet.job_id for sheet in sheets), default=0)
    return [job for job in jobs if job.pk > newest]


def _says(sheets: list[Sheet]) -> str:
    """Return what the sheet in force says; "" without one."""
    return what_it_says(sheets[0].job.document.content()) if sheets else ""


def _reply(request: SetupRequest) -> str:
    """Return when a tuner answers: by when it was promised, or that the promise could not be kept."""
    hours = settings.PROMISED_REPLY_HOURS
    if request.waiting_since is None:
        return ngettext(
            "A tuner answers within %(hours)s hour.", "A tuner answers within %(hours)s hours.", hours
        ) % {"hours": hours}
    due = request.waiting_since + timedelta(hours=hours)
    if due < timezone.now():
        return _("It takes longer than we promised, and we are sorry; your place in the queue is kept.")
    when = date_format(due.astimezone(UTC), "DATETIME_FORMAT")
    return _("A tuner answers by %(when)s UTC at the latest.") % {"when": when}


def _unfinished(jobs: list[Job]) -> tuple[str, str]:
    if any(job.state == Job.State.FAILED for job in jobs):
        return _("Your sheet is approved, but printing it failed"), _(
            "The shop sees this and tries again. You get a mail when it is there."
        )
    return _("Your sheet is being printed"), _("This takes a minute. Look again then, or wait for the mail.")
