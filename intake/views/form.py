"""The step-by-step form: one view for every step of every round, and the sending."""

from collections.abc import Mapping

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from config.throttling import throttled
from intake import links
from intake.access import with_request
from intake.choices import Purpose, RequestState
from intake.models import Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import requests, steps
from intake.steps import PAGES, At, following, pages_of
from intake.steps.base import StepPage
from intake.steps.fields import UNIT_SUFFIX, StepForm
from intake.steps.questions import Asked, asked_at, stop_reasons, stops
from intake.steps.summary import steps_with_state, summaries, until_sent
from intake.views.byscript import told_where

#: Longer than anything a field may hold; what goes beyond is no form of ours.
LONGEST_TEXT = 8000


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("form")
@told_where
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def step(request: HttpRequest, setup_request: SetupRequest, n: int, step: str) -> HttpResponse:
    """Show one step, or save it and go on."""
    round_ = get_object_or_404(Round, request=setup_request, number=n)
    round_.request = setup_request
    page = PAGES.get(step)
    if page is None or page not in pages_of(round_) or not _may_report(request, round_):
        raise Http404
    if not is_open(setup_request, round_):
        messages.info(request, _("This round has been sent. To change something, write your tuner a message."))
        return _after(request, setup_request)
    at = At(setup_request, round_)
    if request.method == "POST":
        return _save(request, at, page)
    draft = steps.latest_raw(round_, page.id)
    values = draft.fields if draft else page.initial(at)
    form = StepForm(page.groups(at), at.client, values, check=bool(draft and not draft.complete))
    return _draw(request, at, page, form, base=draft.version if draft else 0)


def is_open(setup_request: SetupRequest, round_: Round) -> bool:
    """Say whether the client may write into a round: the one at work, until it is sent or asked about again."""
    current = round_.number == setup_request.current_round
    return current and (round_.sent_at is None or setup_request.state == RequestState.QUESTION)


def _may_report(request: HttpRequest, round_: Round) -> bool:
    """A report link, such as the one printed on the sheet, opens the later rounds only."""
    return getattr(request, "access_purpose", "") == Purpose.FULL or round_.number > 1


def _save(request: HttpRequest, at: At, page: StepPage) -> HttpResponse:
    groups = page.groups(at)
    names = StepForm(groups, at.client, {}, check=False).names()
    # A null character is no text, and PostgreSQL refuses it.
    raw = {name: request.POST.get(name, "").replace("\x00", "")[:LONGEST_TEXT] for name in names}
    form = StepForm(groups, at.client, raw, check=True)
    raw = form.with_units()
    try:
        draft = steps.save_raw(at.round, page.id, raw, _whole(request.POST.get("base", "")))
    except steps.Conflict as conflict:
        return _draw(request, at, page, form, base=conflict.saved.version, other=conflict.saved.fields, status=409)
    request.saved_version = draft.version  # type: ignore[attr-defined]  # told to the script by told_where
    if not form.is_valid():
        # A yes is answered at once, even on a page that cannot be read as a whole yet.
        told = stop_reasons(raw) if page is PAGES["safety"] else []
        return _draw(request, at, page, form, base=draft.version, stopped=told, status=422)
    with transaction.atomic():
        page.store(at, form.cleaned_data, form.specs(), raw)
        steps.mark_complete(draft)
    if page is PAGES["review"]:
        return _send(request, at, page, form, draft.version)
    asked = asked_at(at, page)
    stopped = stops(at) if page is PAGES["safety"] else []
    # Questions are put once; pressing the button again goes on all the same.
    if (asked or stopped) and request.POST.get("seen", "") != _seen(asked, stopped):
        again = StepForm(page.groups(at), at.client, raw, check=False)
        return _draw(request, at, page, again, base=draft.version, asked=asked, stopped=stopped)
    if "to_photos" in request.POST and page is PAGES["behaviour"] and _full(request):
        return redirect("intake:photos", at.request.reference, at.round.number)
    if "back_to_review" in request.POST:
        return redirect("intake:step", at.request.reference, at.round.number, "review")
    return redirect("intake:step", at.request.reference, at.round.number, following(at.round, page.id).id)


