"""Home, the start of a request, the demo's mails, and a word of thanks."""

from django.conf import settings
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.html import urlize
from django.utils.safestring import SafeString
from django.views.decorators.http import require_POST, require_safe

from config.throttling import throttled
from intake import access
from intake.access import with_request
from intake.choices import Purpose, Way
from intake.models import OutboxMail, SetupRequest
from intake.services import asking, requests

UNIT_SYSTEMS = {
    "metric": {
        "length_unit": "mm",
        "mass_unit": "kg",
        "pressure_unit": "bar",
        "rate_unit": "N/mm",
        "torque_unit": "N.m",
    },
    "imperial": {
        "length_unit": "in",
        "mass_unit": "lb",
        "pressure_unit": "psi",
        "rate_unit": "lbf/in",
        "torque_unit": "lbf.ft",
        "paper": "Letter",
    },
}


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    return render(request, "intake/home.html", {"reply_hours": settings.PROMISED_REPLY_HOURS})


@require_POST
@throttled("start")
def start(request: HttpRequest) -> HttpResponse:
    """Open a new request the way and in the units chosen, and lead to its first step.

    Whoever says no way, such as a page kept from before there were two, gets the whole form.
    """
    units = UNIT_SYSTEMS.get(request.POST.get("units", ""), UNIT_SYSTEMS["metric"])
    way = Way.SHORT if request.POST.get("way") == Way.SHORT else Way.WHOLE
    setup_request = requests.start_request(language=request.LANGUAGE_CODE, way=way, **units)
    response = redirect("intake:step", setup_request.reference, 1, "safety")
    access.grant(response, setup_request, Purpose.FULL)
    return response


@require_safe
def demo_mail(request: HttpRequest) -> HttpResponse:
    """Show the mails the demo has written, newest first. Everywhere else this page does not exist."""
    if not settings.DEMO:
        raise Http404
    page = Paginator(OutboxMail.objects.order_by("-created_at", "-pk"), 20).get_page(request.GET.get("page"))
    mails = [(mail, _clickable(mail.body)) for mail in page]
    return render(request, "intake/demo_mail.html", {"mails": mails, "page": page})


def _clickable(body: str) -> SafeString:
    """Return a mail's text with its addresses as links; everything in it is escaped first."""
    return SafeString(urlize(body, autoescape=True))


@require_safe
@with_request(purposes=(Purpose.FULL, Purpose.REPORT))
def sent(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    # A link that only reports opens the later rounds only.
    questions = [question for question in asking.standing(setup_request) if question.round.number > 1]
    context = {
        "setup_request": setup_request,
        "questions": questions,
        "questions_done": asking.progress(questions)[0],
        "questions_round": questions[0].round if questions else None,
    }
    return render(request, "intake/sent.html", context)
