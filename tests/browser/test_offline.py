"""A garage without a connection: the form goes on, and what was typed there is on record afterwards."""

import re

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser import phone as at
from tests.browser.conftest import PHONE, DemoHouse
from tests.browser.test_story import fill_in, log_in
from tests.integration.servers import wait_until

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

YOU = {"name": "Ada Quill", "discipline": "road_sport", "pace": "brisk", "aim": "Less wallow with luggage."}
BIKE = {"name": "Harrow 900", "year": "2019", "front": "coil", "rear": "linkage", "front_tyre": "120/70 ZR17"}
RIDER = {"load_state": "solo", "rider_mass": "88,5"}
NO_STEP_SAVED = "Kept on this device, not sent yet"
ALL_SENT = "The connection is back: everything is sent"


def holds(fields: dict[str, str], wanted: dict[str, str]) -> bool:
    return all(fields.get(name) == text for name, text in wanted.items())


def safe(page: Page) -> None:
    for answer in page.locator('input[type=radio][value="no"]').all():
        answer.check()


def masses(service: DemoHouse, reference: str) -> list[tuple[str, float]]:
    """Return the rider's weight as typed and in kilograms, as the engine gets it."""
    whose = f"r.reference = '{reference}' AND g.quantity = 'rider_mass' AND g.is_current"
    readings = "intake_reading g JOIN intake_round n ON n.id = g.round_id"
    return service.rows(
        f"SELECT g.text, g.value FROM {readings} JOIN intake_setuprequest r ON r.id = n.request_id WHERE {whose}"  # noqa: S608
    )


def test_steps_filled_in_without_a_connection_are_on_record_once_it_is_back(
    phone: BrowserContext, service: DemoHouse
) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    safe(page)
    at.press_save(page, "you")
    fill_in(page, YOU)
    at.press_save(page, "bike")
    at.wait_until_kept(page, reference, "bike", "rider", "settings", "review")

    phone.set_offline(True)
    fill_in(page, BIKE)
    at.press_save(page, "rider")
    at.says(page, NO_STEP_SAVED)
    fill_in(page, RIDER)
    at.press_save(page, "settings")
    page.fill('[name="front.rebound.left.found"]', "11")
    page.close()

    # The next morning, still without a connection.
    page = phone.new_page()
    at.open_step(page, reference, "settings")
    expect(page.locator('[name="front.rebound.left.found"]')).to_have_value("11")
    at.says(page, "What you had typed is back")
    expect(at.notice(page, NO_STEP_SAVED).get_by_role("listitem")).to_have_text(["The bike", "Rider and load"])
    at.open_step(page, reference, "rider")
    expect(page.locator("[name=rider_mass]")).to_have_value("88,5")
    assert at.saved(service, reference, "bike") == []
    assert at.saved(service, reference, "rider") == []

    at.open_step(page, reference, "settings")
    phone.set_offline(False)
    at.says(page, ALL_SENT)
    assert not [name for name in at.on_device(page) if name.startswith("queue:")]
    assert [holds(fields, BIKE) for fields in at.saved(service, reference, "bike")] == [True]
    assert [holds(fields, RIDER) for fields in at.saved(service, reference, "rider")] == [True]
    assert masses(service, reference) == [("88,5", pytest.approx(88.5))]

    # What was being typed goes on, and is saved in its turn.
    expect(page.locator('[name="front.rebound.left.found"]')).to_have_value("11")
    at.press_save(page, "sag")
    assert at.saved(service, reference, "settings")[0]["front.rebound.left.found"] == "11"
    assert not [name for name in at.on_device(page) if not name.startswith("look:")]


def test_a_step_typed_further_while_its_first_text_is_sent_needs_no_choice(
    phone: BrowserContext, service: DemoHouse
) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    at.wait_until_kept(page, reference, "you", "bike")
    phone.set_offline(True)
    fill_in(page, YOU)
    at.press_save(page, "bike")
    page.get_by_role("button", name="Back", exact=True).click()
    page.wait_for_url("**/you/")
    at.ready(page)
    expect(page.locator("[name=aim]")).to_have_value(YOU["aim"])
    page.fill("[name=aim]", "Less wallow, and softer over edges.")
    phone.set_offline(False)
    at.says(page, ALL_SENT)
    at.press_save(page, "bike")
    assert [fields["aim"] for fields in at.saved(service, reference, "you")] == [
        YOU["aim"],
        "Less wallow, and softer over edges.",
    ]


