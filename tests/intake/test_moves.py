"""The table of moves between a request's states, every pair of them."""

from collections.abc import Mapping

import pytest

from intake.choices import RequestState
from intake.models import SetupRequest
from intake.models.requests import WrongState
from intake.services import requests
from tests.intake.rounds import sent, started, tuner

pytestmark = pytest.mark.django_db

#: A draft moves by being sent, and by nothing else; every other state can be closed; what is settled or closed comes
#: back by a new report of the client's; only a request with a sheet goes on to the ride.
ALLOWED: Mapping[str, set[str]] = {
    "draft": {"received"},
    "received": {"reading", "question", "sheet_ready", "settled", "closed"},
    "reading": {"received", "question", "sheet_ready", "settled", "closed"},
    "question": {"received", "reading", "sheet_ready", "closed"},
    "sheet_ready": {"ride", "received", "question", "settled", "closed"},
    "ride": {"received", "sheet_ready", "question", "settled", "closed"},
    "settled": {"received", "closed"},
    "closed": {"received"},
}


def stored(request: SetupRequest) -> SetupRequest:
    return SetupRequest.objects.get(pk=request.pk)


@pytest.mark.parametrize("start", RequestState.values)
@pytest.mark.parametrize("end", RequestState.values)
def test_moves(start: str, end: str) -> None:
    request = started()
    SetupRequest.objects.filter(pk=request.pk).update(state=start)
    request.refresh_from_db()
    if end == start or end in ALLOWED[start]:
        request.move_to(end)
        assert stored(request).state == end
    else:
        with pytest.raises(WrongState):
            request.move_to(end)
        assert stored(request).state == start


def test_the_shop_owes_an_answer_since_the_client_sent_not_since_a_tuner_looked() -> None:
    request = stored(sent().request)
    since = request.waiting_since
    assert since is not None
    by = tuner()
    requests.take(request, by)
    assert stored(request).waiting_since == since
    requests.release(request, by)
    assert stored(request).waiting_since == since
    request.move_to(RequestState.QUESTION)
    assert stored(request).waiting_since is None
