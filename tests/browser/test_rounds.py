"""After sending, in a real browser: a question answered in just its step, and rounds to the end with a picture."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import PHONE, DemoHouse
from tests.browser.test_story import fill_in, log_in, save, send_request, wait_for_sheet
from tests.intake.filled import FILLED

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]


@pytest.fixture
def plain_phone(chromium: Browser, service: DemoHouse) -> Iterator[BrowserContext]:
    """A phone without JavaScript: every page after sending works without it."""
    context = chromium.new_context(base_url=service.url, viewport=PHONE, java_script_enabled=False)
    yield context
    context.close()


def press(page: Page, name: str) -> None:
    with page.expect_navigation():
        page.get_by_role("button", name=name, exact=True).first.click()


def to_case(tuner: Page, reference: str) -> None:
    tuner.goto(f"/desk/requests/{reference}/")


def advise(tuner: Page, reference: str) -> None:
    """Draft for the round last sent and approve it; a draft that says nothing gets a change of the tuner's own."""
    to_case(tuner, reference)
    press(tuner, "Start a draft")
    if not tuner.locator("fieldset.change").count():
        press(tuner, "Add")
    tuner.get_by_role("button", name=re.compile("^Approve")).click()
    expect(tuner.locator("main")).to_contain_text("Approved as")


def report(rider: Page, reference: str, done: str, sag: dict[str, str], outcome: str) -> None:
    """Report the open round: what became of every change, the sags, and how it went."""
    rider.goto(f"/requests/{reference}/")
    rider.get_by_role("link", name="Report how it went").click()
    rider.wait_for_load_state()
    fill_in(rider, FILLED["safety"])
    save(rider)
    assert "/settings/" in rider.url
    for answer in rider.locator(f'[name^="done."][value="{done}"]').all():
        answer.check()
    save(rider)
    told = {"sag": FILLED["sag"] | sag, "behaviour": {"outcome": outcome}}
    while "/review/" not in rider.url:
        step = rider.url.rstrip("/").rsplit("/", 1)[1]
        fill_in(rider, told.get(step, {}))
        save(rider)
    fill_in(rider, {"consent": "on"})
    rider.get_by_role("button", name=re.compile("^Send")).click()
    rider.wait_for_load_state()
    expect(rider.locator("main")).to_contain_text("We have your numbers")


def test_a_question_opens_just_its_step_and_three_rounds_end_in_a_picture(
    plain_phone: BrowserContext, desktop: BrowserContext, service: DemoHouse
) -> None:
    rider, tuner = plain_phone.new_page(), desktop.new_page()
    reference = send_request(rider)
    log_in(tuner)

    # --- L2 at the front is asked for again ---
    tuner.goto(f"/desk/requests/{reference}/ask/")
    for box in tuner.locator("input[name=pick]:checked").all():
        box.uncheck()
    tuner.get_by_text("Sag", exact=True).click()
    tuner.locator('[name=field][value="sag:length_rider_aboard.front"]').check()
    tuner.locator("#own").fill("Please measure L2 at the front again, in your kit.")
    press(tuner, "Ask the client")
    expect(tuner.locator("main")).to_contain_text("Sent to the client")

    rider.goto(f"/requests/{reference}/")
    expect(rider.locator("h1")).to_have_text("There is a question for you")
    rider.get_by_role("link", name=re.compile("^Answer in")).click()
    rider.wait_for_load_state()
    expect(rider.get_by_role("heading", name="Your tuner asks")).to_be_visible()
    # Only this step: no list of steps leads away from it, and what is asked for stands first.
    assert not rider.locator("nav.steps").count()
    assert rider.locator("main .wanted a").all_inner_texts() == ["L2: rider aboard"]
    rider.locator("main .wanted a").first.click()
    asked = rider.locator('[name="length_rider_aboard.front"]')
    expect(asked).to_be_in_viewport()
    asked.fill("4 1/8")
    press(rider, "Save the answer")
    if "/questions/" in rider.url:  # a check asks for a second look; the same button goes on
        press(rider, "Save the answer")
    # A browser keeps the fragment over a redirect.
    rider.wait_for_url(re.compile(rf"/requests/{reference}/(#.*)?$"))
    expect(rider.locator("main")).to_contain_text("1 of 1 question answered.")
    press(rider, "Send the answers")
    expect(rider.locator("main")).to_contain_text("Your answers are sent")
    to_case(tuner, reference)
    expect(tuner.locator(".asked")).to_contain_text("answered")
    expect(tuner.locator("#readings ~ .scroll")).to_contain_text("4 1/8")

    # --- Two more rounds: one change left, one done ---
    advise(tuner, reference)
    wait_for_sheet(rider, reference)
    report(rider, reference, "not_done", {"length_rider_aboard.front": "4 1/8"}, "same")
    to_case(tuner, reference)
    expect(tuner.locator("#followed ~ ul")).to_contain_text("Not done")
    advise(tuner, reference)
    report(rider, reference, "as_told", {"length_rider_aboard.front": "3 7/8"}, "better")
    to_case(tuner, reference)
    expect(tuner.locator("#followed ~ ul")).to_contain_text("Done as written")
    press(tuner, "Settle")

    rider.goto(f"/requests/{reference}/")
    expect(rider.locator("h1")).to_have_text("Settled")
    expect(rider.get_by_role("img", name=re.compile("Travel over the rounds"))).to_be_visible()
    front = rider.get_by_role("table", name="Travel over the rounds, front")
    assert front.get_by_role("columnheader").all_inner_texts()[1:] == ["round 1", "round 2", "round 3"]
    aboard = front.get_by_role("row", name=re.compile("Sag, rider aboard")).get_by_role("cell").all_inner_texts()
    # 5 1/8 less 4 1/8, and less 3 7/8: an inch, and an inch and a quarter.
    assert [text.replace("\u00a0", " ").split("\n")[0] for text in aboard] == ["1 in", "1 in", "1.25 in"]
    press(rider, "Something has changed: report it")
    assert re.search(r"/round/4/safety/$", rider.url)


def test_why_a_question_cannot_be_answered_is_told(phone: BrowserContext, service: DemoHouse) -> None:
    """The demo's questions, on a phone that runs the form's script."""
    page = phone.new_page()
    for number in range(1, 6):
        page.goto(f"/demo/mail/?page={number}")
        found = page.locator("pre, .typed, article, li").filter(has_text="Two things before I can write")
        if found.count():
            page.goto(found.last.locator("a").first.get_attribute("href") or "")
            break
    page.get_by_role("link", name=re.compile("^Answer in")).nth(1).click()
    assert page.get_by_role("heading", name="Your tuner asks").is_visible()
    page.get_by_role("link", name="Back to your page").click()
    page.get_by_text("I cannot answer this").first.click()
    page.locator("[name=why]").first.fill("The ring is gone.")
    page.get_by_role("button", name="Say so and tick it off").first.click()
    expect(page.locator("main")).to_contain_text("cannot be answered")
