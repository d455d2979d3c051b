"""Every word a page, a mail or a sheet says comes by gettext: under a language that marks each message, nothing that
people read stands outside the marks but what somebody typed, numbers and units.

The pages are those of the URL table."""

import copy
import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import django
import polib
import pytest
from django.test import Client
from django.urls import NoReverseMatch, URLPattern, URLResolver, get_resolver, reverse
from django.utils import translation
from django.utils.formats import reset_format_cache

from config.management.commands.texts import LOCALES
from intake import links
from intake.choices import Step
from intake.guides import GUIDES
from intake.models import OutboxMail, SetupRequest, User
from reports import html, measuring
from reports.content import build as sheet_content
from reports.demo import dirt_and_old, road
from reports.demo.build import play
from reports.demo.stories import Story
from tests.languages.marks import CODE, TYPED, bare, unmarked, wear, words
from tuning.desk.models import ApprovedDocument, Recommendation

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
ROOT = Path(__file__).resolve().parents[2]

#: What a person types, by its key in a request document.
FREE = frozenset(
    {"name", "words", "doubt_note", "aim", "front_tyre", "rear_tyre", "modifications", "note", "service"}
)
#: Pages that are no texts of ours: the API's own pages and what answers with a file or with data.
OTHER = re.compile(r"^api|^health$|api:|intake:api|_api")


def typed(value: Any, key: str = "") -> Any:
    """Return a document with every word that a person typed made plain to see."""
    if isinstance(value, dict):
        return {name: typed(item, name) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(typed(item, key) for item in value)
    if isinstance(value, str) and (key in FREE or (key in {"found", "mode"} and value.isalpha())):
        return re.sub(r"\S+", lambda found: f"{TYPED}{found[0]}", value)
    return value


def told(story: Story) -> Story:
    document = typed(copy.deepcopy(story.document))
    document["client"]["language"] = CODE
    question = typed(story.question, "words")
    asks = tuple(replace(ask, text=typed(ask.text, "words")) for ask in story.asks)
    reports = [
        replace(
            report,
            words=typed(report.words, "words"),
            followed={key: (done, typed(told, "found")) for key, (done, told) in report.followed.items()},
        )
        for report in story.reports
    ]
    return replace(story, document=document, question=question, asks=asks, reports=reports)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, settings: Any) -> Iterator[set[str]]:
    settings.LANGUAGES = [*settings.LANGUAGES, (CODE, "Ω")]
    settings.FORMAT_MODULE_PATH = ["tests.languages.formats"]
    settings.SHOP_NAME = TYPED
    settings.DEMO = True
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    reset_format_cache()  # Django does so for other settings of formats, not for this one
    yield wear(monkeypatch)
    settings.FORMAT_MODULE_PATH = ["config.formats"]
    reset_format_cache()


@pytest.fixture
def tuner(asked: set[str]) -> User:
    return User.objects.create_user("marit", password="x", display_name=f"{TYPED}marit", role="lead")


@pytest.fixture
def requests(asked: set[str], tuner: User) -> list[SetupRequest]:
    """The demo's stories, their clients speaking the made-up language."""
    made = [play(told(story), tuner) for story in (*road.STORIES, *dirt_and_old.STORIES)]
    return [request for request in made if request]


