"""A request is its client's: taken up on another device, locked to whoever else has the link, taken home, erased."""

import io
import json
import zipfile

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.conftest import DemoHouse
from tests.browser.phone import begin, open_step, press_save
from tests.browser.test_story import fill_in, log_in, save
from tests.intake.filled import FILLED, STEPS
from tests.integration.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


def own_link(page: Page) -> str:
    return page.locator('main a[href*="/r/FP-"]').first.get_attribute("href") or ""


def send_all(page: Page, service: DemoHouse) -> str:
    """Fill in and send a request in inches; return its reference."""
    page.goto("/")
    page.locator('[name="units"][value="imperial"]').check()
    page.locator('button[name="way"][value="whole"]').click()
    for step in STEPS:
        page.wait_for_url(f"**/{step}/")
        fill_in(page, FILLED[step])
        save(page)
    page.wait_for_url("**/review/")
    fill_in(page, {"consent": "on"})
    page.get_by_role("button", name="Send to the tuner").click()
    expect(page.locator("main")).to_contain_text("We have your numbers")
    return page.url.rstrip("/").rsplit("/", 1)[1]


def test_a_second_device_takes_it_up(phone: BrowserContext, desktop: BrowserContext, service: DemoHouse) -> None:
    first = phone.new_page()
    reference = begin(first, service)
    fill_in(first, FILLED["safety"])
    press_save(first, "you")
    fill_in(first, {"name": "Nell Arkwright", "discipline": "road_sport", "aim": "Brake late."})
    press_save(first, "bike")

    second = desktop.new_page()
    assert second.goto(f"/requests/{reference}/round/1/bike/").status == 404  # type: ignore[union-attr]
    second.goto(own_link(first))
    # Straight to the first step that is still open, under an address that gives nothing away.
    assert second.url == f"{service.url}/requests/{reference}/round/1/bike/"
    open_step(second, reference, "you")
    assert second.locator('[name="aim"]').input_value() == "Brake late."
    open_step(second, reference, "bike")
    fill_in(second, {"name": "Corvane 600 S", "front": "coil", "rear": "linkage", "bike_mass": "196,5"})
    press_save(second, "rider")

    open_step(first, reference, "bike")
    assert first.locator('[name="bike_mass"]').input_value() == "196,5"


def test_everybody_else_is_locked_out(phone: BrowserContext, desktop: BrowserContext, service: DemoHouse) -> None:
    mine = phone.new_page()
    reference = send_all(mine, service)
    status, old = f"/requests/{reference}/", own_link(mine)
    theirs = desktop.new_page()
    theirs.goto(old)
    assert theirs.url.endswith(status)

    mine.get_by_text("Has somebody else got the link?").click()
    mine.get_by_role("button", name="End all links and make a new one").click()
    expect(mine.locator("main")).to_contain_text(reference)
    new = own_link(mine)
    assert new != old
    for address in (status, old):
        answer = theirs.goto(address)
        assert answer, address
        assert answer.status == 404, address
        assert "Nell" not in theirs.content()
    theirs.goto(new)
    assert theirs.url.endswith(status)


def test_taken_home_and_erased(phone: BrowserContext, desktop: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = send_all(page, service)
    link = own_link(page)
    with page.expect_download() as download:
        page.get_by_role("link", name="Download everything").first.click()
    with zipfile.ZipFile(io.BytesIO(download.value.path().read_bytes())) as copy:
        data = next(name for name in copy.namelist() if name.endswith(".json"))
        taken = json.dumps(json.loads(copy.read(data)), ensure_ascii=False)
    assert "Dives at the roundabout." in taken
    assert "5 1/8" in taken

    page.get_by_role("link", name="Erase everything").click()
    page.get_by_role("button", name="Erase everything for good").click()
    expect(page.locator("#reference-error")).to_be_visible()
    page.locator("[name=reference]").fill(reference)
    page.get_by_role("button", name="Erase everything for good").click()
    page.wait_for_load_state()

    def gone() -> bool:
        rows = service.rows("SELECT reference, erased_at FROM intake_setuprequest")
        return any(of == reference and when for of, when in rows)

    wait_until(gone, 60, "everything is erased")
    for address in (f"/requests/{reference}/", link):
        answer = page.goto(address)
        assert answer, address
        assert answer.status == 404, address
    words = service.rows("SELECT words FROM intake_round n JOIN intake_setuprequest r ON r.id = n.request_id"
                         " WHERE r.erased_at IS NOT NULL")  # fmt: skip
    assert all("roundabout" not in text for (text,) in words)
    # What was kept on the phone went with it.
    kept = page.evaluate("async () => [await caches.keys(), Object.keys(localStorage)].flat()")
    assert not [name for name in kept if reference in name], kept

    tuner = desktop.new_page()
    log_in(tuner)
    tuner.goto(f"/desk/requests/{reference}/")
    assert "Nell" not in tuner.locator("main").inner_text()
    assert "Corvane" not in tuner.locator("main").inner_text()
