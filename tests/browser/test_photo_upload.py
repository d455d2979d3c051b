"""Photos on their way: how far they are, what was not taken, and a connection that breaks off."""

import io

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser import phone as at
from tests.browser.conftest import DemoHouse
from tests.browser.test_offline import safe

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

SEEN = """() => {
  window.seen = { words: [], most: 0 };
  const box = document.querySelector(".progress");
  const look = () => {
    if (!box.hidden) {
      window.seen.words.push(box.querySelector("[role=status]").textContent);
      window.seen.most = Math.max(window.seen.most, box.querySelector("progress").value);
    }
  };
  new MutationObserver(look).observe(box, { attributes: true, childList: true, subtree: true, characterData: true });
}"""


def photo(side: int = 900) -> bytes:
    """Return a JPEG that does not compress away."""
    held = io.BytesIO()
    Image.effect_noise((side, side), 80).save(held, "JPEG", quality=90)
    return held.getvalue()


def choose(page: Page, *files: tuple[str, bytes]) -> None:
    page.set_input_files(
        "[name=photos]", [{"name": name, "mimeType": "image/jpeg", "buffer": data} for name, data in files]
    )


def photos_of(page: Page, service: DemoHouse) -> None:
    reference = at.begin(page, service)
    safe(page)
    page.goto(f"/requests/{reference}/round/1/photos/")
    page.wait_for_load_state("load")
    page.evaluate(SEEN)


def kept(page: Page) -> int:
    return page.locator(".photos img").count()


def test_how_far_a_photo_is_can_be_seen(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    photos_of(page, service)
    choose(page, ("one.jpg", photo()), ("two.jpg", photo(500)))
    # The form goes its own way at the end; what was seen before is asked for first.
    with page.expect_navigation():
        page.evaluate("addEventListener('beforeunload', () => sessionStorage.setItem('seen', JSON.stringify(seen)))")
        page.get_by_role("button", name="Save", exact=True).last.click()
    seen = page.evaluate("JSON.parse(sessionStorage.getItem('seen'))")
    assert {"Sending file 1 of 2", "Sending file 2 of 2"} <= set(seen["words"])
    assert seen["most"] == 100
    assert kept(page) == 2


def test_what_was_not_taken_is_said(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    photos_of(page, service)
    choose(page, ("one.jpg", b"no photo at all"))
    page.get_by_role("button", name="Save", exact=True).last.click()
    alert = page.get_by_role("alert")
    expect(alert).to_be_focused()
    expect(alert).not_to_contain_text("connection")
    assert page.locator("[name=photos]").evaluate("e => e.files.length") == 0


def test_a_connection_that_breaks_off_is_said_and_the_rest_goes_at_the_next_try(
    phone: BrowserContext, service: DemoHouse
) -> None:
    page = phone.new_page()
    photos_of(page, service)
    # The first arrives, and the connection is gone while the second is on its way.
    sent: list[str] = []

    def cut(route) -> None:  # type: ignore[no-untyped-def]
        if route.request.method == "POST":
            sent.append(route.request.url)
        if len(sent) == 2:
            route.abort("connectionreset")
        else:
            route.continue_()

    page.route("**/photos/", cut)
    choose(page, ("one.jpg", photo(400)), ("two.jpg", photo(500)), ("three.jpg", photo(600)))
    page.get_by_role("button", name="Save", exact=True).last.click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("The connection broke off")
    expect(alert).to_be_focused()
    assert page.locator("[name=photos]").evaluate("e => [...e.files].map(file => file.name)") == [
        "two.jpg",
        "three.jpg",
    ]
    assert len(sent) == 2
    page.unroute("**/photos/")
    with page.expect_navigation():
        page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.locator(".photos img")).to_have_count(3)


def test_without_a_connection_nothing_chosen_is_lost(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    photos_of(page, service)
    choose(page, ("one.jpg", photo(400)))
    phone.set_offline(True)
    page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.get_by_role("alert")).to_contain_text("The connection broke off")
    phone.set_offline(False)
    with page.expect_navigation():
        page.get_by_role("button", name="Save", exact=True).last.click()
    expect(page.locator(".photos img")).to_have_count(1)
