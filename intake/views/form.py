"""The step-by-step form: one view for every step of every round, and the sending."""

from collections.abc import Callable, Mapping

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from config.throttling import throttled
from intake import links
from intake.access import with_request
from intake.choices import Purpose, RequestState, ShortStep, Step, Way
from intake.models import Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import asking, requests, steps
from intake.services.steps import Kept
from intake.steps import PAGES, At, following, is_short, pages_of, reachable
from intake.steps.base import StepPage
from intake.steps.fields import UNIT_SUFFIX, Choice
from intake.steps.form import StepForm, posted
from intake.steps.from_catalogue import marked
from intake.steps.questions import Asked, asked_at, stop_reasons, stops
from intake.steps.recall import recalled, sharing
from intake.steps.summary import first_open, steps_with_state, summaries, until_sent
from intake.views import language, lookup
from intake.views.byscript import told_where


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("form")
@told_where
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def step(request: HttpRequest, setup_request: SetupRequest, n: int, step: str) -> HttpResponse:
    """Show one step, or save it and go on."""
    round_ = get_object_or_404(Round, request=setup_request, number=n)
    round_.request = setup_request
    page = reachable(round_, step)
    if page is None or not _may_report(request, round_):
        raise Http404
    if not is_open(setup_request, round_):
        messages.info(request, _("This round has been sent. To change something, write your tuner a message."))
        return _after(request, setup_request)
    at = At(setup_request, round_)
    return _save(request, at, page) if request.method == "POST" else _show(request, at, page)


def _show(request: HttpRequest, at: At, page: StepPage) -> HttpResponse:
    """Draw a step with what was typed so far, in this way or the other, and with what another tab typed beside it."""
    kept = steps.kept(at.round, [page.id, *sharing(page.id)])
    mine = kept.get(page.id, Kept())
    groups = page.groups(at)
    specs = [spec for group in groups for spec in group.fields]
    values = recalled(at, page, specs, kept)
    # A review left half done lacks nothing that could not be read.
    unread = mine.standing is not None and not mine.standing.complete and page.id != Step.REVIEW
    if lookup.under_way(request, at, page, mine.standing):
        unread = False
    form = StepForm(groups, at.client, values, check=unread)
    beside = mine.aside.fields if mine.aside else None
    return _draw(request, at, page, form, base=mine.version, beside=beside)


def is_open(setup_request: SetupRequest, round_: Round) -> bool:
    """Say whether the client may write into a round: the one at work, until it is sent or asked about again."""
    current = round_.number == setup_request.current_round
    return current and (round_.sent_at is None or asking.reopens(round_))


def _may_report(request: HttpRequest, round_: Round) -> bool:
    """A report link, such as the one printed on the sheet, opens the later rounds only."""
    return getattr(request, "access_purpose", "") == Purpose.FULL or round_.number > 1


def _save(request: HttpRequest, at: At, page: StepPage) -> HttpResponse:
    groups = page.groups(at)
    names = StepForm(groups, at.client, {}, check=False).names()
    raw = posted(request.POST, names)
    form = StepForm(groups, at.client, raw, check=True)
    raw = form.with_units()
    leaving = _leaving(request, at, page)
    if leaving is not None and _untouched(at, page, form):
        return leaving(request, at)
    try:
        draft = steps.save_raw(at.round, page.id, raw, _whole(request.POST.get("base", "")))
    except steps.Conflict as conflict:
        return _draw(request, at, page, form, base=conflict.saved.version, other=conflict.saved.fields, status=409)
    request.saved_version = draft.version  # type: ignore[attr-defined]  # told to the script by told_where
    review = page is PAGES["review"]
    if leaving is not None and (review or not form.is_valid()):
        # Saved as typed; what cannot be read is asked about when the step is taken up again.
        return leaving(request, at)
    if not form.is_valid():
        # A yes is answered at once, even on a page that cannot be read as a whole yet.
        told = stop_reasons(raw) if page is PAGES["safety"] else []
        return _draw(request, at, page, form, base=draft.version, stopped=told, status=422)
    with transaction.atomic():
        page.store(at, form.cleaned_data, form.specs(), raw)
        steps.mark_complete(draft)
        if page.id in ShortStep.values:
            # A tuner's question names the step of the whole form: the short page may have answered it as well.
            asking.told(at.round, [name for name, text in raw.items() if text.strip()])
    if leaving is not None:
        return leaving(request, at)
    if review:
        return _send(request, at, page, form, draft.version)
    asked = asked_at(at, page)
    stopped = stops(at) if page is PAGES["safety"] else []
    # Questions are put once; pressing the button again goes on all the same.
    if (asked or stopped) and request.POST.get("seen", "") != _seen(asked, stopped):
        again = StepForm(page.groups(at), at.client, raw, check=False)
        return _draw(request, at, page, again, base=draft.version, asked=asked, stopped=stopped)
    if "to_photos" in request.POST and page.id == Step.BEHAVIOUR and _full(request):
        return redirect("intake:photos", at.request.reference, at.round.number)
    if page not in pages_of(at.round):
        # Only a question of the tuner's led here.
        return _after(request, at.request)
    if "back_to_review" in request.POST:
        return _to(at, "review")
    return _to(at, following(at.round, page.id).id)


