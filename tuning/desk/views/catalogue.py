"""The catalogue of bikes: read, searched, written and carried in and out by tuners."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from intake.catalogue import files, store
from intake.catalogue.rows import row_of, written
from intake.catalogue.rules import words_for
from intake.models import CatalogueBike
from tuning.desk import catalogue
from tuning.desk.views.case import request_by, user_of
from tuning.engine.errors import EngineInputError

#: An imported file is read this far.
LARGEST_FILE = 2_000_000
#: A page can send this much text back; a larger file is put right where it is and chosen again.
LARGEST_TEXT = 200_000
LONGEST_SEARCH = 80


@require_safe
@login_required
def listed(request: HttpRequest) -> HttpResponse:
    """Show the bikes that a search finds, page by page."""
    text = request.GET.get("q", "")[:LONGEST_SEARCH].replace("\x00", "")
    page = catalogue.found(text, request.GET.get("page", "1"))
    context = {"page": page, "search": text, "count": page.paginator.count}
    return render(request, "desk/catalogue.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def add(request: HttpRequest) -> HttpResponse:
    """Show an empty form, or one begun from a request's bike; or add what was typed."""
    if request.method != "POST":
        reference = request.GET.get("from", "")
        begun = request_by(reference) if reference else None
        row = catalogue.from_request(begun) if begun else {}
        return _page(request, catalogue.form_of(row), begun=begun)
    return _save(request, CatalogueBike())


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def one(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a bike to be read and edited, with who changed it; or save it."""
    bike = _bike(pk)
    if request.method != "POST":
        return _page(request, catalogue.form_of(row_of(bike)), bike=bike)
    return _save(request, bike)


def _bike(pk: int) -> CatalogueBike:
    # SQLite and PostgreSQL refuse numbers beyond their own.
    return get_object_or_404(CatalogueBike.objects.select_related("changed_by"), pk=min(pk, 2**62))


def _save(request: HttpRequest, bike: CatalogueBike) -> HttpResponse:
    row = catalogue.posted(request.POST.dict())
    form = catalogue.form_of(row)
    base = _base(request) if bike.pk else None
    shown = bike if bike.pk else None
    try:
        change = store.save(bike, row, user_of(request), base=base)
    except EngineInputError as refused:
        catalogue.place(form, refused.faults)
        return _page(request, form, bike=shown, base=base, status=422)
    except store.Stale as stale:
        return _page(request, form, bike=stale.now, stale=stale.now, status=409)
    if change is None:
        messages.info(request, _("This says the same as what holds now, so there is nothing to save."))
    else:
        messages.success(request, _("%(name)s is saved.") % {"name": change.name}, "done")
    saved = bike.pk if change is None or change.bike_id is None else change.bike_id
    return redirect("desk:catalogue_bike", saved)


def _base(request: HttpRequest) -> int:
    text = request.POST.get("base", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _page(
    request: HttpRequest,
    form: catalogue.Form,
    *,
    bike: CatalogueBike | None = None,
    base: int | None = None,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    context = {
        "form": form,
        "bike": bike,
        "base": base if base is not None else bike.version if bike else 0,
        "trail": catalogue.trail(bike) if bike else [],
        **more,
    }
    return render(request, "desk/catalogue_bike.html", context, status=status)


@require_POST
@login_required
def remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a bike out of the catalogue."""
    bike = _bike(pk)
    if "sure" not in request.POST:
        messages.warning(request, _("Tick the box beside the button to take a bike out."), "warn")
        return redirect("desk:catalogue_bike", pk)
    store.remove(bike, user_of(request))
    messages.success(request, _("%(name)s is taken out of the catalogue.") % {"name": bike.name}, "done")
    return redirect("desk:catalogue")


@require_safe
@login_required
def trail(request: HttpRequest) -> HttpResponse:
    """Show who changed what of the whole catalogue lately."""
    return render(request, "desk/catalogue_trail.html", {"trail": catalogue.trail()})


@require_safe
@login_required
def export(request: HttpRequest, form: str) -> HttpResponse:
    """Send the whole catalogue as a file."""
    bikes = CatalogueBike.objects.all()
    text = files.as_csv(bikes) if form == "csv" else files.as_json(bikes)
    kind = "text/csv; charset=utf-8" if form == "csv" else "application/json"
    answer = HttpResponse(text, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="catalogue.{form}"'
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def take_in(request: HttpRequest) -> HttpResponse:
    """Take in bikes from a file or its text; every row that does not fit is named, and then nothing is taken in."""
    context: dict[str, Any] = {"columns": catalogue.documented()}
    if request.method != "POST":
        return render(request, "desk/catalogue_import.html", context)
    text = request.POST.get("text", "")
    upload = request.FILES.get("file")
    if upload is not None:
        raw = upload.read(LARGEST_FILE + 1)
        if len(raw) > LARGEST_FILE:
            context["loose"] = _("The file is larger than %(most)s MB. Please divide it.") % {"most": 2}
            return render(request, "desk/catalogue_import.html", context, status=422)
        text = raw.decode("utf-8", "replace")
    text = text.replace("\x00", "\ufffd")
    try:
        taken = files.take_in(text, user_of(request))
    except files.NotTakenIn as refused:
        names = catalogue.column_names()
        context["faults"] = [
            {
                "row": one.row,
                "column": one.fault.path,
                "name": names.get(one.fault.path, ""),
                "value": _shown(one.fault.value),
                "text": words_for(one.fault),
            }
            for one in refused.faults
        ]
        context["full"] = len(refused.faults) == files.MOST_FAULTS
        context["text"] = text if len(text) <= LARGEST_TEXT else ""
        context["too_long_to_show"] = len(text) > LARGEST_TEXT
        return render(request, "desk/catalogue_import.html", context, status=422)
    said = _("Taken in: %(added)s added, %(changed)s changed, %(same)s as they were.")
    counts = {"added": taken.added, "changed": taken.changed, "same": taken.same}
    messages.success(request, said % counts, "done")
    return redirect("desk:catalogue")


def _shown(value: object) -> str:
    """Return what stood in a cell, as it would be written there."""
    plain = isinstance(value, str | int | float) and not isinstance(value, bool)
    return "" if value is None else (written(value) if plain else str(value))[:80]  # type: ignore[arg-type]
