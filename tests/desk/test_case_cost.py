"""What a case page asks of the database: the same few queries, however much the client wrote."""

import copy

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from intake.document import accept
from intake.models import SetupRequest, User
from intake.services.readings import record_reading
from reports.demo.build import play
from reports.demo.road import SOFT_AND_WOUND_UP, THREE_ROUNDS

pytestmark = pytest.mark.django_db

#: Session and user (2), request, its rounds, readings, settings and adjusters, answers, symptoms, messages, events,
#: drafts, documents with jobs and sheets, the stored derivation, the shop's practice: each asked once; similar
#: settled cases in three, by model, class and the class beside it.
MOST = 28


@pytest.fixture
def tuner(client: Client) -> User:
    user = User.objects.create_user("ane", password="a-long-pass-phrase")
    client.force_login(user)
    return user


def cost(client: Client, request: SetupRequest) -> int:
    client.get(f"/desk/requests/{request.reference}/")  # the first look derives and stores
    with CaptureQueriesContext(
        connection,
    ) as queries:
        answer = client.get(f"/desk/requests/{request.reference}/")
    assert answer.status_code == 200
    return len(queries)


def test_more_readings_cost_no_more_queries(client: Client, tuner: User) -> None:
    few = accept(copy.deepcopy(SOFT_AND_WOUND_UP.document))
    before = cost(client, few)
    for quantity, end, text in (("tyre_pressure", "front", "2.3"), ("tyre_pressure", "rear", "2.5"),
                                ("bodywork_gap", "front", "180"), ("wheel_radius", "front", "295")):  # fmt: skip
        unit = "bar" if quantity == "tyre_pressure" else "mm"
        record_reading(few.round(), quantity=quantity, end=end, text=text, unit=unit, method="tape")
    assert cost(client, few) == before
    assert before <= MOST


def test_three_rounds_cost_no_more_than_one_query_a_list(client: Client, tuner: User) -> None:
    one = cost(client, accept(copy.deepcopy(SOFT_AND_WOUND_UP.document)))
    settled = play(THREE_ROUNDS, tuner)
    assert settled is not None
    # Recommendations with their documents, jobs and sheets are there now: one query a list, not one a row; and to
    # look back, the rounds before with their sheets, what was set and felt, and whether this one was sent again; what
    # became of each change, of all rounds and of this one; and what every round shows in the picture: its readings,
    # settings, adjusters, answers and derivation, and the practice whose bands they are held against.
    assert cost(client, settled) <= one + 3 + 5 + 2 + 6
