"""The desk's pages, as tuner, other tuner and stranger."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from intake.models import CatalogueBike, SetupRequest, User
from tests.desk.conftest import PASSWORD
from tuning.desk import queue, services, urls
from tuning.desk.models import ApprovedDocument, Recommendation
from tuning.engine.errors import EngineInputError, Fault

#: What only lead tuners may do; ``test_practice`` shows what they may.
LEADS_ONLY = ("practice_table", "practice_import", "practice_back")


@pytest.mark.parametrize("name", [str(one.name) for one in urls.urlpatterns])
def test_each_address_is_for_tuners_only(
    name: str, desk: Client, other: User, setup_request: SetupRequest, draft: Recommendation
) -> None:
    pattern = next(one for one in urls.urlpatterns if one.name == name)
    given = {"reference": setup_request.reference, "pk": draft.pk, "table": "targets", "number": 0}
    if name.startswith("catalogue_"):
        given["pk"] = CatalogueBike.objects.create(make="Corvane", model="600 S", front="coil", rear="linkage").pk
    address = reverse(f"desk:{name}", kwargs={key: given[key] for key in pattern.pattern.converters})
    stranger = Client()
    for ask in (stranger.get, stranger.post):
        answer = ask(address)
        if name == "login":
            assert answer.status_code == 200
        elif name == "logout":
            assert answer.status_code in {302, 405}
        elif answer.status_code != 405:
            assert answer.status_code == 302
            assert answer["Location"].startswith(reverse("desk:login"))
    assert Recommendation.objects.get().lock == 1
    assert not ApprovedDocument.objects.exists()
    colleague = Client()
    colleague.force_login(other)
    for person in (desk, colleague):
        codes = {person.get(address).status_code, person.post(address, {"body": ""}).status_code}
        if name in LEADS_ONLY:
            assert codes == {403, 405 if name == "practice_back" else 200}
            continue
        assert codes & {200, 302, 422, 409}
        assert not codes & {403, 404, 500}
        person.force_login(other if person is colleague else User.objects.get(username="sanne"))


def test_login_and_logout() -> None:
    User.objects.create_user("sanne", password=PASSWORD)
    client = Client()
    bad = client.post(reverse("desk:login"), {"username": "sanne", "password": "wrong"})
    assert bad.status_code == 200
    good = client.post(reverse("desk:login"), {"username": "sanne", "password": PASSWORD})
    assert good["Location"] == reverse("desk:queue")
    assert client.get(reverse("desk:queue")).status_code == 200
    client.post(reverse("desk:logout"))
    assert client.get(reverse("desk:queue")).status_code == 302


def test_login_is_throttled(settings: Any) -> None:
    settings.THROTTLE_RATES = settings.THROTTLE_RATES | {"login": "3/day"}
    client = Client()
    answers = [client.post(reverse("desk:login"), {"username": "x", "password": "y"}) for _ in range(4)]
    assert [one.status_code for one in answers] == [200, 200, 200, 429]
    assert int(answers[-1]["Retry-After"]) > 0


def references(answer: Any) -> list[str]:
    return [row.request.reference for row in answer.context["page"].rows]


def test_stop_gate_first_then_longest_waiting_over_pages(
    desk: Client, make: Callable[..., SetupRequest], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(queue, "PAGE", 2)
    made = [make() for _ in range(5)]
    now = timezone.now()
    for age, one in enumerate(made):
        SetupRequest.objects.filter(pk=one.pk).update(waiting_since=now - timedelta(hours=age), flag_stop=age == 1)
    seen, address = [], reverse("desk:queue")
    while address:
        answer = desk.get(address)
        seen += references(answer)
        onward = answer.context["onward"]
        address = f"{reverse('desk:queue')}?{onward}" if onward else ""
    assert seen == [made[at].reference for at in (1, 4, 3, 2, 0)]


@pytest.mark.parametrize("token", ["x", "%00", "WzFd:x:y", "a:b:c"])
def test_a_bad_place_shows_the_first_page(desk: Client, setup_request: SetupRequest, token: str) -> None:
    answer = desk.get(f"{reverse('desk:queue')}?after={token}")
    assert references(answer) == [setup_request.reference]
    assert "not known" in answer.content.decode()


def test_search_filters_and_lateness(desk: Client, tuner: User, make: Callable[..., SetupRequest]) -> None:
    first, second = make(), make()
    SetupRequest.objects.filter(pk=first.pk).update(
        tuner=tuner, flag_bottomed=True, flag_stop=False, waiting_since=timezone.now() - timedelta(hours=500)
    )
    SetupRequest.objects.filter(pk=second.pk).update(flag_bottomed=False, flag_stop=True)
    both = [second.reference, first.reference]

    def found(**query: str) -> list[str]:
        return references(desk.get(reverse("desk:queue"), query))

    assert found() == both
    assert found(mine="1") == [first.reference]
    assert found(flag="bottomed") == [first.reference]
    assert found(state="settled") == []
    assert found(q=first.reference[3:]) == [first.reference]
    assert sorted(found(q=first.client.name)) == sorted(both)
    assert sorted(found(q=first.bike.name.upper())) == sorted(both)
    assert found(q="no such thing") == []
    assert "late" in desk.get(reverse("desk:queue")).content.decode()


@pytest.mark.slow
@pytest.mark.parametrize("count", [3, 30])
def test_queue_costs_the_same_however_long(
    desk: Client, make: Callable[..., SetupRequest], django_assert_num_queries: Any, count: int
) -> None:
    for _ in range(count):
        make()
    # session, who it is, the page
    with django_assert_num_queries(3):
        desk.get(reverse("desk:queue"))


def test_case_page_shows_the_round(desk: Client, setup_request: SetupRequest) -> None:
    page = desk.get(reverse("desk:case", args=[setup_request.reference])).content.decode()
    # By hand from the example: 128 mm topped out less 84 mm with the rider aboard.
    assert "44\u00a0±" in page
    for part in ("Pathway", "Travel, front", "rider aboard", "Checks", "Readings", "Settings", "Messages"):
        assert part in page
    assert "style=" not in page
    assert "<script" not in page


def test_nothing_of_a_request_that_was_not_sent(desk: Client, make: Callable[..., SetupRequest]) -> None:
    one = make(send=False)
    assert desk.get(reverse("desk:case", args=[one.reference])).status_code == 404
    assert references(desk.get(reverse("desk:queue"), {"state": ""})) == []


def test_take_ask_and_hand_back(desk: Client, tuner: User, setup_request: SetupRequest) -> None:
    place = [setup_request.reference]
    desk.post(reverse("desk:take", args=place))
    setup_request.refresh_from_db()
    assert (setup_request.state, setup_request.tuner) == ("reading", tuner)
    desk.post(reverse("desk:say", args=place), {"body": "Which line?", "kind": "question", "step": "sag"})
    setup_request.refresh_from_db()
    assert setup_request.state == "question"
    message = setup_request.messages.get()
    assert (message.body, message.step, message.author) == ("Which line?", "sag", tuner)
    desk.post(reverse("desk:release", args=place))
    setup_request.refresh_from_db()
    assert setup_request.tuner is None


def test_settle(desk: Client, setup_request: SetupRequest) -> None:
    desk.post(reverse("desk:settle", args=[setup_request.reference]))
    setup_request.refresh_from_db()
    assert setup_request.state == "settled"


@pytest.mark.parametrize("name", ["take", "release", "settle", "say", "start_draft", "approve", "correct", "logout"])
def test_what_changes_something_cannot_be_fetched(desk: Client, draft: Recommendation, name: str) -> None:
    pattern = next(one for one in urls.urlpatterns if one.name == name)
    given = {"reference": draft.round.request.reference, "pk": draft.pk}
    address = reverse(f"desk:{name}", kwargs={key: given[key] for key in pattern.pattern.converters})
    assert desk.get(address).status_code == 405


def test_a_form_from_elsewhere_is_refused(tuner: User, setup_request: SetupRequest) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(tuner)
    assert client.post(reverse("desk:take", args=[setup_request.reference])).status_code == 403
    setup_request.refresh_from_db()
    assert setup_request.tuner is None


def test_what_cannot_be_derived_is_said_in_a_sentence(
    desk: Client, setup_request: SetupRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_given: Any) -> None:
        raise EngineInputError([Fault("readings.rake", 95.0, "above_physical_limit")])

    monkeypatch.setattr(services, "derive_round", refuse)
    place = [setup_request.reference]
    page = desk.get(reverse("desk:case", args=place))
    assert page.status_code == 200
    assert "readings.rake: This is more than such a thing can measure." in page.content.decode()
    answer = desk.post(reverse("desk:start_draft", args=place), follow=True)
    assert "Nothing can be drafted from these readings" in answer.content.decode()
    assert not Recommendation.objects.exists()
