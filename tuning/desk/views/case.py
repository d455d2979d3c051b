"""The case page and what a tuner does on it."""

from collections.abc import Callable
from typing import cast

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from intake.choices import RequestState, Step
from intake.models import SetupRequest, User
from intake.models.requests import WrongState
from intake.services import conversation as talk
from intake.services import requests
from tuning.desk import casefile, causes, editing, queue, services, trail
from tuning.desk.over_rounds import over_rounds
from tuning.desk.rounds_drawing import rounds_picture
from tuning.engine.errors import EngineInputError

LONGEST = 4000


def request_by(reference: str, *, erased: bool = False) -> SetupRequest:
    """Return a request that was sent; one that its client had erased only when ``erased``. Raises Http404."""
    query = SetupRequest.objects.exclude(state=RequestState.DRAFT).select_related("client", "bike", "tuner")
    if not erased:
        query = query.filter(erase_asked_at=None)
    return get_object_or_404(query, reference=reference)


def holder_of(setup_request: SetupRequest, by: User) -> User | None:
    """Return the colleague who has the request, or None when it is nobody's or one's own."""
    return None if setup_request.tuner_id == by.pk else setup_request.tuner


def user_of(request: HttpRequest) -> User:
    return cast(User, request.user)


@require_safe
@login_required
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """Show a request with one of its rounds, the last one sent unless another is asked for."""
    setup_request = request_by(reference, erased=True)
    if setup_request.erase_asked_at:
        return _erased(request, setup_request)
    rounds = casefile.sent_rounds(setup_request)
    wanted = request.GET.get("round", "")
    chosen = next((one for one in rounds if str(one.number) == wanted), rounds[0])
    for one in rounds:
        one.request = setup_request
    recommendations = list(casefile.recommendations(setup_request))
    conversation = list(setup_request.messages.select_related("author").prefetch_related("questions"))
    file = casefile.gather(chosen)
    draft = next((one for one in recommendations if one.state == "draft"), None)
    decision = causes.decision(file.causes, setup_request) if chosen == rounds[0] else None
    over = over_rounds(list(reversed(rounds)), casefile.PREFS) if len(rounds) > 1 else ()
    context = {
        "setup_request": setup_request,
        "over": over,
        "over_picture": rounds_picture(over),
        "state": queue.state_name(setup_request.state),
        "flags": queue.flags_of(setup_request),
        "waited": queue.span(timezone.now() - setup_request.waiting_since) if setup_request.waiting_since else "",
        "rounds": rounds,
        "chosen": chosen,
        "latest": chosen == rounds[0],
        "file": file,
        "decision": decision,
        "asked": decision is not None and any(one.body == decision.question for one in conversation),
        "conversation": conversation,
        "events": [(trail.event_text(one), one.at) for one in setup_request.events.select_related("actor")],
        "recommendations": recommendations,
        "draft": draft,
        "settling": casefile.settling(draft or next(iter(recommendations), None)),
        "steps": Step.choices[:-1],
        "holder": holder_of(setup_request, user_of(request)),
        "may_draft": setup_request.state in services.ADVISING,
        "may_settle": RequestState.SETTLED in SetupRequest.MOVES[setup_request.state],
        "may_ask": RequestState.QUESTION in SetupRequest.MOVES[setup_request.state]
        or setup_request.state == RequestState.QUESTION,
    }
    return render(request, "desk/case.html", context)


def _erased(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Say that the client had everything erased, and what is left to tell."""
    events = list(setup_request.events.select_related("actor"))
    context = {
        "setup_request": setup_request,
        "events": [(trail.event_text(one), one.at) for one in events],
        "sheets": next((one.params.get("sheets", []) for one in reversed(events) if one.kind == "erased"), []),
    }
    return render(request, "desk/erased.html", context)


def _step(request: HttpRequest, reference: str, act: Callable[[SetupRequest, User], None], done: str) -> HttpResponse:
    setup_request = request_by(reference)
    try:
        act(setup_request, user_of(request))
    except WrongState as error:
        messages.warning(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
    else:
        messages.success(request, done, "done")
    return redirect("desk:case", reference)


@require_POST
@login_required
def take(request: HttpRequest, reference: str) -> HttpResponse:
    return _step(request, reference, requests.take, _("This request is yours now."))


@require_POST
@login_required
def take_over(request: HttpRequest, reference: str) -> HttpResponse:
    """Take a request over from the colleague who has it, and go back to the draft it was asked for from, if any."""

    def over(setup_request: SetupRequest, by: User) -> None:
        requests.take(setup_request, by, over=True)

    answer = _step(request, reference, over, _("This request is yours now."))
    draft = request.POST.get("draft", "")
    if draft.isascii() and draft.isdigit() and len(draft) < 10:
        return redirect("desk:draft", reference, int(draft))
    return answer


@require_POST
@login_required
def release(request: HttpRequest, reference: str) -> HttpResponse:
    return _step(request, reference, requests.release, _("This request is back in the queue."))


@require_POST
@login_required
def settle(request: HttpRequest, reference: str) -> HttpResponse:
    return _step(request, reference, requests.settle, _("Settled."))


@require_POST
@login_required
def say(request: HttpRequest, reference: str) -> HttpResponse:
    """Send the client a message, or a question that puts the request with them until they answer."""
    body = request.POST.get("body", "").replace("\x00", "").strip()[:LONGEST]
    chosen = [step for step in request.POST.getlist("step") if step in Step.values]
    question = request.POST.get("kind") == "question"
    if not body:
        messages.error(request, _("There was nothing to send: the message was empty."), "warn")
        return redirect("desk:case", reference)

    def post(setup_request: SetupRequest, by: User) -> None:
        if question:
            services.ask_client(setup_request, by, body, *chosen)
        else:
            talk.post_message(setup_request, body=body, author=by)

    return _step(request, reference, post, _("Sent to the client."))


@require_POST
@login_required
def start_draft(request: HttpRequest, reference: str) -> HttpResponse:
    """Draft a recommendation for the round last sent, or go on with the draft that is open."""
    setup_request = request_by(reference)
    latest = casefile.sent_rounds(setup_request)[0]
    try:
        draft = services.open_draft(latest, user_of(request))
    except EngineInputError as error:
        why = " ".join(editing.fault_text(fault) for fault in error.faults)
        messages.error(request, _("Nothing can be drafted from these readings: %(why)s") % {"why": why}, "warn")
        return redirect("desk:case", reference)
    except WrongState as error:
        messages.warning(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
        return redirect("desk:case", reference)
    return redirect("desk:draft", reference, draft.pk)
