"""Private links and the cookie they are swapped for."""

import pytest
from django.http import Http404, HttpResponse
from django.test import RequestFactory

from intake import access, links
from intake.choices import Purpose
from tests.intake.rounds import started

pytestmark = pytest.mark.django_db


def test_tokens_are_hmac_sha256_and_stay_what_was_printed(settings):
    # Worked with the openssl command: dgst -sha256 -hmac KEY over the text, first 18 bytes, base64 for addresses.
    settings.LINK_KEY = "a key only for this test"
    assert links.mac("FP-7K3M-2Q", "full", 1) == "o3yVpJIPGadvtiTUOGfVXqw9"
    assert links.mac("FP-7K3M-2Q", "report", 3) == "oDJAGCQ4t5BI-ykym8T1FVQq"


def test_a_link_opens_its_own_request_and_purpose_only():
    mine, other = started(), started()
    full, report = links.token(mine, Purpose.FULL), links.token(mine, Purpose.REPORT)
    assert links.verify(mine.reference, full, Purpose.FULL) == mine
    assert links.verify(mine.reference, report, Purpose.REPORT) == mine
    assert links.verify(mine.reference, report, Purpose.FULL) is None
    assert links.verify(mine.reference, full, Purpose.REPORT) is None
    assert links.verify(other.reference, full, Purpose.FULL) is None


@pytest.mark.parametrize("given", ["", "x", "ü" * 24, "\udcff", "A" * 5000])
def test_a_garbled_token_opens_nothing(given):
    assert links.verify(started().reference, given, Purpose.FULL) is None


@pytest.mark.parametrize("reference", ["", "FP-0000-00", "fp-7k3m-2q", "FP-7K3M-2Q\n", "' OR 1=1 --"])
def test_an_unknown_reference_opens_nothing_with_the_token_made_for_it(reference):
    assert links.verify(reference, links.mac(reference, Purpose.FULL, 0), Purpose.FULL) is None


def test_wrong_and_unknown_take_the_same_path(monkeypatch):
    compared = []
    compare = links.hmac.compare_digest
    monkeypatch.setattr(links.hmac, "compare_digest", lambda a, b: compared.append(len(a)) or compare(a, b))
    links.verify(started().reference, "x", Purpose.FULL)
    links.verify("FP-0000-00", "x", Purpose.FULL)
    links.verify("nonsense", "x", Purpose.FULL)
    assert compared == [24, 24, 24]


def test_revoking_one_purpose_leaves_the_other():
    request = started()
    full, report = links.token(request, Purpose.FULL), links.token(request, Purpose.REPORT)
    links.revoke(request, Purpose.REPORT)
    assert links.verify(request.reference, report, Purpose.REPORT) is None
    assert links.verify(request.reference, full, Purpose.FULL) == request
    assert links.token(request, Purpose.REPORT) != report


def test_the_address_is_absolute_and_tells_purposes_apart(settings):
    settings.PUBLIC_URL = "https://shop.example"
    request = started()
    assert links.link(request, Purpose.FULL).startswith(f"https://shop.example/r/{request.reference}/")
    assert links.link(request, Purpose.REPORT).startswith(f"https://shop.example/report/{request.reference}/")


@pytest.mark.parametrize("https", [True, False])
def test_the_cookie_is_kept_from_scripts_and_other_requests(settings, https):
    settings.HTTPS = https
    request = started()
    response = HttpResponse()
    access.grant(response, request, Purpose.FULL)
    (cookie,) = response.cookies.values()
    assert cookie["httponly"] is True
    assert cookie["samesite"] == "Lax"
    assert cookie["path"] == f"/requests/{request.reference}/"
    assert bool(cookie["secure"]) is https
    assert cookie["max-age"] > 300 * 24 * 3600


def _view(*purposes):
    @access.with_request(purposes=purposes)
    def view(request, setup_request):
        return HttpResponse(f"{setup_request.reference} {request.access_purpose}")

    return view


def _asked(request, *purposes):
    asked = RequestFactory().get("/")
    for purpose in purposes:
        asked.COOKIES[f"{access.COOKIE}-{purpose}"] = links.token(request, purpose)
    return asked


def test_a_view_gets_the_request_the_cookie_is_for():
    request = started()
    answer = _view(Purpose.FULL)(_asked(request, Purpose.FULL), request.reference)
    assert answer.content.decode() == f"{request.reference} full"


def test_scanning_the_sheets_code_takes_nothing_away():
    request = started()
    answer = _view(Purpose.FULL, Purpose.REPORT)(_asked(request, Purpose.REPORT, Purpose.FULL), request.reference)
    assert answer.content.decode().endswith(" full")


def test_a_report_cookie_does_not_open_what_is_for_the_whole_request():
    request = started()
    with pytest.raises(Http404):
        _view(Purpose.FULL)(_asked(request, Purpose.REPORT), request.reference)


def test_a_report_token_in_the_other_cookie_does_not_either():
    request = started()
    asked = RequestFactory().get("/")
    asked.COOKIES[f"{access.COOKIE}-full"] = links.token(request, Purpose.REPORT)
    with pytest.raises(Http404):
        _view(Purpose.FULL)(asked, request.reference)


def test_no_cookie_and_another_requests_cookie_open_nothing():
    mine, other = started(), started()
    view = _view(Purpose.FULL, Purpose.REPORT)
    for asked in (RequestFactory().get("/"), _asked(other, Purpose.FULL, Purpose.REPORT)):
        with pytest.raises(Http404):
            view(asked, mine.reference)
