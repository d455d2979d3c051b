"""The checks speak while one types: beside the field, politely, and nothing is written."""

import gzip
import re
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from config.statics import lean
from intake.steps import SHORT_WAY
from tests.browser import phone as at
from tests.browser.conftest import DemoHouse
from tests.browser.test_accessible import violations

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

#: Fork legs in mm: hanging free, the bike alone, the rider aboard.
L0, L1, L2 = "length_topped_out.front", "length_bike_alone.front", "length_rider_aboard.front"
ERROR = ".error"


def leave(page: Page, name: str, text: str) -> None:
    """Type into a field and go on to the next, as with the phone's own key."""
    page.fill(f'[name="{name}"]', text)
    page.keyboard.press("Tab")


def said(page: Page) -> str:
    return page.locator("#say").inner_text()


def test_a_question_comes_when_the_field_is_left_and_goes_when_it_is_put_right(
    phone: BrowserContext, service: DemoHouse
) -> None:
    page = phone.new_page()
    noted = at.complaints(page)
    reference = at.begin(page, service)
    at.open_step(page, reference, "sag")
    leave(page, L0, "120")
    # More than topped out: 130 mm alone against 120 mm hanging free.
    leave(page, L1, "130")
    question = page.locator(".live-question")
    expect(question).to_be_visible()
    assert "L1" in question.inner_text()
    # In the group whose fields it is about, not in that of the rear.
    assert question.evaluate(f"e => e.closest('fieldset').contains(document.querySelector('[name=\"{L1}\"]'))")
    expect(page.locator("#say")).to_contain_text(question.locator("li").inner_text())
    assert page.locator("#say").get_attribute("role") == "status"
    # Tab went on, and nothing took the focus from where it went.
    assert page.evaluate("document.activeElement.closest('.notice')") is None
    assert at.saved(service, reference, "sag") == []
    assert violations(page, "with a question") == []

    leave(page, L1, "100")
    expect(question).to_have_count(0)
    expect(page.locator("#say")).to_have_text("Nothing to ask about any more.")
    assert at.saved(service, reference, "sag") == []
    assert noted == []


def test_the_question_is_the_one_that_saving_asks(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "sag")
    for name, text in ((L0, "120"), (L1, "130")):
        leave(page, name, text)
    live = page.locator(".live-question li").inner_text()
    page.get_by_role("button", name="Save and go on").click()
    alert = page.locator("[role=alert]")
    expect(alert).to_contain_text(live)
    expect(alert).to_be_focused()
    at.ready(page)
    assert at.typed_in(at.saved(service, reference, "sag")[-1])[L1] == "130"
    # Put once; pressed again it goes on.
    at.press_save(page, "travel")


def test_only_fields_that_were_left_are_marked(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "sag")
    page.fill(f'[name="{L0}"]', "about")
    expect(page.locator(ERROR)).to_have_count(0)
    with page.expect_response(re.compile("/look/$")):
        page.keyboard.press("Tab")
    error = page.locator(ERROR)
    expect(error).to_contain_text("about")
    field = page.locator(f'[name="{L0}"]')
    expect(field).to_have_attribute("aria-invalid", "true")
    assert error.get_attribute("id") in (field.get_attribute("aria-describedby") or "").split()
    expect(page.locator("#say")).to_contain_text("about")
    leave(page, L0, "120,5")
    expect(error).to_have_count(0)
    assert field.get_attribute("aria-invalid") is None
    assert field.get_attribute("aria-describedby") == field.get_attribute("id") + "-hint"


def test_nothing_is_called_missing_before_the_button_is_pressed(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "bike")
    page.focus("[name=name]")
    with page.expect_response(re.compile("/look/$")):
        page.keyboard.press("Tab")
    with page.expect_response(re.compile("/look/$")):
        leave(page, "year", "2016")
    expect(page.locator(ERROR)).to_have_count(0)


def test_a_yes_at_the_stop_gate_is_answered_at_once(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    at.begin(page, service)
    page.locator('[name="leak"][value="yes"]').check()
    stop = page.locator("#live-stopped")
    expect(stop).to_contain_text("Do not ride until this is seen to")
    expect(page.locator("#say")).to_contain_text(stop.locator("li").inner_text())
    page.locator('[name="leak"][value="no"]').check()
    expect(stop).to_have_count(0)


def test_an_error_of_the_page_itself_goes_when_it_is_put_right(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "sag")
    page.fill(f'[name="{L0}"]', "about")
    page.get_by_role("button", name="Save and go on").click()
    expect(page.locator("#problems")).to_be_focused()
    expect(page.locator(ERROR)).to_have_count(1)
    leave(page, L0, "120")
    expect(page.locator(ERROR)).to_have_count(0)


def test_no_step_has_anything_to_complain_of_on_the_console(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    noted = at.complaints(page)
    reference = at.begin(page, service)
    for step in ("you", "bike", "rider", "settings", "sag", "travel", "behaviour", "review"):
        at.open_step(page, reference, step)
    page.goto(f"/requests/{reference}/round/1/photos/")
    page.wait_for_load_state("networkidle")
    short = at.begin(page, service, "short")
    for step in SHORT_WAY:
        at.open_step(page, short, step)
    assert noted == []


def test_the_scripts_are_small_and_each_says_what_it_does() -> None:
    folder = Path(__file__).resolve().parents[2] / "intake" / "static" / "intake"
    scripts = {path.name: path.read_text(encoding="utf-8") for path in folder.glob("*.js")}
    on_the_form = [text for name, text in scripts.items() if name not in ("worker.js", "photos.js", "forget.js")]
    assert sum(len(gzip.compress(lean(text.encode()))) for text in on_the_form) < 12_000
    for name, text in scripts.items():
        assert text.startswith("// "), name
        assert text.count("\n") < 300, name
