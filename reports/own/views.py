"""The client's own data on the status page: a copy of it, its erasure, and new links for old."""

from django import forms
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from config.throttling import throttled
from intake import access
from intake.access import with_request
from intake.choices import Purpose
from intake.models import SetupRequest
from intake.reference import tidy_reference
from intake.services.requests import renew_links
from reports.own import erase as erasing
from reports.own import export
from reports.services import sheet_query


@require_GET
@throttled("form", methods=("GET",))
@with_request(purposes=(Purpose.FULL,))
def download(request: HttpRequest, setup_request: SetupRequest) -> FileResponse:
    """Give the client all that is on record, as one file."""
    return FileResponse(
        export.bundle(setup_request),
        as_attachment=True,
        filename=f"{setup_request.reference}.zip",
        content_type="application/zip",
    )


class EraseForm(forms.Form):
    """Asks for the reference: a thing done for good is not done by one press of a button."""

    reference = forms.CharField(
        max_length=20, error_messages={"required": gettext_lazy("Please type the reference of this request.")}
    )

    def __init__(self, *args: object, wanted: str, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.wanted = wanted

    def clean_reference(self) -> str:
        if tidy_reference(self.cleaned_data["reference"]) != self.wanted:
            raise forms.ValidationError(
                _("That is not the reference of this request, which is %(reference)s.") % {"reference": self.wanted}
            )
        return self.wanted


@require_http_methods(["GET", "HEAD", "POST"])
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def erase(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """Say what erasure means, and begin it once the reference is typed."""
    form = EraseForm(request.POST if request.method == "POST" else None, wanted=setup_request.reference)
    if form.is_valid():
        mailed = bool(setup_request.client.email)
        erasing.ask(setup_request)
        answer = render(request, "reports/erasing.html", {"reference": setup_request.reference, "mailed": mailed})
        access.forget(answer, setup_request)
        return answer
    context = {
        "setup_request": setup_request,
        "form": form,
        "sheets": sheet_query(setup_request).exists(),
        "sent": setup_request.rounds.filter(sent_at__isnull=False).exists(),
    }
    return render(request, "reports/erase.html", context, status=422 if form.is_bound else 200)


@require_POST
@throttled("form")
@with_request(purposes=(Purpose.FULL,))
def new_links(request: HttpRequest, setup_request: SetupRequest) -> HttpResponse:
    """End every link there is; this browser goes on with the new one, which is mailed as well."""
    renew_links(setup_request)
    if setup_request.client.email:
        told = _("The old links open nothing any more. The new one stands below and is on its way to you by mail.")
    else:
        told = _(
            "The old links open nothing any more. The new one stands below: keep it, there is no other way back."
        )
    messages.success(request, told, extra_tags="done")
    answer = redirect("reports:status", setup_request.reference)
    access.grant(answer, setup_request, Purpose.FULL)
    return answer
