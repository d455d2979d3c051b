"""Hostile text in any field of any step: never a crash, never a way out of the page."""

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from intake.steps import PAGES, SHORT_WAY
from tests.intake.at_form import address, base_of, begin
from tests.intake.filled import FILLED, SHORT

pytestmark = pytest.mark.slow

NASTY = st.one_of(
    st.text(max_size=200),
    st.sampled_from(
        [
            "<script>alert(1)</script>",
            '"><img src=x onerror=alert(1)>',
            "{{ 7|add:7 }}",
            "{% include 'base.html' %}",
            "1e999",
            "NaN",
            "∞",
            "١٢٣",
            "1/0",
            "\x00",
            "-0",
            "9" * 300,
            "%(x)s %s",
            "&#0;",
            "\u202e12",
            "' OR 1=1 --",
            "1,234,567.8.9",
        ]
    ),
)


STEPS = [("whole", step) for step in sorted(PAGES)] + [("short", step) for step in sorted(SHORT_WAY)]


@pytest.mark.django_db
@pytest.mark.parametrize(("way", "step"), STEPS)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_text_breaks_a_step(way, step, data):
    client = Client()
    request = begin(client, way=way)
    page = client.get(address(request, step))
    names = [name for group in page.context["groups"] for field in group.fields for name in [field.spec.name]]
    fields = {name: data.draw(NASTY, label=name) for name in names if data.draw(st.booleans())}
    given_fields = {
        **(SHORT if way == "short" else FILLED).get(step, {}),
        **fields,
        "base": data.draw(NASTY),
        "seen": data.draw(NASTY),
    }
    given_fields |= {f"{name}.unit": data.draw(NASTY) for name in names[:2]}
    leaving = data.draw(st.sampled_from(["", "", "go", "back", "look_up", "choose"]))
    given_fields |= {leaving: data.draw(NASTY)} if leaving else {}
    answer = client.post(address(request, step), given_fields)
    assert answer.status_code in {200, 302, 422}
    back = client.get(address(request, step))
    assert back.status_code in {200, 302}
    for page in (answer, back):
        text = page.content.decode()
        assert "<script>" not in text
        assert "<img" not in text
    if not leaving:
        assert base_of(request, step) >= 1
