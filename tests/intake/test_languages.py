"""Which language a page speaks: the reader's choice, else the client's on their own pages, else the browser's."""

import re

import pytest
from django.conf import settings as django_settings
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from intake.models import SetupRequest, User
from intake.services import requests
from tests.intake.at_form import address, begin, fill, save
from tests.intake.filled import FILLED
from tests.intake.test_form_doors import path_of

pytestmark = pytest.mark.django_db
COOKIE = django_settings.LANGUAGE_COOKIE_NAME


def spoken(answer) -> str:
    """Return the language a page says it is in; its header has to say the same."""
    found = re.search(rb'<html lang="([a-z-]+)">', answer.content)
    assert found, answer.content[:300]
    assert answer["Content-Language"] == found[1].decode()
    return found[1].decode()


def sent_page(client: Client, request: SetupRequest) -> str:
    return client.get(f"/requests/{request.reference}/").content.decode()


def choose(client: Client, code: str, back: str = "/", request: SetupRequest | None = None):
    place = reverse("intake:own_language", args=[request.reference]) if request else reverse("intake:language")
    return client.post(place, {"language": code, "next": back})


def test_there_are_three_languages_each_by_its_own_name(client):
    page = client.get("/").content.decode()
    for code, name in (("en", "English"), ("de", "Deutsch"), ("es", "Español")):
        assert re.search(rf'<button[^>]* value="{code}" lang="{code}"[^>]*>{name}</button>', page)


ASKED = [("de-AT,de;q=0.9,en;q=0.5", "de"), ("es-MX", "es"), ("fr", "en"), ("", "en")]


@pytest.mark.parametrize(("asked", "told"), ASKED)
def test_without_a_choice_the_browser_says(client, asked, told):
    assert spoken(client.get("/", headers={"accept-language": asked})) == told


def test_a_choice_holds_on_every_page_and_goes_before_what_the_browser_says(client):
    answer = choose(client, "es", "/guide/?x=1")
    assert (answer.status_code, answer["Location"]) == (302, "/guide/?x=1")
    cookie = answer.cookies[COOKIE]
    assert (cookie["max-age"], cookie["samesite"], cookie["httponly"]) == (365 * 24 * 3600, "Lax", True)
    for path in ("/", "/guide/", "/lost-link/", "/desk/login/", "/nothing-here/"):
        assert spoken(client.get(path, headers={"accept-language": "de"})) == "es", path


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example/", "", "javascript:alert(1)"])
def test_it_leads_nowhere_else(client, back):
    assert choose(client, "de", back)["Location"] == "/"


@pytest.mark.parametrize("code", ["fr", "", "de-AT", "../x", "\x00"])
def test_a_language_that_is_not_spoken_is_not_kept(client, code):
    request = begin(client)
    for own in (None, request):
        answer = choose(client, code, "/", own)
        assert answer.status_code == 302
        assert COOKIE not in answer.cookies
    request.client.refresh_from_db()
    assert request.client.language == "en"


def test_another_sites_form_is_refused(client):
    answer = client.post(reverse("intake:language"), {"language": "de"}, headers={"sec-fetch-site": "cross-site"})
    assert answer.status_code == 403
    assert COOKIE not in answer.cookies


def test_a_request_keeps_the_language_it_was_begun_in():
    client = Client(headers={"accept-language": "de"})
    assert begin(client).client.language == "de"
    choose(client, "es")
    assert begin(client).client.language == "es"


def test_a_choice_on_an_own_page_is_kept_with_the_client(client):
    request = begin(client)
    here = address(request, "safety")
    assert f'action="{reverse("intake:own_language", args=[request.reference])}"' in sent_page(client, request)
    assert choose(client, "de", here, request)["Location"] == here
    request.client.refresh_from_db()
    assert request.client.language == "de"
    assert spoken(client.get(here)) == "de"


def test_a_choice_in_the_middle_of_a_step_loses_nothing(client):
    request = begin(client)
    here = address(request, "rider")
    assert '<button type="submit" form="step-form" name="speak" value="de"' in client.get(here).content.decode()
    answer = save(client, request, "rider", {"rider_mass": "eighty", "luggage_mass": "12,5"}, speak="de")
    assert (answer.status_code, answer["Location"]) == (302, here)
    page = client.get(here)
    assert spoken(page) == "de"
    assert 'value="eighty"' in page.content.decode()
    assert 'value="12,5"' in page.content.decode()
    request.client.refresh_from_db()
    assert request.client.language == "de"


def test_a_choice_on_an_untouched_step_saves_and_asks_nothing(client):
    request = begin(client)
    here = address(request, "safety")
    assert save(client, request, "safety", {}, speak="es")["Location"] == here
    assert not request.round().drafts.exists()
    page = client.get(here)
    assert spoken(page) == "es"
    assert 'aria-invalid="true"' not in page.content.decode()


