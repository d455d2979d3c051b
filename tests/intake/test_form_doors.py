"""Private links: what opens, what stays shut, and that a shut door tells nothing."""

import pytest
from django.test import Client

from intake import links
from intake.models import OutboxMail, SetupRequest
from intake.services import requests
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db


def path_of(request: SetupRequest, purpose: str = "full") -> str:
    return "/" + links.link(request, purpose).split("/", 3)[3]


def test_the_link_leads_a_draft_to_the_first_step_that_is_not_complete(client):
    request = begin(client)
    fill(client, request, upto="bike")
    fresh = Client()
    answer = fresh.get(path_of(request))
    assert answer.status_code == 302
    assert answer["Location"] == address(request, "rider")
    assert fresh.get(address(request, "rider")).status_code == 200


def test_the_link_leads_a_sent_request_to_its_status_page(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    assert Client().get(path_of(request))["Location"] == f"/requests/{request.reference}/"


def test_every_shut_door_shows_the_same_page(client):
    request = begin(client)
    right = path_of(request)
    wrong = right[:-3] + ("AA" if right[-3:-1] != "AA" else "BB") + "/"
    links.revoke(request, "report")
    stranger = Client()
    pages = [
        stranger.get(url)
        for url in (
            wrong,
            "/r/FP-0000-00/" + right.split("/")[3] + "/",
            "/r/nonsense/x/",
            f"/report/{request.reference}/{right.split('/')[3]}/",
            address(request, "safety"),
            "/requests/FP-0000-00/round/1/safety/",
        )
    ]
    assert {page.status_code for page in pages} == {404}
    assert len({page.content for page in pages}) == 1
    assert not any(name.startswith("far-access-full") for page in pages for name in page.cookies)


def test_a_revoked_link_opens_nothing_and_its_cookie_neither(client):
    request = begin(client)
    old = path_of(request)
    links.revoke(request, "full")
    assert Client().get(old).status_code == 404
    assert client.get(address(request, "safety")).status_code == 404


def test_the_cookie_of_one_request_does_not_open_another(client):
    mine = begin(client)
    other = begin(Client())
    assert client.get(address(mine, "safety")).status_code == 200
    client.cookies["far-access-full"]["path"] = "/"
    assert client.get(address(other, "safety")).status_code == 404


def test_a_report_link_opens_later_rounds_only(client):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    request.move_to("sheet_ready")
    requests.open_next_round(request, [])
    guest = Client()
    answer = guest.get(path_of(request, "report"))
    assert answer["Location"] == address(request, "safety", 2)
    assert guest.get(address(request, "safety", 2)).status_code == 200
    assert guest.get(address(request, "settings", 2)).status_code == 200
    assert guest.get(address(request, "sag", 1)).status_code == 404
    assert guest.get(f"/requests/{request.reference}/").status_code == 404
    assert links.token(request, "full") not in guest.get(address(request, "settings", 2)).content.decode()


def test_a_lost_link_is_mailed_only_to_its_own_address_and_the_answer_is_always_the_same(client):
    request = begin(client)
    save(client, request, "you", FILLED["you"])
    OutboxMail.objects.all().delete()
    fits = client.post("/lost-link/", {"email": "NELL@riders.example", "reference": request.reference.lower()})
    wrong = client.post("/lost-link/", {"email": "other@riders.example", "reference": request.reference})
    unknown = client.post("/lost-link/", {"email": "nell@riders.example", "reference": "FP-0000-00"})
    assert fits.status_code == 200
    assert fits.content == wrong.content == unknown.content
    assert [mail.to for mail in OutboxMail.objects.exclude(kind="nothing")] == ["nell@riders.example"]


def test_a_lost_link_form_left_empty_says_what_is_missing(client):
    answer = client.post("/lost-link/", {"email": "", "reference": "FP"})
    assert answer.status_code == 422
    assert "Please write your e-mail address." in answer.content.decode()


def test_demo_mails_are_shown_in_the_demo_only_and_escaped(client, settings):
    request = begin(client)
    OutboxMail.objects.create(
        request=request,
        kind="x",
        to="a@riders.example",
        subject="Hi",
        body="<b>bold</b> http://127.0.0.1:8000/r/x/y/ &",
    )
    settings.DEMO = False
    assert client.get("/demo/mail/").status_code == 404
    settings.DEMO = True
    text = client.get("/demo/mail/").content.decode()
    assert "<b>bold</b>" not in text
    assert "&lt;b&gt;bold&lt;/b&gt;" in text
    assert 'href="http://127.0.0.1:8000/r/x/y/"' in text


def test_a_message_joins_the_conversation(client):
    request = begin(client)
    answer = client.post(f"/requests/{request.reference}/messages/", {"body": "  It leaks now. \x00"})
    assert answer.status_code == 302
    message = request.messages.get()
    assert (message.body, message.from_client, message.author) == ("It leaks now.", True, None)
    assert client.post(f"/requests/{request.reference}/messages/", {"body": " "}).status_code == 302
    assert request.messages.count() == 1
    assert Client().post(f"/requests/{request.reference}/messages/", {"body": "x"}).status_code == 404


def test_throttles_answer_with_a_page(client, settings):
    settings.THROTTLE_RATES = {**settings.THROTTLE_RATES, "start": "2/hour"}
    codes = [client.post("/start/", {"units": "metric"}, REMOTE_ADDR="203.0.113.9").status_code for _ in range(4)]
    assert codes == [302, 302, 429, 429]
