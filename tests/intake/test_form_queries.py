"""What a step costs the database, opened and saved: so much a step, however often it was saved before."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from intake.steps import PAGES, SHORT_WAY
from tests.intake.at_form import address, begin, fill, fill_short, save
from tests.intake.filled import FILLED, SHORT

pytestmark = [pytest.mark.django_db, pytest.mark.slow]

#: Opening a step: request, round, drafts, what a step starts from while it is empty, and what the catalogue has.
MOST_TO_OPEN, MOST_ON_REVIEW = 12, 44
#: Saving a step as it stands: the same, the draft written, and the checks asked.
MOST_TO_SAVE_AGAIN = 26
#: Adjusters are rows of their own: two for each that was told.
MOST_TO_SAVE_SETTINGS = 44
#: Saving it for the first time, for each thing told.
MOST_FOR_EACH = 2


def asked(ask: Callable[[], object]) -> int:
    """Return how many queries something takes; the marks of transactions and the throttle's counter are none."""
    with CaptureQueriesContext(connection) as queries:
        ask()
    sql = [query["sql"] for query in queries]
    return sum(1 for text in sql if "SAVEPOINT" not in text and "farpaddock_cache" not in text)


@pytest.mark.parametrize("way", ["short", "whole"])
def test_a_step_costs_the_same_however_much_is_on_record(client, way):
    request = begin(client, units="metric" if way == "short" else "imperial", way=way)
    pages, told = (SHORT_WAY, SHORT) if way == "short" else (PAGES, FILLED)
    for step in pages:
        most = MOST_ON_REVIEW if step == "review" else MOST_TO_OPEN
        assert asked(lambda step=step: client.get(address(request, step))) <= most, step
    for step, fields in told.items():
        first = asked(lambda step=step, fields=fields: save(client, request, step, fields))
        assert first <= MOST_TO_SAVE_AGAIN + MOST_FOR_EACH * len(fields), step
        save(client, request, step, fields, seen="as told")
    (fill_short if way == "short" else fill)(client, request)
    opened = {step: asked(lambda step=step: client.get(address(request, step))) for step in pages}
    assert max(opened.values()) <= MOST_ON_REVIEW
    for _again in range(3):
        for step, fields in told.items():
            again = asked(lambda step=step, fields=fields: save(client, request, step, fields))
            assert again <= (MOST_TO_SAVE_SETTINGS if step == "settings" else MOST_TO_SAVE_AGAIN), step
    assert opened == {step: asked(lambda step=step: client.get(address(request, step))) for step in pages}


def test_the_step_before_the_last_question_costs_no_more_when_a_tuner_asks(client):
    request = begin(client, units="metric", way="short")
    fill_short(client, request)
    before = asked(lambda: client.get(address(request, "twelve")))
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    request.move_to("question")
    # One query more: which steps the open questions name.
    assert asked(lambda: client.get(address(request, "twelve"))) <= before + 1
