"""WCAG 2.2 AA by axe over every page of the URL configuration, at phone and desktop size, light and dark.

The list is read from the configuration: an address that is neither opened here nor said to be no page fails.
"""

import re
import sqlite3
from collections.abc import Iterator, Sequence

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import URLPattern, URLResolver, get_resolver
from playwright.sync_api import Browser, Page

from intake.choices import Step
from intake.guides import GUIDES
from tests.browser.conftest import DemoHouse
from tests.browser.test_story import log_in

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
WIDTHS = (320, 390, 1280)
#: Addresses that show no page of ours: they take a form, answer with a file or JSON, or lead elsewhere.
NO_PAGE = frozenset(
    """reports:download reports:retry reports:desk_download intake:start intake:open intake:open_report
    intake:language intake:own_language intake:message reports:own_data reports:new_links intake:photo
    intake:desk_photo desk:logout desk:take
    intake:beyond intake:send_answers intake:come_back desk:take_over desk:release desk:settle
    intake:more intake:look intake:forget intake:worker
    desk:say desk:start_draft desk:approve desk:correct health desk:practice_back desk:practice_export desk:anew
    desk:catalogue_csv desk:catalogue_json desk:catalogue_remove
    reports:measuring_sheet""".split()
)


def names(resolver: URLResolver, space: str = "") -> Iterator[str]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver) and (entry.namespace or "").endswith("api"):
            continue  # answers JSON, and its description is not a page of ours
        if isinstance(entry, URLResolver):
            yield from names(entry, f"{space}{entry.namespace}:" if entry.namespace else space)
        elif isinstance(entry, URLPattern):
            yield f"{space}{entry.name}"


@pytest.fixture(scope="module")
def scenario(service: DemoHouse) -> dict[str, str]:
    """References of the demo's requests by client, and the number of an open draft."""
    with sqlite3.connect(service.folder / "farpaddock.sqlite3", timeout=20) as database:
        rows = database.execute(
            "SELECT c.name, r.reference FROM intake_setuprequest r JOIN intake_client c ON c.id = r.client_id"
        )
        # Other tests leave requests without a name.
        found = {name.split()[0]: reference for name, reference in rows if name.strip()}
        draft = database.execute(
            "SELECT d.id FROM desk_recommendation d JOIN intake_round n ON n.id = d.round_id"
            " JOIN intake_setuprequest r ON r.id = n.request_id WHERE d.state = 'draft' AND r.reference = ?",
            [found["Ilan"]],
        ).fetchone()
        asked = database.execute(
            "SELECT q.id FROM intake_question q JOIN intake_round n ON n.id = q.round_id"
            " JOIN intake_setuprequest r ON r.id = n.request_id WHERE r.reference = ? ORDER BY q.id",
            [found["Oskar"]],
        ).fetchone()
    found["draft"], found["asked"] = str(draft[0]), str(asked[0])
    return found


def private_link(service: DemoHouse, page: Page, client: str) -> str:
    """Return a client's private link as it was mailed to them, read off the demo's mail page."""
    links: list[str] = []
    for number in range(1, 6):
        page.goto(f"/demo/mail/?page={number}")
        links += [a.get_attribute("href") or "" for a in page.locator("main a").all()]
    return next(link for link in links if f"/r/{client}/" in link)


def client_pages(scenario: dict[str, str]) -> dict[str, list[tuple[str, str]]]:
    """Return, per URL name, (client whose link opens it, path)."""
    draft, told, ready = scenario["Tam"], scenario["Hanne"], scenario["Perla"]
    steps = [(draft, f"/requests/{draft}/round/1/{step}/") for step in Step.values]
    steps += [
        (ready, f"/requests/{ready}/round/2/{step}/") for step in ("safety", "settings", "sag", "behaviour", "review")
    ]
    statuses = [scenario[name] for name in ("Hanne", "Perla", "Oskar", "Mina", "Dov", "Jorun")]
    asked = scenario["Oskar"]
    return {
        "intake:home": [("", "/")],
        "intake:lost_link": [("", "/lost-link/")],
        "intake:demo_mail": [("", "/demo/mail/")],
        "intake:sent": [(told, f"/requests/{told}/sent/")],
        "intake:step": steps,
        "intake:answer": [(asked, f"/requests/{asked}/questions/{scenario['asked']}/")],
        "reports:erase": [(told, f"/requests/{told}/erase/"), (ready, f"/requests/{ready}/erase/")],
        "intake:photos": [(draft, f"/requests/{draft}/round/1/photos/"), (told, f"/requests/{told}/round/1/photos/")],
        "reports:status": [(reference, f"/requests/{reference}/") for reference in statuses],
        "desk:login": [("", "/desk/login/")],
    }


def guide_pages() -> dict[str, list[str]]:
    return {
        "intake:guides": ["/guide/"],
        "intake:guide_sheet": ["/guide/sheet/"],
        "intake:guide": [f"/guide/{guide.id}/" for guide in GUIDES],
    }