def _send(request: HttpRequest, at: At, page: StepPage, form: StepForm, base: int) -> HttpResponse:
    try:
        with transaction.atomic():
            requests.send_round(at.round, doubt_note=form.cleaned_data["doubt_note"])
    except requests.NotReady as missing:
        return _draw(request, at, page, form, base=base, missing=missing, status=422)
    except WrongState:
        # The button was pressed twice and the first press came through.
        return _after(request, at.request)
    messages.success(request, _("Sent. Your tuner reads it next."), extra_tags="done")
    return _after(request, at.request)


def _after(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Lead on to the status page, or, with a link that only reports, to a plain word of thanks."""
    if getattr(request, "access_purpose", "") == Purpose.FULL:
        return redirect("reports:status", setup_request.reference)
    return redirect("intake:sent", setup_request.reference)


def _draw(
    request: HttpRequest,
    at: At,
    page: StepPage,
    form: StepForm,
    *,
    base: int,
    asked: list[Asked] | None = None,
    stopped: list[str] | None = None,
    other: Mapping[str, str] | None = None,
    missing: requests.NotReady | None = None,
    status: int = 200,
) -> HttpResponse:
    drawn = form.drawn()
    review = page is PAGES["review"]
    pages = steps_with_state(at, page)
    place = pages_of(at.round).index(page) + 1
    context = {
        "setup_request": at.request,
        "round": at.round,
        "page": page,
        "title": page.title(at),
        "lead": page.lead(at),
        "groups": drawn,
        "problems": [field for group in drawn for field in group.fields if field.errors],
        "base": base,
        "asked": asked_at(at, None) if review else asked or [],
        "asked_to_stop": any(question.stops for question in asked or []),
        "stopped": stops(at) if review else stopped or [],
        "seen": _seen(asked or [], stopped or []),
        "other": other_tab(form, other) if other is not None else [],
        "conflict": other is not None,
        "missing": until_sent(at, missing) if missing else [],
        "steps": pages,
        "place": place,
        "count": len(pages),
        "ruler": _ruler(place, len(pages)),
        "back_to_review": sum(1 for state in pages if state.state) >= len(pages) - 1,
        "before": _before(at, page),
        "private_link": links.link(at.request, Purpose.FULL) if _full(request) else "",
    }
    if review:
        context["summaries"] = summaries(at)
    return render(request, page.template, context, status=status)


def _ruler(place: int, count: int) -> dict[str, object]:
    """Return the ruler drawn over a step: a tick a step, a mark where the client is."""
    pitch = 100
    return {"width": count * pitch, "ticks": [n * pitch for n in range(count + 1)], "here": place * pitch}


def _full(request: HttpRequest) -> bool:
    return getattr(request, "access_purpose", "") == Purpose.FULL


def _before(at: At, page: StepPage) -> StepPage | None:
    pages = pages_of(at.round)
    place = pages.index(page)
    return pages[place - 1] if place else None


def other_tab(form: StepForm, other: Mapping[str, str]) -> list[tuple[str, str, str]]:
    """Return what another tab saved differently: label, what stands here, what stands there."""
    labels = {spec.name: str(spec.label) for spec in form.specs()}
    names = [name for name in form.names() if form.values.get(name, "") != other.get(name, "")]
    # A unit noted beside an empty field is no difference.
    names = [name for name in names if not name.endswith(UNIT_SUFFIX)]
    return [
        (
            labels.get(name) or labels.get(name.rpartition(".")[0], name),
            form.values.get(name, ""),
            other.get(name, ""),
        )
        for name in names
    ]


def _seen(asked: list[Asked], stopped: list[str]) -> str:
    return ",".join([*(question.id for question in asked), *(stopped)])


def _whole(text: str) -> int:
    """Return the version a page was drawn from; a garbled one counts as "never saved"."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0