def test_the_server_away_is_no_connection_either_and_is_tried_again(
    phone: BrowserContext, service: DemoHouse
) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    at.wait_until_kept(page, reference, "you", "bike", "rider")
    service.kill("web")
    try:
        fill_in(page, YOU)
        at.press_save(page, "bike")
        at.says(page, NO_STEP_SAVED)
    finally:
        service.start("web")
    # No "online" comes from a server: the page asks again by itself.
    at.says(page, ALL_SENT)
    assert [holds(fields, YOU) for fields in at.saved(service, reference, "you")] == [True]


def test_a_step_saved_elsewhere_meanwhile_is_shown_with_both_versions(
    phone: BrowserContext, chromium: Browser, service: DemoHouse
) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    link = page.locator(".link-line").get_attribute("href") or ""
    at.open_step(page, reference, "you")
    at.wait_until_kept(page, reference, "you", "bike")
    phone.set_offline(True)
    fill_in(page, YOU)
    at.press_save(page, "bike")

    other = chromium.new_context(base_url=service.url, viewport=PHONE)
    try:
        tablet = other.new_page()
        tablet.goto(link)
        at.open_step(tablet, reference, "you")
        fill_in(tablet, YOU | {"aim": "Steadier on the motorway."})
        at.press_save(tablet, "bike")
    finally:
        other.close()

    phone.set_offline(False)
    at.says(page, "Saved elsewhere meanwhile")
    assert [fields["aim"] for fields in at.saved(service, reference, "you")] == ["Steadier on the motorway."]
    at.notice(page, "Saved elsewhere meanwhile").get_by_role("link").click()
    conflict = page.locator("[role=alert]").filter(has_text="in another tab")
    expect(conflict).to_contain_text("Steadier on the motorway.")
    expect(conflict).to_contain_text(YOU["aim"])
    page.fill("[name=aim]", "Steadier on the motorway, with luggage.")
    at.press_save(page, "bike")
    assert at.saved(service, reference, "you")[-1]["aim"] == "Steadier on the motorway, with luggage."
    assert not [name for name in at.on_device(page) if not name.startswith("typed:")]


def test_what_cannot_be_read_is_saved_as_typed_and_pointed_to(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "sag")
    at.wait_until_kept(page, reference, "sag", "travel")
    phone.set_offline(True)
    page.fill('[name="length_topped_out.front"]', "about 120")
    at.press_save(page, "travel")
    phone.set_offline(False)
    at.says(page, "Saved, but please look at it again")
    assert at.saved(service, reference, "sag")[0]["length_topped_out.front"] == "about 120"
    at.notice(page, "Saved, but please look at it again").get_by_role("link").click()
    expect(page.locator(".error")).to_contain_text("about 120")
    at.ready(page)
    expect(at.notice(page, "Saved, but please look at it again")).to_have_count(0)


