"""The draft editor, approval and correction."""

from collections.abc import Mapping
from datetime import UTC
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from intake import words
from intake.case import current_settings
from intake.models import Round
from intake.models.requests import WrongState
from tuning.desk import editing, freezing, practice, services, way_view
from tuning.desk import words as desk_words
from tuning.desk.models import Recommendation
from tuning.desk.views.case import holder_of, user_of


def recommendation_by(reference: str, pk: int) -> Recommendation:
    """Return a recommendation of a request. Raises Http404."""
    query = Recommendation.objects.select_related(
        "round__request__client", "round__request__bike", "round__request__tuner", "derivation", "practice"
    )
    return get_object_or_404(query, pk=pk, round__request__reference=reference)


def _lock(request: HttpRequest) -> int:
    text = request.POST.get("lock", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _standing(round_: Round) -> dict[str, float | None]:
    return {row.adjuster.key: row.value for row in current_settings(round_).values()}


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def edit(request: HttpRequest, reference: str, pk: int) -> HttpResponse:
    """Show the draft, or save what was changed in it; an approved one is shown on the case page."""
    recommendation = recommendation_by(reference, pk)
    if request.method != "POST":
        if recommendation.state != Recommendation.State.DRAFT:
            messages.info(request, _("This recommendation is approved already; a correction is a new version."))
            return redirect("desk:case", reference)
        return _page(request, recommendation, editing.Typed(recommendation.content))
    round_ = recommendation.round
    form = editing.read(request.POST.dict(), recommendation, services.adjusters_of(round_), _standing(round_))
    if recommendation.state != Recommendation.State.DRAFT:
        return _stale(request, services.StaleDraft(recommendation), form)
    if form.errors:
        return _page(request, recommendation, form, lock=_lock(request), status=422)
    asked = request.POST.get("action", "")
    if asked.startswith("option:"):
        # Nothing is saved yet: what was typed stands in the form, and the option is taken or left.
        return _page(request, recommendation, form, lock=_lock(request), asked=asked.removeprefix("option:"))
    try:
        services.save_draft(recommendation, form.content, _lock(request), user_of(request))
    except services.StaleDraft as stale:
        return _stale(request, stale, form)
    except services.UnsoundDraft as unsound:
        general = editing.place_faults(unsound.faults, form)
        return _page(request, recommendation, form, lock=_lock(request), general=general, status=422)
    messages.success(request, _("Saved."), "done")
    return redirect("desk:draft", reference, pk)


def _stale(request: HttpRequest, stale: services.StaleDraft, form: editing.Typed) -> HttpResponse:
    """Show what was typed beside what somebody saved or approved meanwhile; nothing of either is lost."""
    differs = editing.differences(form, stale.current.content)
    return _page(request, stale.current, form, differs=differs, stale=stale, status=409)


def _page(
    request: HttpRequest, recommendation: Recommendation, form: editing.Typed, status: int = 200, **more: Any
) -> HttpResponse:
    standing = _standing(recommendation.round)
    used = {change["adjuster"] for change in form.content["changes"]}
    adjusters = services.adjusters_of(recommendation.round)
    holds = practice.current()
    own = practice.words_of(recommendation.practice, get_language() or "")
    said = {
        name: [desk_words.said(row, editing.PREFS, own) for row in form.content[name]]
        for name in ("stop", "questions", "notes")
    }
    context = {
        "recommendation": recommendation,
        "setup_request": recommendation.round.request,
        "holder": holder_of(recommendation.round.request, user_of(request)),
        "may_approve": recommendation.round.request.state in services.ADVISING,
        "content": form.content,
        "rows": editing.rows(form, own),
        "errors": list(form.errors.values()),
        "order": ",".join(change["key"] for change in form.content["changes"]),
        "addable": [
            (key, words.adjuster_name(key), standing.get(key))
            for key, adjuster in adjusters.items()
            if key not in used and adjuster.kind != "mode"
        ],
        "predictions": [
            (desk_words.derived_name(row["key"]),
             desk_words.value_text(row["value"], row["half_width"], row["unit"], editing.PREFS))
            for row in form.content["predictions"]
        ],
        "options": way_view.option_rows(form.content, editing.PREFS, own),
        "steps": way_view.steps(form.content, _in_words, editing.PREFS, own),
        "aside": way_view.aside_rows(form.content, editing.PREFS),
        "only_asks": bool(said["questions"])
        and not any(form.content[name] for name in ("changes", "stop", "notes")),
        "lock": recommendation.lock,
        "said": said,
        "drafted_by": practice.number_of(recommendation.practice),
        "practice_now": holds,
        "older_practice": practice.number_of(holds) != practice.number_of(recommendation.practice),
        "sheet": freezing.freeze(recommendation, by=user_of(request), at=timezone.now()) if status == 200 else None,
        **more,
    }  # fmt: skip
    return render(request, "desk/draft.html", context, status=status)


def _in_words(change: Mapping[str, Any]) -> dict[str, Any]:
    start, target, turn = desk_words.change_from_to(change, editing.PREFS)
    title = change["text"]["title"] or desk_words.change_title(change)
    return {"title": title, "from_text": start, "to_text": target, "turn_text": turn}


@require_POST
@login_required
def approve(request: HttpRequest, reference: str, pk: int) -> HttpResponse:
    """Approve the draft as last saved."""
    recommendation = recommendation_by(reference, pk)
    try:
        document = services.approve(recommendation, _lock(request), user_of(request))
    except services.StaleDraft as stale:
        told = {
            "who": stale.who or _("Somebody"),
            "when": date_format(stale.when.astimezone(UTC), "DATETIME_FORMAT"),
        }
        said = (
            _("%(who)s approved this at %(when)s UTC.")
            if stale.approved
            else _("%(who)s saved this draft at %(when)s UTC, after you read it. Look it over again.")
        )
        messages.error(request, said % told, "warn")
        return redirect("desk:draft", reference, pk)
    except services.UnsoundDraft as unsound:
        for fault in unsound.faults:
            messages.error(request, editing.fault_text(fault), "warn")
        return redirect("desk:draft", reference, pk)
    except WrongState as error:
        messages.error(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
        return redirect("desk:draft", reference, pk)
    told = {"number": document.content()["number"]}
    messages.success(request, _("Approved as %(number)s; the sheet is being made.") % told, "done")
    return redirect("desk:case", reference)


@require_POST
@login_required
def correct(request: HttpRequest, reference: str, pk: int) -> HttpResponse:
    """Begin a new version of an approved recommendation."""
    try:
        fresh = services.correct(recommendation_by(reference, pk), user_of(request))
    except WrongState as error:
        messages.error(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
        return redirect("desk:case", reference)
    return redirect("desk:draft", reference, fresh.pk)


@require_POST
@login_required
def anew(request: HttpRequest, reference: str, pk: int) -> HttpResponse:
    """Put the draft aside for one by the practice that holds now."""
    recommendation = recommendation_by(reference, pk)
    try:
        fresh = services.draft_anew(recommendation, _lock(request), user_of(request))
    except services.StaleDraft:
        messages.error(request, _("Somebody saved or approved this draft meanwhile. Look it over again."), "warn")
        return redirect("desk:draft", reference, pk)
    except WrongState as error:
        messages.error(request, _("That cannot be done now: %(why)s.") % {"why": error}, "warn")
        return redirect("desk:case", reference)
    messages.success(
        request, _("Drafted anew. Your note and your words for changes that are proposed again came along."), "done"
    )
    return redirect("desk:draft", reference, fresh.pk)