def desk_pages(scenario: dict[str, str]) -> dict[str, list[str]]:
    cases = [scenario[name] for name in ("Hanne", "Ruben", "Mina", "Oskar", "Yusra", "Jorun")]
    return {
        "desk:queue": ["/desk/", "/desk/?q=nothing+like+it"],
        "desk:case": [f"/desk/requests/{reference}/" for reference in cases],
        "desk:rules": ["/desk/rules/", "/desk/rules/?family=cause&q=spring", "/desk/rules/?q=nothing+like+it"],
        "desk:practice": ["/desk/practice/"],
        "desk:practice_table": [
            f"/desk/practice/{table}"
            for table in ("targets/?group=enduro", "steps/", "rules/?group=gate.safe", "texts/?group=ask")
        ],
        "desk:practice_history": ["/desk/practice/history/"],
        "desk:practice_version": ["/desk/practice/history/0/"],
        "desk:practice_import": ["/desk/practice/import/"],
        "desk:catalogue": ["/desk/catalogue/", "/desk/catalogue/?q=nothing+like+it"],
        "desk:catalogue_add": ["/desk/catalogue/add/", f"/desk/catalogue/add/?from={scenario['Hanne']}"],
        "desk:catalogue_bike": ["/desk/catalogue/1/"],
        "desk:catalogue_import": ["/desk/catalogue/import/"],
        "desk:catalogue_trail": ["/desk/catalogue/trail/"],
        "desk:ask": [f"/desk/requests/{scenario[name]}/ask/" for name in ("Ilan", "Yusra")],
        "desk:draft": [f"/desk/requests/{scenario['Ilan']}/draft/{scenario['draft']}/"],
    }


def test_every_address_is_opened_or_said_to_be_no_page(scenario: dict[str, str]) -> None:
    opened = set(client_pages(scenario)) | set(desk_pages(scenario)) | set(guide_pages())
    assert set(names(get_resolver())) == opened | NO_PAGE
    assert not opened & NO_PAGE


def violations(page: Page, where: str) -> list[str]:
    result = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
    return [f"{where}: {found['id']}: {found['nodes'][0]['html'][:200]}" for found in result.response["violations"]]


def inspect(page: Page, path: str, widths: Sequence[int] = WIDTHS) -> list[str]:
    """Open a page at several widths; return axe's violations and whether it has to be pushed sideways."""
    found = []
    for width in widths:
        page.set_viewport_size({"width": width, "height": 900})
        answer = page.goto(path)
        assert answer, path
        assert answer.status == 200, f"{path} answered {answer.status}"
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            found.append(f"{path} at {width} px is wider than the window")
        found += violations(page, f"{path} at {width} px")
    return found


def test_a_fault_would_be_found(chromium: Browser, service: DemoHouse) -> None:
    """The same inspection on a page of ours with a label taken away, and with something too wide."""
    context = chromium.new_context(base_url=service.url, viewport={"width": 320, "height": 900})
    try:
        page = context.new_page()
        page.goto("/lost-link/")
        assert violations(page, "whole") == []
        page.evaluate("document.querySelectorAll('main label').forEach(label => label.remove())")
        assert any("label" in line for line in violations(page, "broken"))
    finally:
        context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_client_pages(chromium: Browser, service: DemoHouse, scenario: dict[str, str], scheme: str) -> None:
    found = []
    context = chromium.new_context(base_url=service.url, color_scheme=scheme)
    try:
        page = context.new_page()
        opened = set()
        for pages in client_pages(scenario).values():
            for reference, path in pages:
                if reference and reference not in opened:
                    page.goto(private_link(service, page, reference))
                    opened.add(reference)
                found += inspect(page, path)
    finally:
        context.close()
    assert not found, "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_guide_pages(chromium: Browser, service: DemoHouse, scheme: str) -> None:
    found = []
    context = chromium.new_context(base_url=service.url, color_scheme=scheme)
    try:
        page = context.new_page()
        for paths in guide_pages().values():
            found += inspect(page, paths[0])
        # The guides are one template: the rest are looked at where the drawings have least room.
        if scheme == "light":
            for path in guide_pages()["intake:guide"][1:]:
                found += inspect(page, path, widths=WIDTHS[:1])
    finally:
        context.close()
    assert not found, "\n".join(found)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_desk_pages(chromium: Browser, service: DemoHouse, scenario: dict[str, str], scheme: str) -> None:
    found = []
    context = chromium.new_context(base_url=service.url, color_scheme=scheme)
    try:
        page = context.new_page()
        log_in(page)
        for paths in desk_pages(scenario).values():
            for path in paths:
                found += inspect(page, path)
    finally:
        context.close()
    assert not found, "\n".join(found)


def test_nothing_is_fetched_from_another_host(
    chromium: Browser, service: DemoHouse, scenario: dict[str, str]
) -> None:
    asked: list[str] = []
    context = chromium.new_context(base_url=service.url)
    try:
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        for path in ("/", "/lost-link/", "/demo/mail/", "/api/docs/"):
            page.goto(path)
        log_in(page)
        page.goto(desk_pages(scenario)["desk:case"][0])
    finally:
        context.close()
    assert asked
    assert [url for url in asked if not re.match(rf"{re.escape(service.url)}/|data:", url)] == []
