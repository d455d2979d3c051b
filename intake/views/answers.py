"""What the shop asked for: each question opens the one step that answers it, and the answers are sent together."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from config.throttling import throttled
from intake.access import with_request
from intake.choices import Purpose
from intake.models import Question, Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import advice, asking, requests, steps
from intake.services.steps import Kept
from intake.steps import PAGES, At
from intake.steps.base import StepPage
from intake.steps.fields import Group
from intake.steps.form import StepForm, posted
from intake.steps.questions import Asked, asked_at, stop_reasons, stops
from intake.steps.recall import recalled, sharing
from intake.views.byscript import told_where
from intake.views.form import other_tab

BOTH = (Purpose.FULL, Purpose.REPORT)


@dataclass(frozen=True)
class Wanted:
    """A field that was asked for: its id on the page, its label, whether it is still empty."""

    id: str
    label: Any
    empty: bool


def question_of(request: HttpRequest, setup_request: SetupRequest, pk: int) -> Question:
    """Return one of a request's questions, as far as this browser may see it. Raises Http404."""
    query = Question.objects.select_related("round", "message__author")
    question = get_object_or_404(query, pk=pk, message__request=setup_request)
    if not _full(request) and question.round.number == 1:
        raise Http404
    question.round.request = setup_request
    return question


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("form")
@told_where
@with_request(purposes=BOTH)
def answer(request: HttpRequest, setup_request: SetupRequest, pk: int) -> HttpResponse:
    """Show just the step that answers a question, or save it and go back to the list of questions."""
    question = question_of(request, setup_request, pk)
    page = PAGES.get(question.step)
    if page is None:
        return _back(request, setup_request)
    if not asking.is_open(setup_request, question):
        messages.info(request, _("Your tuner has gone on meanwhile: this question is no longer open."))
        return _back(request, setup_request)
    at = At(setup_request, question.round)
    if request.method == "POST":
        return _save(request, at, page, question)
    kept = steps.kept(at.round, [page.id, *sharing(page.id)])
    mine = kept.get(page.id, Kept())
    groups = _asked_first(page.groups(at), question)
    values = recalled(at, page, [spec for group in groups for spec in group.fields], kept)
    unread = mine.standing is not None and not mine.standing.complete
    form = StepForm(groups, at.client, values, check=unread)
    return _draw(
        request, at, page, form, question, base=mine.version, beside=mine.aside.fields if mine.aside else None
    )


def _asked_first(groups: Sequence[Group], question: Question) -> list[Group]:
    """Return a step's groups with those that hold what is asked for first and unfolded, the others folded away; as
    they stand where the question is about the whole step."""
    wanted = set(question.fields)
    first = [group for group in groups if any(spec.name in wanted for spec in group.fields)]
    if not first:
        return list(groups)
    rest = (group for group in groups if not any(spec.name in wanted for spec in group.fields))
    return [
        *(replace(group, folded=False, shut=False) for group in first),
        *(replace(group, folded=True, shut=True) for group in rest),
    ]


def _save(request: HttpRequest, at: At, page: StepPage, question: Question) -> HttpResponse:
    groups = _asked_first(page.groups(at), question)
    names = StepForm(groups, at.client, {}, check=False).names()
    raw = posted(request.POST, names)
    form = StepForm(groups, at.client, raw, check=True)
    raw = form.with_units()
    base = request.POST.get("base", "")
    version = int(base) if base.isascii() and base.isdigit() and len(base) < 9 else 0
    try:
        draft = steps.save_raw(at.round, page.id, raw, version)
    except steps.Conflict as conflict:
        saved = conflict.saved
        return _draw(request, at, page, form, question, base=saved.version, other=saved.fields, status=409)
    if not form.is_valid():
        told = stop_reasons(raw) if page is PAGES["safety"] else []
        return _draw(request, at, page, form, question, base=draft.version, stopped=told, status=422)
    with transaction.atomic():
        page.store(at, form.cleaned_data, form.specs(), raw)
        steps.mark_complete(draft)
    request.saved_version = draft.version  # type: ignore[attr-defined]  # told to the script by told_where
    asked = asked_at(at, page)
    stopped = stops(at) if page is PAGES["safety"] else []
    left = asking.left_empty(question, raw)
    again = StepForm(_asked_first(page.groups(at), question), at.client, raw, check=False)
    if left:
        return _draw(request, at, page, again, question, base=draft.version, left=left, stopped=stopped)
    # What the checks ask is put once; pressing the button again goes on all the same.
    if (asked or stopped) and request.POST.get("seen", "") != _seen(asked, stopped):
        return _draw(request, at, page, again, question, base=draft.version, asked=asked, stopped=stopped)
    messages.success(request, _("Saved, and ticked off."), "done")
    return _back(request, at.request)


