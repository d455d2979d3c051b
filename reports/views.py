"""Status page and downloads: the client's by private link, the tuner's by login."""

from typing import Any, cast

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.cache import cache
from django.core.files.storage import default_storage
from django.db.models import Count
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import patch_cache_control
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from config.dispatch import dispatch
from config.throttling import throttled
from intake import links
from intake.access import with_request
from intake.choices import Paper, Purpose
from intake.models import Round, SetupRequest, User
from intake.presentation import UnitPrefs
from intake.services import asking
from reports import measuring, services
from reports.models import Job, Sheet
from reports.tasks import print_measuring_sheet
from reports.timeline import standing
from tuning.desk.over_rounds import over_rounds
from tuning.desk.rounds_drawing import rounds_picture

PDF = "application/pdf"
#: Messages shown open; older ones are folded away.
RECENT = 8


@require_safe
@with_request(purposes=(Purpose.FULL,))
def status(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Show the client where the request stands, the conversation, and the sheets."""
    sheets, unfinished = services.printed_and_unfinished(setup_request)
    rounds: list[Any] = list(setup_request.rounds.order_by("number").annotate(shown=Count("photos")))
    questions = asking.standing(setup_request)
    said = list(setup_request.messages.select_related("author").prefetch_related("questions"))
    over = over_rounds(_sent(setup_request, rounds), UnitPrefs.of(setup_request.client))
    context = {
        "setup_request": setup_request,
        "standing": standing(setup_request, rounds, sheets, unfinished, questions),
        "sheets": sheets,
        "questions": questions,
        "questions_done": asking.progress(questions)[0],
        "questions_round": questions[0].round if questions else None,
        "earlier": said[:-RECENT],
        "conversation": said[-RECENT:],
        "over": over,
        "over_picture": rounds_picture(over),
        "with_photos": [round_ for round_ in rounds if round_.shown],
        "at_work": rounds[-1] if rounds else None,
        "private_link": links.link(setup_request, Purpose.FULL),
    }
    return render(request, "reports/status.html", context)


def _sent(setup_request: SetupRequest, rounds: list[Round]) -> list[Round]:
    """Return the rounds that were sent, in order, each holding its request and bike: nothing is looked up twice."""
    sent = [round_ for round_ in rounds if round_.sent_at is not None]
    for round_ in sent:
        round_.request = setup_request
    return sent


@require_safe
@with_request(purposes=(Purpose.FULL,))
def download(request: HttpRequest, setup_request: SetupRequest, pk: int) -> FileResponse:
    """Give the client one of their sheets; the first one in hand moves the request on to the ride."""
    sheet = get_object_or_404(services.sheet_query(setup_request), pk=pk)
    answer = pdf_answer(sheet)
    if request.method == "GET":
        services.sheet_taken(setup_request, sheet)
    return answer


@require_safe
@throttled("form")
def measuring_sheet(request: HttpRequest, paper: str) -> HttpResponse | FileResponse:
    """Give anybody the measuring sheet as a PDF; until a worker has printed it, a page that says so."""
    format_ = {choice.lower(): choice for choice in Paper.values}.get(paper)
    if format_ is None:
        raise Http404
    name = measuring.file_name(format_)
    if not default_storage.exists(name):
        # One order a minute is enough, however many ask.
        if cache.add(f"printing:{name}", True, timeout=60):
            dispatch(print_measuring_sheet, format_, get_language() or settings.LANGUAGE_CODE)
        response = render(request, "reports/measuring_wait.html", {"messages": ()}, status=503)
        response["Retry-After"] = "5"
        return response
    answer = FileResponse(default_storage.open(name, "rb"), filename=f"measuring-{paper}.pdf", content_type=PDF)
    patch_cache_control(answer, public=True, max_age=3600)
    return answer


@require_safe
@login_required
def desk_download(request: HttpRequest, pk: int) -> FileResponse:
    """Give a tuner any sheet."""
    return pdf_answer(get_object_or_404(Sheet.objects.select_related("job__document"), pk=pk))


@require_POST
@login_required
def retry(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a tuner try a failed job again, and go back to the case."""
    query = Job.objects.select_related("document__recommendation__round__request")
    job = get_object_or_404(query, pk=pk)
    try:
        services.retry(job, by=cast(User, request.user))
    except services.NotFailed:
        messages.info(request, _("This sheet is already on its way."))
    else:
        messages.success(request, _("The sheet is being made again."))
    return redirect("desk:case", reference=services.request_of(job).reference)


def pdf_answer(sheet: Sheet) -> FileResponse:
    """Return a sheet as a download named after its number. Raises FileNotFoundError when the file is gone."""
    name = sheet.number().replace("/", "-")
    return FileResponse(sheet.file.open("rb"), as_attachment=True, filename=f"{name}.pdf", content_type=PDF)