def _to(at: At, step: str) -> HttpResponse:
    return redirect("intake:step", at.request.reference, at.round.number, step)


#: Where a button leads that saves as typed and leaves the step.
Leave = Callable[[HttpRequest, At], HttpResponse]


def _leaving(request: HttpRequest, at: At, page: StepPage) -> Leave | None:
    """Return where the button pressed leads, if it leaves the step rather than finishing it: back, to another step,
    over to the whole form, or to the same step in another language."""
    code = request.POST.get("speak", "")
    if language.is_spoken(code):
        return lambda request, at: language.speak(request, at.request, code, _to(at, page.id))
    if "more" in request.POST and is_short(at.round):
        return _tell_more
    by_catalogue = lookup.leaving(request.POST, at, page)
    if by_catalogue is not None:
        return by_catalogue
    wanted = request.POST.get("go", "")
    if "back" in request.POST:
        before = _before(at, page)
        wanted = before.id if before else ""
    return (lambda _request, at: _to(at, wanted)) if wanted and reachable(at.round, wanted) else None


def _tell_more(request: HttpRequest, at: At) -> HttpResponse:
    """Go over to the whole form, with all that was typed."""
    requests.take_way(at.request, Way.WHOLE)
    return _to(at, first_open(at).id)


def _untouched(at: At, page: StepPage, form: StepForm) -> bool:
    """Say whether a page is left as it was drawn: then there is nothing to save."""
    kept = steps.kept(at.round, [page.id, *sharing(page.id)])
    specs = form.specs()
    shown = recalled(at, page, specs, kept)
    return all(
        form.values.get(name, "") == (shown.get(name, "") or (spec.default if isinstance(spec, Choice) else ""))
        for spec in specs
        for name in (spec.name, *(spec.more_fields() if form.values.get(spec.name) else ()))
    )


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def more(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Go over from the short way to the whole form before sending, as from the status page."""
    round_ = setup_request.round()
    round_.request = setup_request
    if setup_request.state != RequestState.DRAFT or not is_short(round_):
        return _after(request, setup_request)
    return _tell_more(request, At(setup_request, round_))


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
    beside: Mapping[str, str] | None = None,
    missing: requests.NotReady | None = None,
    status: int = 200,
) -> HttpResponse:
    review = page is PAGES["review"]
    asked = asked_at(at, None) if review else asked or []
    drawn = marked(at, form.drawn(asked))
    pages = steps_with_state(at, page)
    place = next(number for number, state in enumerate(pages, start=1) if state.here)
    context = {
        "setup_request": at.request,
        "round": at.round,
        "page": page,
        "title": page.title(at),
        "lead": page.lead(at),
        "groups": drawn,
        "problems": [field for group in drawn for field in group.fields if field.errors],
        "base": base,
        "asked": asked,
        "asked_to_stop": not review and any(question.stops for question in asked),
        "stopped": stops(at) if review else stopped or [],
        "seen": _seen([] if review else asked, stopped or []),
        "other": other_tab(form, other) if other is not None else [],
        "conflict": other is not None,
        "beside": other_tab(form, beside) if beside is not None else [],
        "missing": until_sent(at, missing) if missing else [],
        "steps": pages,
        "place": place,
        "count": len(pages),
        "ruler": _ruler(place, len(pages)),
        "back_to_review": sum(1 for state in pages if state.state) >= len(pages) - 1,
        "before": _before(at, page),
        "by_button": True,
        "catalogue": lookup.panel(request, at, page, form.values),
        "short": is_short(at.round) and not at.round.sent_at,
        "tally": _tally(page.counted(at), form.values),
        "language_form": "step-form",
        "private_link": links.link(at.request, Purpose.FULL) if _full(request) else "",
    }
    if review:
        context["summaries"] = summaries(at)
    return render(request, page.template, context, status=status)


def _tally(names: list[str], values: Mapping[str, str]) -> dict[str, object]:
    """Return how many of these fields are filled in, for page and script; nothing where none are counted."""
    if not names:
        return {}
    return {"done": sum(1 for n in names if values.get(n, "").strip()), "count": len(names), "names": " ".join(names)}


def _ruler(place: int, count: int) -> dict[str, object]:
    """Return the ruler drawn over a step: a tick a step, a mark where the client is."""
    pitch = 100
    return {"width": count * pitch, "ticks": [n * pitch for n in range(count + 1)], "here": place * pitch}


def _full(request: HttpRequest) -> bool:
    return getattr(request, "access_purpose", "") == Purpose.FULL


def _before(at: At, page: StepPage) -> StepPage | None:
    pages = pages_of(at.round)
    place = next((n for n, one in enumerate(pages) if one.id == page.id), 0)
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