def patterns(resolver: URLResolver, space: str = "") -> Iterator[tuple[str, URLPattern]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from patterns(entry, f"{space}{entry.namespace}:" if entry.namespace else space)
        elif isinstance(entry, URLPattern) and not OTHER.search(f"{space}{entry.name}"):
            yield f"{space}{entry.name}", entry


def values(requests: list[SetupRequest]) -> dict[str, list[Any]]:
    """Return what an address may be filled with, by the name of its part."""
    return {
        "reference": [request.reference for request in requests],
        "n": [1, 2, 3, 4],
        "step": [*Step.values, *short_steps()],
        "name": [guide.id for guide in GUIDES],
        "paper": ["a4"],
        "number": [0],
        "table": ["targets", "steps", "rules", "texts"],
        "pk": sorted({1, 2, 3, *Recommendation.objects.values_list("pk", flat=True)}),
        "mac": ["none"],
    }


def short_steps() -> list[str]:
    from intake import choices

    return list(getattr(choices, "ShortStep", Step).values)


def crawl(requests: list[SetupRequest], tuner: User) -> dict[str, list[tuple[str, str]]]:
    """Open every address of the URL table as whoever may; return by name of the address what it showed."""
    desk = Client(headers={"accept-language": CODE})
    desk.force_login(tuner)
    shown: dict[str, list[tuple[str, str]]] = defaultdict(list)
    own = {}
    for request in requests:
        own[request.reference] = client = Client(headers={"accept-language": CODE})
        client.get("/" + links.link(request, "full").split("/", 3)[3])
    filling = values(requests)
    for name, entry in patterns(get_resolver()):
        parts = list(entry.pattern.converters)
        if not parts:
            parts = []
        for filled in product(*(filling[part] for part in parts)):
            arguments = dict(zip(parts, filled, strict=True))
            try:
                path = reverse(name, kwargs=arguments)
            except NoReverseMatch:
                continue
            client = (
                desk
                if path.startswith("/desk/")
                else own.get(arguments.get("reference", ""), Client(headers={"accept-language": CODE}))
            )
            answer = client.get(path)
            if answer.status_code == 405:
                break
            if answer.status_code in {200, 503} and answer["Content-Type"].startswith("text/html"):
                shown[name].append((path, answer.content.decode()))
                shown[name] += wrongly_filled(client, path, answer.content.decode(), name)
    return shown


def wrongly_filled(client: Client, path: str, page: str, name: str) -> Iterator[tuple[str, str]]:
    """Yield what a step answers to nothing at all and to what cannot be read."""
    if name != "intake:step":
        return
    names = set(re.findall(r'<(?:input|select|textarea)[^>]* name="([^"]+)"', page)) - {"csrfmiddlewaretoken", "next"}
    for text in ("", "x", "-3", "9999", "1/0", "1.000,5", f"3 {TYPED}stone"):
        answer = client.post(path, dict.fromkeys(names, text) | {"base": "0"})
        if answer.status_code in {200, 409, 422}:
            yield f"POST {path} {text!r}", answer.content.decode()


def known_messages() -> set[str]:
    """Return what is kept for translation: by the .po files of ours, and by Django's."""
    folders = [ROOT / place / "de" for place in LOCALES] + list(Path(django.__file__).parent.glob("**/locale/en"))
    return {
        text
        for folder in folders
        for entry in polib.pofile(str(folder / "LC_MESSAGES" / "django.po"))
        for text in (entry.msgid, entry.msgid_plural)
    }


def test_every_word_of_every_page_comes_by_gettext(
    asked: set[str], requests: list[SetupRequest], tuner: User
) -> None:
    found = defaultdict(set)
    shown = crawl(requests, tuner)
    for name, pages in shown.items():
        for path, page in pages:
            for text in unmarked(page):
                found[name, text].add(path)
    assert {"intake:home", "intake:step", "intake:guide", "reports:status", "desk:case", "desk:draft"} <= set(shown)
    assert not found, "\n".join(f"{name}: {text}   ({min(paths)})" for (name, text), paths in sorted(found.items()))
    lacking = sorted(asked - known_messages())
    assert not lacking, lacking


def test_mails_and_sheets_too(asked: set[str], requests: list[SetupRequest]) -> None:
    found = [
        f"mail {mail.kind}: {text}"
        for mail in OutboxMail.objects.all()
        for text in (bare(mail.subject), *bare(mail.body).splitlines())
        if words(text)
    ]
    documents = [row.content() for row in ApprovedDocument.objects.all()]
    assert documents
    for document in documents:
        assert document["language"] == CODE
        found += [
            f"sheet {document['number']}: {text}" for text in unmarked(html.to_html(sheet_content(document), "A4"))
        ]
    with translation.override(CODE):
        found += [f"measuring sheet: {text}" for text in unmarked(measuring.to_html("A4"))]
    assert OutboxMail.objects.exists()
    assert not found, "\n".join(sorted(set(found)))
