"""The page of all rules."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from intake.choices import Discipline
from tuning.desk import rule_words, rulelist


@require_safe
@login_required
def show(request: HttpRequest) -> HttpResponse:
    """Show a page of the rules, or the one that is asked for."""
    filters = rulelist.Filters.of(request.GET.dict())
    number = request.GET.get("page", "")
    page = rulelist.page(filters, int(number) if number.isascii() and number.isdigit() and len(number) < 6 else 1)
    onward = request.GET.copy()
    links = {}
    for name, at in (("before", page.number - 1), ("after", page.number + 1)):
        onward["page"] = str(at)
        links[name] = onward.urlencode() if 1 <= at <= page.pages else ""
    context = {
        "page": page,
        "filters": filters,
        "families": rulelist.FAMILIES.items(),
        "gates": [(key, name) for key, name in rulelist.PLACES.items() if key.startswith("gate.")],
        "phases": [(key, name) for key, name in rulelist.PLACES.items() if key.startswith("phase.")],
        "disciplines": Discipline.choices,
        "sources": [(key, name) for key, (_start, name) in rule_words.SOURCES.items()],
        "uses": rulelist.USES.items(),
        "orders": rulelist.ORDERS.items(),
        **links,
    }
    return render(request, "desk/rules.html", context)
