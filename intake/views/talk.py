"""The client's side of the conversation."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from config.throttling import throttled
from intake.access import with_request
from intake.choices import Purpose
from intake.models import SetupRequest
from intake.services.conversation import post_message

LONGEST = 4000


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def message(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Add the client's message and go back to the status page."""
    body = request.POST.get("body", "").replace("\x00", "").strip()
    if not body:
        messages.error(request, _("There was nothing to send: the message was empty."), extra_tags="warn")
    else:
        post_message(setup_request, body=body[:LONGEST])
        messages.success(request, _("Your message is with your tuner."), extra_tags="done")
    return redirect("reports:status", setup_request.reference)
