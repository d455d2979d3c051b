"""The short way in a real browser: few enough things to tell for ten minutes, nothing lost, fit for everybody."""

from collections.abc import Iterator
from itertools import pairwise

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import PHONE, DemoHouse
from tests.browser.phone import press_save, ready
from tests.browser.test_accessible import WIDTHS, violations
from tests.browser.test_story import fill_in
from tests.intake.filled import SHORT, SHORT_STEPS

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

#: What ten minutes leave room for: the gate's nine, twelve numbers and what one of them is counted in, three
#: complaints with how bad each is, a line of one's own, seven things of rider and bike, the consent.
MOST_TO_TELL = 9 + 13 + 6 + 1 + 7 + 1
#: A page of the form on a phone; longer, and its button is never found.
LONGEST_PAGE = 5200


@pytest.fixture
def plain(chromium: Browser, service: DemoHouse) -> Iterator[BrowserContext]:
    """A phone with JavaScript off."""
    context = chromium.new_context(base_url=service.url, viewport=PHONE, java_script_enabled=False)
    yield context
    context.close()


def begin(page: Page) -> str:
    """Start the short way; return the request's address."""
    page.goto("/")
    page.get_by_role("button", name="Start the short way").click()
    page.wait_for_load_state()
    return page.url.rsplit("/", 2)[0]


def looked_at(page: Page, step: str) -> list[str]:
    """Return what axe finds, and what has to be pushed sideways, at every width, light and dark."""
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 844})
            if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
                found.append(f"{step} at {width} px is wider than the window")
            found += violations(page, f"{step} at {width} px, {scheme}")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    return found


def test_twelve_numbers_and_three_complaints_are_sent_from_a_phone(phone: BrowserContext) -> None:
    page = phone.new_page()
    form = begin(page)
    ready(page)
    told, found = 0, []
    for step, after in pairwise((*SHORT_STEPS, "review")):
        assert page.url == f"{form}/{step}/"
        assert page.evaluate("document.documentElement.scrollHeight") < LONGEST_PAGE, step
        found += looked_at(page, step)
        fill_in(page, SHORT[step])
        told += len(SHORT[step])
        if step == "twelve":
            expect(page.locator("#tally-text")).to_have_text("12 of 12 measured")
        press_save(page, after)
    found += looked_at(page, "review")
    page.locator("[name=consent]").check()
    told += 1
    page.get_by_role("button", name="Send to the tuner").click()
    expect(page.locator("main")).to_contain_text("We have your numbers")
    assert told <= MOST_TO_TELL
    assert found == []


def test_without_javascript_back_and_every_way_out_keep_what_was_typed(plain: BrowserContext) -> None:
    page = plain.new_page()
    form = begin(page)
    for step in ("safety", "basics"):
        fill_in(page, SHORT[step])
        page.get_by_role("button", name="Save and go on").click()
        page.wait_for_load_state()
    half = {"length_topped_out.front": "130", "length_topped_out.rear": "two hands and a bit"}
    fill_in(page, half)
    page.get_by_role("button", name="Back", exact=True).click()
    assert page.url == f"{form}/basics/"
    page.get_by_role("button", name="Twelve numbers").click()
    assert page.url == f"{form}/twelve/"
    for name, text in half.items():
        expect(page.locator(f'[name="{name}"]')).to_have_value(text)
    expect(page.locator("#tally-text")).to_have_text("2 of 12 measured")
    fill_in(page, {"rider_mass": "84"})
    page.get_by_role("button", name="Tell us more").click()
    page.goto(f"{form}/sag/")
    for name, text in half.items():
        expect(page.locator(f'[name="{name}"]')).to_have_value(text)
    page.goto(f"{form}/rider/")
    expect(page.locator('[name="rider_mass"]')).to_have_value("84")
    expect(page.locator("nav.steps li")).to_have_count(9)