def _draw(
    request: HttpRequest,
    at: At,
    page: StepPage,
    form: StepForm,
    question: Question,
    *,
    base: int,
    asked: list[Asked] | None = None,
    stopped: list[str] | None = None,
    other: Mapping[str, str] | None = None,
    beside: Mapping[str, str] | None = None,
    left: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    drawn = form.drawn(asked or ())
    fields = {field.spec.name: field for group in drawn for field in group.fields}
    wanted = [
        Wanted(fields[name].id, fields[name].spec.label, name in (left or ()))
        for name in question.fields
        if name in fields
    ]
    context = {
        "setup_request": at.request,
        "round": at.round,
        "page": page,
        "title": page.title(at),
        "lead": page.lead(at),
        "groups": drawn,
        "problems": [field for group in drawn for field in group.fields if field.errors],
        "base": base,
        "asked": asked or [],
        "asked_to_stop": any(one.stops for one in asked or []),
        "stopped": stopped or [],
        "seen": _seen(asked or [], stopped or []),
        "other": other_tab(form, other) if other is not None else [],
        "conflict": other is not None,
        "beside": other_tab(form, beside) if beside is not None else [],
        "missing": [],
        "question": question,
        "wanted": wanted,
        "left": [one for one in wanted if one.empty],
        "home": home_of(request, at.request),
    }
    return render(request, "intake/question.html", context, status=status)


@require_POST
@throttled("form")
@with_request(purposes=BOTH)
def beyond(request: HttpRequest, setup_request: SetupRequest, pk: int) -> HttpResponse:
    """Take down why a question cannot be answered."""
    question = question_of(request, setup_request, pk)
    why = request.POST.get("why", "").replace("\x00", "").strip()
    if not asking.is_open(setup_request, question):
        messages.info(request, _("Your tuner has gone on meanwhile: this question is no longer open."))
    elif not why:
        messages.warning(request, _("Say in a few words why it cannot be answered; then it is ticked off."), "warn")
    else:
        asking.mark_beyond(question, why)
        messages.success(request, _("Noted; your tuner reads why."), "done")
    return _back(request, setup_request)


@require_POST
@throttled("form")
@with_request(purposes=BOTH)
def send(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Send the round again, with the answers in it."""
    round_ = get_object_or_404(Round, request=setup_request, number=setup_request.current_round)
    round_.request = setup_request
    if not _full(request) and round_.number == 1:
        raise Http404
    try:
        with transaction.atomic():
            requests.send_round(round_, doubt_note=round_.doubt_note)
    except requests.NotReady:
        # Something that was there when the round was first sent has been taken back: the review says what.
        return redirect("intake:step", setup_request.reference, round_.number, "review")
    except WrongState:
        # The button was pressed twice, in two tabs perhaps, and the first press came through.
        messages.info(request, _("Your answers are with your tuner already."))
    else:
        messages.success(request, _("Your answers are sent. Your tuner carries on with them."), "done")
    return _back(request, setup_request)


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def come_back(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Open a round for a client whose bike was settled and no longer is."""
    try:
        round_ = advice.reopened(setup_request)
    except WrongState:
        return _back(request, setup_request)
    return redirect("intake:step", setup_request.reference, round_.number, "safety")


def home_of(request: HttpRequest, setup_request: SetupRequest) -> str:
    """Return the name of the page where a client's questions are listed: of a link that only reports, its own."""
    return "reports:status" if _full(request) else "intake:sent"


def _back(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    return redirect(home_of(request, setup_request), setup_request.reference)


def _full(request: HttpRequest) -> bool:
    return getattr(request, "access_purpose", "") == Purpose.FULL


def _seen(asked: list[Asked], stopped: list[str]) -> str:
    return ",".join([*(one.id for one in asked), *stopped])
