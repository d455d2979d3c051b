"""The ways in: private links, report links, and a lost link mailed again."""

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods, require_safe

from config.throttling import throttled
from intake import access, links
from intake.choices import Purpose, RequestState
from intake.models import SetupRequest
from intake.services.lost_link import find_and_mail
from intake.steps import At
from intake.steps.summary import first_open


@require_safe
@throttled("link", methods=("GET", "HEAD"))
def open_full(request: HttpRequest, reference: str, mac: str) -> HttpResponse:
    """Swap the link's token for the access cookie and lead to an address without it."""
    setup_request = _verified(reference, mac, Purpose.FULL)
    if setup_request.state == RequestState.DRAFT:
        at = At(setup_request, setup_request.round())
        response = redirect("intake:step", reference, at.round.number, first_open(at).id)
    else:
        response = redirect("reports:status", reference)
    access.grant(response, setup_request, Purpose.FULL)
    access.lead_in(request, response, setup_request)
    return response


@require_safe
@throttled("link", methods=("GET", "HEAD"))
def open_report(request: HttpRequest, reference: str, mac: str) -> HttpResponse:
    """The link printed on a sheet: it only opens the report of the round at work."""
    setup_request = _verified(reference, mac, Purpose.REPORT)
    at = At(setup_request, setup_request.round())
    if at.later and at.round.sent_at is None:
        response = redirect("intake:step", reference, at.round.number, first_open(at).id)
    else:
        response = redirect("intake:sent", reference)
    access.grant(response, setup_request, Purpose.REPORT)
    access.lead_in(request, response, setup_request)
    return response


def _verified(reference: str, mac: str, purpose: str) -> SetupRequest:
    """Return the request a link opens. Raises Http404 for a wrong link, whatever is wrong with it."""
    found = links.verify(reference, mac, purpose)
    if found is None:
        raise Http404
    return found


class LostLinkForm(forms.Form):
    email = forms.EmailField(max_length=254, error_messages={"required": _("Please write your e-mail address.")})
    reference = forms.CharField(max_length=20, error_messages={"required": _("Please write the reference.")})


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("link")
def lost_link(request: HttpRequest) -> HttpResponse:
    """Mail the link again. The answer is the same whether address and reference fit or not."""
    form = LostLinkForm(request.POST if request.method == "POST" else None)
    if form.is_valid():
        find_and_mail(form.cleaned_data["email"], form.cleaned_data["reference"])
        return render(request, "intake/lost_link.html", {"form": None})
    status = 422 if form.is_bound else 200
    return render(request, "intake/lost_link.html", {"form": form}, status=status)
