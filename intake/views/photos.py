"""Photos and the short video of a round: the page that takes them, and who may fetch them."""

import time
from typing import Any, cast

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_safe

from config.throttling import throttled
from intake.access import with_request
from intake.choices import Purpose, Step
from intake.models import Photo, Round, SetupRequest
from intake.models.requests import WrongState
from intake.photos import keeping, limits, reencode
from intake.photos.refusals import Refused
from intake.services import photos
from intake.steps import PAGES, At, following
from intake.steps.summary import steps_with_state


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def page(request: HttpRequest, setup_request: SetupRequest, n: int) -> HttpResponse:
    """Show a round's photos; add, describe and remove them while the round is open."""
    round_ = get_object_or_404(Round, request=setup_request, number=n)
    round_.request = setup_request
    if request.method != "POST":
        return _draw(request, round_, [])
    if not photos.is_open(round_):
        return _sent_already(request, setup_request)
    return _change(request, round_)


def _change(request: HttpRequest, round_: Round) -> HttpResponse:
    rows = {str(photo.pk): photo for photo in _photos(round_)}
    for pk, photo in rows.items():
        if f"alt.{pk}" in request.POST:
            photos.describe(photo, request.POST[f"alt.{pk}"])
    added, refused = 0, list[tuple[int, str]]()
    try:
        removed = rows.get(request.POST.get("remove", ""))
        if removed:
            photos.remove(removed)
        added, refused = _add(request, round_)
    except WrongState:
        return _sent_already(request, round_.request)
    if _by_script(request):
        return JsonResponse({"added": added, "refused": [text for _place, text in refused]}, status=_status(refused))
    if refused:
        return _draw(request, round_, refused, added=added)
    if removed:
        messages.success(request, _("Removed."), extra_tags="done")
    elif added:
        told = ngettext("%(count)d file is with your request.", "%(count)d files are with your request.", added)
        messages.success(request, told % {"count": added}, extra_tags="done")
    if "on" in request.POST:
        after = following(round_, Step.BEHAVIOUR.value)
        return redirect("intake:step", round_.request.reference, round_.number, after.id)
    return redirect("intake:photos", round_.request.reference, round_.number)


def _add(request: HttpRequest, round_: Round) -> tuple[int, list[tuple[int, str]]]:
    """Keep what was sent; return how many files were taken, and place and words of each that was not."""
    too_much = getattr(request, "upload_refused", "")
    if too_much:
        return 0, [(0, Refused(too_much).words())]
    sent = cast("list[UploadedFile[Any]]", [*request.FILES.getlist("photos"), *request.FILES.getlist("video")])
    alt = request.POST.get("alt", "") if len(sent) == 1 else ""
    added, refused, until = 0, [], time.monotonic() + limits.FORM_SECONDS
    for place, file in enumerate(sent, start=1):
        try:
            if place > 1 and time.monotonic() > until:
                raise Refused("out_of_time")
            photos.add(round_, file, alt)
            added += 1
        except Refused as why:
            refused.append((place if len(sent) > 1 else 0, why.words()))
    return added, refused


def _by_script(request: HttpRequest) -> bool:
    return request.headers.get("Accept", "") == "application/json"


def _status(refused: list[tuple[int, str]]) -> int:
    return 422 if refused else 200


def _sent_already(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    told = _("This round has been sent. To change something, write your tuner a message.")
    if _by_script(request):
        return JsonResponse({"added": 0, "refused": [told]}, status=409)
    messages.info(request, told)
    return redirect("reports:status", setup_request.reference)


def _photos(round_: Round) -> list[Photo]:
    return list(Photo.objects.filter(round=round_))


def _draw(request: HttpRequest, round_: Round, refused: list[tuple[int, str]], added: int = 0) -> HttpResponse:
    at = At(round_.request, round_)
    rows = _photos(round_)
    shown = [photo for photo in rows if not photo.is_video]
    context = {
        "setup_request": round_.request,
        "round": round_,
        "page": PAGES[Step.BEHAVIOUR.value],
        "steps": steps_with_state(at, PAGES[Step.BEHAVIOUR.value]),
        "after": following(round_, Step.BEHAVIOUR.value),
        "open": photos.is_open(round_),
        "photos": shown,
        "video": next((photo for photo in rows if photo.is_video), None),
        "room": limits.MOST_PHOTOS - len(shown),
        "refused": refused,
        "added": added,
        "most": limits.MOST_PHOTOS,
        "photo_mb": limits.PHOTO_BYTES // limits.MEGABYTE,
        "video_mb": limits.VIDEO_BYTES // limits.MEGABYTE,
        "megapixels": reencode.MOST_PIXELS // 1_000_000,
        "longest_alt": limits.LONGEST_ALT,
    }
    return render(request, "intake/photos.html", context, status=_status(refused))


@require_safe
@with_request(purposes=(Purpose.FULL,))
def fetch(request: HttpRequest, setup_request: SetupRequest, pk: int) -> FileResponse:
    """Give the client a photo or video of their own request."""
    return _answer(get_object_or_404(Photo, pk=pk, round__request=setup_request))


@require_safe
@login_required
def desk_fetch(request: HttpRequest, pk: int) -> FileResponse:
    """Give a tuner a photo or video of a round that was sent."""
    return _answer(
        get_object_or_404(Photo, pk=pk, round__sent_at__isnull=False, round__request__erase_asked_at__isnull=True)
    )


def _answer(photo: Photo) -> FileResponse:
    try:
        return keeping.answer(photo)
    except FileNotFoundError as error:
        raise Http404 from error
