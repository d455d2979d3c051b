"""German and Spanish in a real browser: long words on a narrow phone, and the choice at the foot of a page."""

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import DemoHouse
from tests.browser.test_accessible import (
    client_pages,
    desk_pages,
    guide_pages,
    private_link,
    scenario,
    violations,
)
from tests.browser.test_story import log_in

__all__ = ["scenario"]

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

NARROW = 320
#: Controls and marks whose words run over their edge, or over the window's.
CUT = """() => [...document.querySelectorAll("button, .button, .chip, summary, legend, h1, h2, h3")].filter((one) => {
  const box = one.getBoundingClientRect();
  return box.width > 1 && !one.closest(".scroll, .visually-hidden")
    && (box.right > innerWidth + 1 || one.scrollWidth > Math.ceil(box.width) + 1);
}).map((one) => one.textContent.trim().slice(0, 60))"""


def in_language(context: BrowserContext, service: DemoHouse, language: str) -> None:
    context.add_cookies([{"name": "far-language", "value": language, "url": service.url}])


def look(page: Page, path: str, *, axe: bool) -> list[str]:
    page.set_viewport_size({"width": NARROW, "height": 900})
    answer = page.goto(path)
    assert answer
    assert answer.status == 200, f"{path} answered {answer.status}"
    found = violations(page, path) if axe else []
    if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
        found.append(f"{path} is wider than the window")
    return found + [f"{path}: cut off: {text}" for text in page.evaluate(CUT)]


@pytest.mark.parametrize("language", ["de", "es"])
def test_pages_are_accessible_and_whole_on_a_narrow_phone(
    chromium: Browser, service: DemoHouse, scenario: dict[str, str], language: str
) -> None:
    found = []
    context = chromium.new_context(base_url=service.url, locale=language)
    try:
        page = context.new_page()
        in_language(context, service, "en")
        log_in(page)
        opened = [pages[:2] for name, pages in client_pages(scenario).items() if name != "intake:step"]
        opened.append(client_pages(scenario)["intake:step"])
        for reference in {reference for pages in opened for reference, _path in pages if reference}:
            page.goto(private_link(service, page, reference))
        in_language(context, service, language)
        # What axe finds in English it finds in any language: it looks at the first page of each kind only.
        kinds = [[path for _reference, path in pages] for pages in opened]
        kinds += [paths[:1] for paths in (*guide_pages().values(), *desk_pages(scenario).values())]
        for paths in kinds:
            for place, path in enumerate(paths):
                found += look(page, path, axe=place == 0)
                assert page.locator("html").get_attribute("lang") == language
    finally:
        context.close()
    assert not found, "\n".join(found)


@pytest.mark.parametrize("script", [True, False])
def test_the_language_is_changed_in_the_middle_of_a_step(chromium: Browser, service: DemoHouse, script: bool) -> None:
    context = chromium.new_context(base_url=service.url, locale="en", java_script_enabled=script)
    try:
        page = context.new_page()
        page.goto("/")
        page.get_by_role("button", name="Deutsch").click()
        expect(page.locator("html")).to_have_attribute("lang", "de")
        page.get_by_role("button", name="Das ganze Formular beginnen").click()
        expect(page.locator("html")).to_have_attribute("lang", "de")
        page.goto(page.url.replace("/safety/", "/rider/"))
        weight = page.locator("input[name='rider_mass']")
        weight.fill("84,5")
        page.get_by_role("button", name="Español").click()
        expect(page.locator("html")).to_have_attribute("lang", "es")
        assert page.url.endswith("/rider/")
        expect(weight).to_have_value("84,5")
    finally:
        context.close()