def test_sending_needs_the_connection_and_first_sends_what_waits(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    at.wait_until_kept(page, reference, "bike", "review")
    phone.set_offline(True)
    fill_in(page, YOU)
    at.press_save(page, "bike")
    at.open_step(page, reference, "review")
    send = page.get_by_role("button", name="Send to the tuner")
    send.click()
    at.says(page, "Not sent to the tuner yet")
    assert at.saved(service, reference, "review") == []
    phone.set_offline(False)
    # The page to look over is drawn anew once the step has come: it shows what is sent.
    expect(page.locator("main")).to_contain_text(YOU["aim"])
    assert [holds(fields, YOU) for fields in at.saved(service, reference, "you")] == [True]


def test_photos_are_said_to_need_the_connection(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "behaviour")
    at.wait_until_kept(page, reference, "behaviour", "review")
    phone.set_offline(True)
    page.reload()
    at.ready(page)
    at.says(page, "No connection: you can go on")
    page.fill("[name=words]", "Dives at the roundabout.")
    page.get_by_role("button", name="Save and add photos or a video").click()
    at.says(page, "That needs a connection")
    assert page.url.endswith("/behaviour/")
    phone.set_offline(False)
    at.says(page, ALL_SENT)
    assert at.saved(service, reference, "behaviour")[0]["words"] == "Dives at the roundabout."


def test_what_was_typed_comes_back_and_can_be_thrown_away(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    page.fill("[name=aim]", "Half a sentence")
    page.reload()
    at.ready(page)
    expect(page.locator("[name=aim]")).to_have_value("Half a sentence")
    at.says(page, "What you had typed is back")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator("[name=aim]")).to_have_value("")
    at.ready(page)
    assert at.on_device(page) == {}


def test_a_device_forgets_when_told_to(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    mine = at.begin(page, service)
    other = at.begin(page, service)
    at.wait_until_kept(page, other, "safety", "review")
    at.open_step(page, other, "you")
    page.fill("[name=aim]", "This one stays.")
    at.open_step(page, mine, "you")
    page.fill("[name=aim]", "This one goes.")
    at.wait_until_kept(page, mine, "you", "review")
    page.locator("#device summary").click()
    page.get_by_role("button", name="Forget it on this device").click()
    expect(page.get_by_role("status").filter(has_text=mine)).to_be_visible()
    assert [record["fields"]["aim"] for record in at.on_device(page).values()] == ["This one stays."]
    wait_until(lambda: not [path for path in at.kept_pages(page) if mine in path], 20, "no page is left")
    assert [path for path in at.kept_pages(page) if other in path]
    answer = page.goto(f"/requests/{mine}/round/1/you/")
    assert answer
    assert answer.status == 404


def test_a_link_that_has_ended_takes_with_it_what_was_kept(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    page.fill("[name=aim]", "Typed before the link ended.")
    at.wait_until_kept(page, reference, "you", "review")
    # A mistyped address is no ended link.
    page.goto(f"/requests/{reference}/round/1/nowhere/")
    page.wait_for_load_state("networkidle")
    assert at.on_device(page)
    phone.clear_cookies()
    page.goto(f"/requests/{reference}/round/1/you/")
    wait_until(lambda: at.on_device(page) == {}, 20, "nothing typed is left")
    wait_until(lambda: not [path for path in at.kept_pages(page) if reference in path], 20, "no page is left")


def test_only_the_form_and_its_guides_are_kept(phone: BrowserContext, service: DemoHouse) -> None:
    page = phone.new_page()
    reference = at.begin(page, service)
    at.wait_until_kept(page, reference, "safety", "review")
    page.goto(f"/requests/{reference}/round/1/photos/")
    page.goto(f"/requests/{reference}/")
    log_in(page)
    page.goto("/desk/practice/")
    page.goto("/api/docs/")
    page.goto("/guide/")
    mine = re.compile(rf"/requests/{reference}/round/1/(?!photos/)[a-z]+/$|/guide/[\w-]+/$")
    assert [path for path in at.kept_pages(page) if not mine.match(path)] == []
    everything = page.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async name =>"
        " (await (await caches.open(name)).keys()).map(kept => new URL(kept.url).pathname)))).flat()"
    )
    assert [path for path in everything if not mine.match(path) and not path.startswith("/static/intake/")] == []
    assert len({path for path in everything if path.startswith("/static/")}) > 10


def test_somebody_who_logged_in_meanwhile_does_not_stop_what_waits(phone: BrowserContext, service: DemoHouse) -> None:
    """Logging in changes the form's token, and with it that of every page kept before."""
    page = phone.new_page()
    reference = at.begin(page, service)
    at.open_step(page, reference, "you")
    fill_in(page, YOU)
    desk = phone.new_page()
    log_in(desk)
    at.press_save(page, "bike")
    assert not at.notice(page, ALL_SENT).count()  # sent at once, not by way of the queue
    assert [holds(fields, YOU) for fields in at.saved(service, reference, "you")] == [True]


def test_a_browser_that_keeps_nothing_has_the_form_as_without_a_script(
    phone: BrowserContext, service: DemoHouse
) -> None:
    phone.add_init_script(
        "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };"
        "Object.defineProperty(Navigator.prototype, 'serviceWorker', { get: () => undefined });"
    )
    page = phone.new_page()
    noted = at.complaints(page)
    page.goto("/")
    token = page.locator("[name=csrfmiddlewaretoken]").first.get_attribute("value") or ""
    page.request.post("/start/", form={"csrfmiddlewaretoken": token, "units": "metric", "way": "whole"})
    reference = service.rows("SELECT reference FROM intake_setuprequest ORDER BY id DESC LIMIT 1")[0][0]
    page.goto(f"/requests/{reference}/round/1/you/")
    fill_in(page, YOU)
    page.get_by_role("button", name="Save and go on").click()
    page.wait_for_url("**/bike/")
    assert [holds(fields, YOU) for fields in at.saved(service, reference, "you")] == [True]
    assert noted == []
