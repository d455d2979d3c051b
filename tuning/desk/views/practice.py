"""The shop's practice: what it says otherwise than the shipped data, edited a table at a time by lead tuners."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tuning.desk import practice, practice_tables, practice_words
from tuning.desk.models import PracticeVersion
from tuning.desk.views.case import user_of
from tuning.engine.errors import EngineInputError

#: An imported file is read this far.
LARGEST_FILE = 1_000_000


def _may(request: HttpRequest) -> bool:
    return practice.may_set(user_of(request))


def _leads_only(request: HttpRequest) -> None:
    if not _may(request):
        raise PermissionDenied(_("Only lead tuners set the practice."))


def _base(request: HttpRequest) -> int:
    text = request.POST.get("base", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _version(number: int) -> PracticeVersion | None:
    if number > practice.MOST:
        raise Http404
    try:
        return practice.by_number(number)
    except PracticeVersion.DoesNotExist as error:
        raise Http404 from error


@require_safe
@login_required
def overview(request: HttpRequest) -> HttpResponse:
    """Show what holds, what of it differs from the shipped data, and where each table is edited."""
    now = practice.current()
    rows = practice_words.told(practice.differences({}, practice.content_of(now)))
    tables = [
        {
            "id": table,
            "name": name,
            "groups": [
                (group, label, sum(1 for row in rows if (row["table"], row["group"]) == (table, group)))
                for group, label in practice_words.groups(table).items()
            ],
            "differs": [row for row in rows if row["table"] == table],
        }
        for table, name in practice_words.TABLES.items()
    ]
    return render(request, "desk/practice.html", {"now": now, "tables": tables, "may": _may(request)})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def table(request: HttpRequest, table: str) -> HttpResponse:
    """Show a group of a table to be edited, or save it as a new version."""
    groups = practice_words.groups(table) if table in practice_words.TABLES else {}
    group = request.GET.get("group", "") or next(iter(groups), "")
    language = request.GET.get("language", "") or _language()
    if group not in groups or language not in practice_tables.languages():
        raise Http404
    now = practice.current()
    form = practice_tables.form_of(table, group, language, practice.content_of(now))
    if request.method != "POST":
        return _page(request, form, now)
    _leads_only(request)
    content = practice_tables.read(form, request.POST.dict(), practice.content_of(now))
    why = request.POST.get("why", "").replace("\x00", "")
    try:
        made = practice.save(content, _base(request), why, user_of(request))
    except EngineInputError as refused:
        practice_tables.place(form, refused.faults)
        return _page(request, form, now, why=why, base=_base(request), status=422)
    except practice.NothingNew:
        form.loose.append(_("This says the same as what holds now, so there is nothing to save."))
        return _page(request, form, now, why=why, base=practice.number_of(now), status=422)
    except practice.StalePractice as stale:
        before = _known(_base(request))
        changed = practice.differences(practice.content_of(before), practice.content_of(stale.current))
        told = practice_words.told(changed)
        base = practice.number_of(stale.current)
        return _page(request, form, now, why=why, base=base, stale=stale, changed=told, status=409)
    messages.success(request, _("Saved as version %(number)s.") % {"number": made.number}, "done")
    return redirect(f"{reverse('desk:practice_table', args=[table])}?group={group}&language={language}")


def _language() -> str:
    known = practice_tables.languages()
    return next(code for code in (get_language() or "", *known) if code in known)


def _known(number: int) -> PracticeVersion | None:
    return PracticeVersion.objects.filter(number=number).first() if 0 < number <= practice.MOST else None


def _page(
    request: HttpRequest, form: practice_tables.Form, now: PracticeVersion | None, status: int = 200, **more: Any
) -> HttpResponse:
    groups = practice_words.groups(form.table)
    context = {
        "form": form,
        "now": now,
        "base": practice.number_of(now),
        "table_name": practice_words.TABLES[form.table],
        "about": practice_words.ABOUT[form.table],
        "group_name": groups[form.group],
        "groups": groups.items() if len(groups) > 1 else (),
        "text_languages": practice_tables.languages().items() if form.table == "texts" else (),
        "may": _may(request),
        **more,
    }
    return render(request, "desk/practice_table.html", context, status=status)


@require_safe
@login_required
def history(request: HttpRequest) -> HttpResponse:
    """Show every version: who made it, when and why, and how much it changed."""
    versions = practice.history()
    before = [*versions[1:], None]
    rows = [
        (row, len(practice.differences(practice.content_of(old), row.content)))
        for row, old in zip(versions, before, strict=False)
    ]
    return render(request, "desk/practice_history.html", {"rows": rows})


@require_safe
@login_required
def version(request: HttpRequest, number: int) -> HttpResponse:
    """Show what a version changed against the one before it, and against what holds now."""
    return _show_version(request, number)


def _show_version(request: HttpRequest, number: int, status: int = 200, **more: Any) -> HttpResponse:
    chosen, now = _version(number), practice.current()
    content, holds = practice.content_of(chosen), practice.content_of(now)
    before = practice.content_of(_known(number - 1))
    context = {
        "number": number,
        "version": chosen,
        "now": now,
        "base": practice.number_of(now),
        "changed": practice_words.told(practice.differences(before, content)) if chosen else [],
        "back": practice_words.told(practice.differences(holds, content)),
        "may": _may(request),
        **more,
    }
    return render(request, "desk/practice_version.html", context, status=status)


@require_POST
@login_required
def go_back(request: HttpRequest, number: int) -> HttpResponse:
    """Go back to an earlier version, as a new one."""
    _leads_only(request)
    _version(number)
    why = request.POST.get("why", "").replace("\x00", "")
    try:
        made = practice.restore(number, _base(request), why, user_of(request))
    except EngineInputError as refused:
        said = [practice_words.fault_text(fault) for fault in refused.faults]
        return _show_version(request, number, 422, why=why, errors=said)
    except practice.NothingNew:
        return _show_version(request, number, 422, why=why, errors=[_("This is what holds now.")])
    except practice.StalePractice:
        said = [_("Somebody saved a version meanwhile. What going back would change stands below anew.")]
        return _show_version(request, number, 409, why=why, errors=said)
    messages.success(request, _("Saved as version %(number)s.") % {"number": made.number}, "done")
    return redirect("desk:practice")


@require_safe
@login_required
def export(request: HttpRequest) -> HttpResponse:
    """Send what holds as a file."""
    now = practice.current()
    answer = JsonResponse(practice.exported(now), json_dumps_params={"indent": 2, "ensure_ascii": False})
    answer["Content-Disposition"] = f'attachment; filename="practice-{practice.number_of(now)}.json"'
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def take_in(request: HttpRequest) -> HttpResponse:
    """Take in an exported practice in place of what holds, as a new version; every row that does not fit is named."""
    now = practice.current()
    context: dict[str, Any] = {"now": now, "base": practice.number_of(now), "may": _may(request)}
    if request.method != "POST":
        return render(request, "desk/practice_import.html", context)
    _leads_only(request)
    text, why = request.POST.get("text", "").replace("\x00", ""), request.POST.get("why", "").replace("\x00", "")
    upload = request.FILES.get("file")
    if upload is not None:
        text = upload.read(LARGEST_FILE).decode("utf-8", "replace")
    context |= {"text": text, "why": why}
    try:
        made = practice.save(practice.imported(text), _base(request), why, user_of(request))
    except EngineInputError as refused:
        context["faults"] = [(one.path, one.value, practice_words.fault_text(one)) for one in refused.faults]
        return render(request, "desk/practice_import.html", context, status=422)
    except practice.NothingNew:
        context["faults"] = [("", "", _("This says the same as what holds now, so there is nothing to save."))]
        return render(request, "desk/practice_import.html", context, status=422)
    except practice.StalePractice as stale:
        context |= {"stale": stale, "base": practice.number_of(stale.current)}
        return render(request, "desk/practice_import.html", context, status=409)
    messages.success(request, _("Saved as version %(number)s.") % {"number": made.number}, "done")
    return redirect("desk:practice")
