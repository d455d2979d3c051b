"""Two tabs, one step: neither text is lost, and the one that was overtaken hears of it early."""

import pytest
from playwright.sync_api import BrowserContext, expect

from tests.browser import phone as at
from tests.browser.conftest import DemoHouse
from tests.browser.test_story import fill_in

YOU = {"name": "Ada Quill", "discipline": "road_sport", "pace": "brisk"}

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def test_neither_text_is_lost(phone: BrowserContext, service: DemoHouse) -> None:
    first, second = phone.new_page(), phone.new_page()
    reference = at.begin(first, service)
    for page in (first, second):
        at.open_step(page, reference, "you")
        fill_in(page, YOU)
    first.fill("[name=aim]", "More grip in wet bends.")
    second.fill("[name=aim]", "Less dive under the brakes.")
    # What one types is not put into the other, though both keep it on the same phone.
    second.reload()
    at.ready(second)
    expect(second.locator("[name=aim]")).to_have_value("Less dive under the brakes.")

    at.press_save(first, "bike")
    at.says(second, "Another tab has just saved this step")
    second.get_by_role("button", name="Save and go on").click()
    conflict = second.locator("[role=alert]").filter(has_text="in another tab")
    expect(conflict).to_contain_text("More grip in wet bends.")
    expect(conflict).to_contain_text("Less dive under the brakes.")
    expect(second.locator("[name=aim]")).to_have_value("Less dive under the brakes.")
    assert [fields["aim"] for fields in at.saved(service, reference, "you")] == ["More grip in wet bends."]

    # Nothing is lost even when the page with both versions is closed without an answer.
    second.close()
    again = phone.new_page()
    at.open_step(again, reference, "you")
    expect(again.locator("[name=aim]")).to_have_value("Less dive under the brakes.")
    at.says(again, "What you had typed is back, and this step was saved elsewhere meanwhile")
    again.get_by_role("button", name="Save and go on").click()
    expect(again.locator("[role=alert]").filter(has_text="in another tab")).to_contain_text("More grip in wet bends.")
    again.fill("[name=aim]", "More grip in wet bends. Less dive under the brakes.")
    at.press_save(again, "bike")
    assert [fields["aim"] for fields in at.saved(service, reference, "you")] == [
        "More grip in wet bends.",
        "More grip in wet bends. Less dive under the brakes.",
    ]
    assert not [name for name in at.on_device(again) if name.startswith("typed:")]


def test_going_back_does_not_bring_an_old_version_back(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    fill_in(page, YOU | {"aim": "More grip."})
    at.press_save(page, "bike")
    page.go_back()
    at.ready(page)
    page.fill("[name=aim]", "More grip, and less dive.")
    at.press_save(page, "bike")  # and not a page that says another tab was first
    assert [fields["aim"] for fields in at.saved(service, reference, "you")] == [
        "More grip.",
        "More grip, and less dive.",
    ]


def test_a_tab_opened_twice_is_two_tabs(phone: BrowserContext, service: DemoHouse) -> None:
    first = phone.new_page()
    reference = at.begin(first, service)
    at.open_step(first, reference, "you")
    first.fill("[name=aim]", "Typed in the first.")
    with phone.expect_page() as opened:
        # A tab opened from a tab takes a copy of what the browser holds for it, its id with it.
        first.evaluate("address => void window.open(address)", first.url)
    second = opened.value
    at.ready(second)
    expect(second.locator("[name=aim]")).to_have_value("")
    second.fill("[name=aim]", "Typed in the second.")
    kept = {record["fields"]["aim"] for name, record in at.on_device(first).items() if name.startswith("typed:")}
    assert kept == {"Typed in the first.", "Typed in the second."}
