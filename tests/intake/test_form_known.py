"""A request that came by the API opens in the form with what it holds, and saving takes nothing back."""

import pytest
from django.test import Client

from intake import access
from intake.document import accept
from intake.models import Adjuster, Answer, Reading, Setting, Symptom
from reports.demo.road import SOFT_AND_WOUND_UP
from tests.intake.at_form import address, save

pytestmark = pytest.mark.django_db


def as_posted(page) -> dict[str, str]:
    """Return what a browser would send back from a page that nobody touched."""
    fields = {}
    for group in page.context["groups"]:
        for field in group.fields:
            if field.spec.kind == "complaint" and not field.value:
                continue
            fields[field.spec.name] = field.value
            if field.unit:
                fields[f"{field.spec.name}.unit"] = field.unit
            fields |= {f"{field.spec.name}.{name}": value for name, value in field.more.items()}
    return fields


def on_record() -> dict[str, object]:
    return {
        "readings": set(
            Reading.objects.filter(is_current=True).values_list(
                "quantity", "end", "leg", "load_state", "approach", "text", "unit", "value"
            )
        ),
        "settings": {
            (key, round(value, 6))
            for key, value in Setting.objects.filter(is_current=True).values_list("adjuster__key", "value")
        },
        "adjusters": {
            (key, unit, counted, kept, round(step or 0, 2))
            for key, unit, counted, kept, step in Adjuster.objects.values_list(
                "key", "unit", "counted_from", "range_counted", "step_mm"
            )
        },
        "answers": set(Answer.objects.values_list("question", "end", "value")),
        "symptoms": set(Symptom.objects.values_list("symptom", "end", "severity")),
    }


@pytest.mark.parametrize("step", ["safety", "you", "bike", "rider", "settings", "sag", "travel", "behaviour"])
def test_saving_an_untouched_step_changes_nothing(step):
    request = accept({**SOFT_AND_WOUND_UP.document, "send": False})
    client = Client()
    holder = client.get("/")
    access.grant(holder, request, "full")
    client.cookies.update(holder.cookies)
    before = on_record()
    assert before["readings"]
    page = client.get(address(request, step))
    answer = save(client, request, step, as_posted(page))
    assert answer.status_code in {200, 302}, [(f.spec.name, f.errors) for f in answer.context["problems"]]
    after = on_record()
    for what, rows in before.items():
        assert rows == after[what], what
    assert client.get(address(request, "review")).status_code == 200
