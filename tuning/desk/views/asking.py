"""Questions to the client: what the draft and the checks ask, and the tuner's own, each with where it is answered."""

from dataclasses import replace

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from intake.choices import RequestState
from intake.models import SetupRequest
from intake.models.requests import WrongState
from intake.services.asking import LONGEST_QUESTION, MOST_QUESTIONS, Ask
from tuning.desk import asking, casefile
from tuning.desk.models import Recommendation
from tuning.desk.views.case import LONGEST, request_by, user_of


def may_ask(setup_request: SetupRequest) -> bool:
    """Say whether a question can be put to the client now."""
    state = setup_request.state
    return state == RequestState.QUESTION or RequestState.QUESTION in SetupRequest.MOVES[state]


def proposed_for(setup_request: SetupRequest) -> list[asking.Proposed]:
    """Return what the open draft and the last round's checks ask."""
    latest = casefile.sent_rounds(setup_request)[0]
    latest.request = setup_request
    query = Recommendation.objects.filter(round=latest, state=Recommendation.State.DRAFT).select_related("practice")
    return asking.proposals(latest, query.first())


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def ask(request: HttpRequest, reference: str) -> HttpResponse:
    """Show what can be asked, or ask it: with ``all`` everything that the draft and the checks ask, as it stands."""
    setup_request = request_by(reference)
    proposed = proposed_for(setup_request)
    if request.method != "POST":
        return _page(request, setup_request, proposed)
    form = asking.Form(setup_request)
    body = _text(request, "body", LONGEST)
    if "all" in request.POST:
        asks = [one.ask for one in proposed if not one.asked]
    else:
        asks = [_reworded(request, one.ask) for one in proposed if one.ask.key in request.POST.getlist("pick")]
        own = _text(request, "own", LONGEST_QUESTION)
        steps, fields = request.POST.getlist("step"), request.POST.getlist("field")
        led = asking.own_asks(own, steps, fields, form)
        if led and not own:
            told = _("Say in your own words what is asked of the steps that you picked.")
            return _page(request, setup_request, proposed, error=told, status=422)
        asks += led or ([Ask(own)] if own else [])
    if not asks:
        if "all" in request.POST:
            messages.info(request, _("All of this has been asked already."))
            return redirect("desk:case", reference)
        told = _("There was nothing to ask: pick a question or write one.")
        return _page(request, setup_request, proposed, error=told, status=422)
    if len(asks) > MOST_QUESTIONS:
        told = _("These are more questions than anybody answers: ask %(most)s at most at once.")
        return _page(request, setup_request, proposed, error=told % {"most": MOST_QUESTIONS}, status=422)
    try:
        asking.ask(setup_request, user_of(request), body or asking.opening(setup_request), asks)
    except WrongState as error:
        messages.warning(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
    else:
        messages.success(request, _("Sent to the client, each question with where it is answered."), "done")
    return redirect("desk:case", reference)


def _text(request: HttpRequest, name: str, longest: int) -> str:
    return request.POST.get(name, "").replace("\x00", "").replace("\r\n", "\n").strip()[:longest]


def _reworded(request: HttpRequest, one: Ask) -> Ask:
    return replace(one, text=_text(request, f"text:{one.key}", LONGEST_QUESTION) or one.text)


def _shown(posted: QueryDict | None, one: Ask) -> str:
    return one.text if posted is None else str(posted.get(f"text:{one.key}", one.text))


def _page(
    request: HttpRequest,
    setup_request: SetupRequest,
    proposed: list[asking.Proposed],
    *,
    error: str = "",
    status: int = 200,
) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    picked = set(posted.getlist("pick")) if posted is not None else {p.ask.key for p in proposed if not p.asked}
    context = {
        "setup_request": setup_request,
        "rows": [(one, one.ask.key in picked, _shown(posted, one.ask)) for one in proposed],
        "askable": asking.Form(setup_request).askable(),
        "steps_picked": posted.getlist("step") if posted is not None else [],
        "fields_picked": posted.getlist("field") if posted is not None else [],
        "body": posted.get("body", "") if posted is not None else asking.opening(setup_request),
        "own": posted.get("own", "") if posted is not None else "",
        "error": error,
        "may_ask": may_ask(setup_request),
    }
    return render(request, "desk/ask.html", context, status=status)
