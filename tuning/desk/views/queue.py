"""The queue."""

from typing import cast

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from intake.choices import RequestState
from intake.models import User
from tuning.desk import queue


@require_safe
@login_required
def show(request: HttpRequest) -> HttpResponse:
    """Show a page of what waits for the shop."""
    filters = queue.Filters.of(request.GET.dict())
    by, now = cast(User, request.user), timezone.now()
    token = request.GET.get("after", "")
    try:
        page = queue.page(filters, by, token, now)
    except queue.BadPlace:
        messages.warning(request, _("That place in the queue is not known; this is its first page."), "warn")
        token = ""
        page = queue.page(filters, by, token, now)
    onward = request.GET.copy()
    onward["after"] = page.next
    context = {
        "page": page,
        "filters": filters,
        "states": [(one, queue.state_name(one)) for one in RequestState.values if one != RequestState.DRAFT],
        "flags": [(name, words) for name, (_column, _shape, words) in queue.FLAGS.items()],
        "onward": onward.urlencode() if page.next else "",
        "first": not token,
    }
    return render(request, "desk/queue.html", context)
