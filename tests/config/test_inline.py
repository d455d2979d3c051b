"""Every page of the URL configuration, as somebody who may see it gets it, runs and styles nothing inline."""

import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import get_resolver, reverse

from intake import access
from intake.choices import Purpose, Step
from intake.document import accept
from intake.guides import GUIDES
from intake.models import SetupRequest, User
from tests.config.test_headers import names
from tuning.desk import casefile, services

EXAMPLE = Path(__file__).resolve().parents[2] / "reports" / "examples" / "request.json"


class Inline(HTMLParser):
    """Notes what a strict policy would not let run: inline scripts, styles, handlers, script addresses."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "style" or (tag == "script" and not given.get("src")):
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            if name == "style" or name.startswith("on") or (value or "").strip().lower().startswith("javascript:"):
                self.found.append(f"<{tag} {name}={value!r}>")


def inline_in(page: str) -> list[str]:
    parser = Inline()
    parser.feed(page)
    return parser.found


@pytest.mark.parametrize(
    "page",
    [
        "<style>a{}</style>",
        "<script>1</script>",
        '<p style="color:red">',
        '<a href=" JavaScript:x">',
        "<b onclick=x>",
    ],
)
def test_the_search_finds_each_kind(page: str) -> None:
    assert inline_in(page)


def test_the_search_lets_pass_what_the_policy_does() -> None:
    assert not inline_in('<script src="/static/a.js"></script><svg><path fill="none"/></svg><link rel="stylesheet">')


@pytest.fixture
def shown(settings: Any, tmp_path: Path, db: None) -> tuple[Client, SetupRequest, dict[str, Any]]:
    """A browser that may see everything of one request, which has a draft."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    request = accept(json.loads(EXAMPLE.read_text(encoding="utf-8")))
    tuner = User.objects.create_user("sanne", password="a-long-pass-phrase", is_staff=True)
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    browser = Client()
    browser.force_login(tuner)
    browser.cookies[f"{access.COOKIE}-{Purpose.FULL}"] = access.links.token(request, Purpose.FULL)
    return browser, request, {"draft": draft, "tuner": tuner}


def pages(request: SetupRequest, draft: int) -> set[str]:
    """Return the address of every page, the form's steps each by themselves."""
    found = set()
    for name, entry in names(get_resolver()):
        wanted = set(getattr(entry.pattern, "converters", {}))
        for step in Step.values if "step" in wanted else [""]:
            told = {"reference": request.reference, "n": 1, "step": step, "pk": draft, "mac": "none", "job": "1"}
            told |= {"name": GUIDES[0].id, "photo": "1", "paper": "a4", "table": "rules", "number": 0}
            found.add(reverse(name, kwargs={key: told[key] for key in wanted}))
    return found


def test_no_page_holds_anything_inline(shown: tuple[Client, SetupRequest, dict[str, Any]]) -> None:
    browser, request, made = shown
    seen = set()
    for address in sorted(pages(request, made["draft"].pk)):
        answer = browser.get(address)
        if answer["Content-Type"].startswith("text/html"):
            assert inline_in(answer.content.decode()) == [], address
            if answer.status_code == 200:
                seen.add(address)
    own = f"/requests/{request.reference}/"
    expected = {
        "/",
        "/lost-link/",
        "/guide/",
        "/guide/sheet/",
        f"/guide/{GUIDES[0].id}/",
        own,
        "/desk/",
        f"/desk{own}",
        f"/desk{own}draft/{made['draft'].pk}/",
        "/desk/practice/",
        "/desk/practice/rules/",
        "/desk/practice/history/0/",
        "/api/docs/",
    }
    assert expected <= seen