def test_the_language_of_mails_and_sheets_stands_among_units_and_paper(client):
    request = begin(client)
    requests.describe_client(request, language="de-AT")
    choose(client, "en")
    page = client.get(address(request, "you")).content.decode()
    assert '<option value="de" selected>Deutsch</option>' in page
    assert save(client, request, "you", {**FILLED["you"], "language": "es"}).status_code == 302
    request.client.refresh_from_db()
    assert request.client.language == "es"
    assert spoken(client.get(address(request, "bike"))) == "en"
    assert save(client, request, "you", {**FILLED["you"], "language": "fr"}).status_code == 422


def test_a_choice_elsewhere_is_the_browsers_alone(client):
    request = begin(client)
    choose(client, "de")
    request.client.refresh_from_db()
    assert request.client.language == "en"


def test_a_private_link_on_a_new_device_speaks_the_clients_language():
    request = begin(Client(headers={"accept-language": "de"}))
    fresh = Client(headers={"accept-language": "en"})
    answer = fresh.get(path_of(request))
    assert answer.cookies[COOKIE]["max-age"] == ""  # until the browser is closed: nobody chose anything
    assert spoken(fresh.get(answer["Location"])) == "de"
    assert spoken(fresh.get("/guide/")) == "de"
    # A choice made before goes first.
    chosen = Client()
    choose(chosen, "es")
    answer = chosen.get(path_of(request))
    assert COOKIE not in answer.cookies
    assert spoken(chosen.get(answer["Location"])) == "es"


def test_nobody_else_changes_a_clients_language(client, django_user_model):
    request = begin(client)
    fill(client, request)
    save(client, request, "review", {"consent": "on"})
    request.refresh_from_db()
    stranger = Client()
    assert choose(stranger, "de", "/", request).status_code == 404
    # The link on the sheet may be in other hands.
    request.move_to("sheet_ready")
    requests.open_next_round(request, [])
    mechanic = Client()
    mechanic.get(path_of(request, "report"))
    answer = choose(mechanic, "de", "/", request)
    assert answer.cookies[COOKIE].value == "de"
    # A tuner may look with the client's link.
    tuner = Client()
    tuner.force_login(django_user_model.objects.create_user("sanne", password="a-long-pass-phrase"))
    opened = tuner.get(path_of(request))
    assert COOKIE not in opened.cookies  # the desk stays in the tuner's own language
    assert choose(tuner, "es", "/", request).cookies[COOKIE].value == "es"
    request.client.refresh_from_db()
    assert request.client.language == "en"


def test_an_own_choice_needs_the_pages_token():
    client = Client(enforce_csrf_checks=True)
    begun = begin(Client())
    client.get(path_of(begun))
    assert choose(client, "de", "/", begun).status_code == 403


def test_a_tuner_reads_the_desk_in_their_own_language(client):
    asked = begin(Client(headers={"accept-language": "de"}))
    tuner = User.objects.create_user("sanne", password="a-long-pass-phrase")
    desk = Client()
    desk.force_login(tuner)
    choose(desk, "es")
    assert spoken(desk.get(f"/desk/requests/{asked.reference}/")) == "es"


def test_a_language_stored_by_the_api_is_answered_in_the_nearest_we_speak(client):
    request = begin(client)
    for stored, told in (("de-AT", "de"), ("fr", "en")):
        requests.describe_client(request, language=stored)
        assert spoken(client.get(address(request, "safety"), headers={"accept-language": "es"})) == told


class Proxy:
    """A cache for everybody, as RFC 9111 has it: an answer is given again where the headers named by Vary agree."""

    def __init__(self) -> None:
        self.kept: dict[str, list[tuple[dict[str, str], HttpResponse]]] = {}
        self.given_again = 0

    def get(self, path: str, headers: dict[str, str]) -> HttpResponse:
        for wanted, answer in self.kept.get(path, []):
            if all(headers.get(name, "") == value for name, value in wanted.items()):
                self.given_again += 1
                return answer
        answer = Client().get(path, headers=headers)
        if "public" in answer["Cache-Control"]:
            names = [name.strip().lower() for name in answer["Vary"].split(",")]
            self.kept.setdefault(path, []).append(({name: headers.get(name, "") for name in names}, answer))
        return answer


@pytest.mark.parametrize("path", ["/guide/", "/guide/sheet/"])
def test_a_cache_for_everybody_never_mixes_languages(path):
    proxy = Proxy()
    for _turn in range(2):
        assert spoken(proxy.get(path, {"accept-language": "de"})) == "de"
        assert spoken(proxy.get(path, {"accept-language": "en"})) == "en"
        assert spoken(proxy.get(path, {"accept-language": "en", "cookie": f"{COOKIE}=de"})) == "de"
        assert spoken(proxy.get(path, {"accept-language": "de", "cookie": f"{COOKIE}=es"})) == "es"
    assert proxy.given_again == 4
    assert not any(answer.cookies for kept in proxy.kept.values() for _names, answer in kept)


def test_the_case_tells_the_clients_language():
    asked = begin(Client(headers={"accept-language": "de"}))
    assert asked.client.speaks() == "Deutsch"
    for code, told in (("es-MX", "Español"), ("fr", "fr")):
        asked.client.language = code
        assert asked.client.speaks() == told
