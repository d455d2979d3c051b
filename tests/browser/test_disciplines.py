"""A whole request in every discipline: by both ways, on both screens, with scripts and without."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Response, expect

from intake.choices import Discipline
from tests.browser.conftest import DESKTOP, PHONE, DemoHouse
from tests.browser.riders import RIDERS, SAFE, Rider
from tests.browser.test_story import fill_in, log_in, save

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

#: What of a rider's answers has to be found again among the readings, where the way asked for it.
KEPT = re.compile(r"length_|rider_mass|stroke|deepest_|tyre_pressure|air_pressure")
MOST_STEPS = 12
#: The names of all fields that can be seen once everything is unfolded.
ASKED = """() => { document.querySelectorAll('details').forEach(e => { e.open = true; });
  return [...document.querySelectorAll('main form [name]')].filter(e => e.checkVisibility()).map(e => e.name); }"""


@pytest.fixture
def wrong() -> list[str]:
    """Collects what no page may do: answer with a server error, or let a script fail."""
    return []


@pytest.fixture
def browsing(
    request: pytest.FixtureRequest, chromium: Browser, service: DemoHouse, wrong: list[str]
) -> Iterator[Page]:
    rider: Rider = RIDERS[request.param]
    context: BrowserContext = chromium.new_context(
        base_url=service.url, viewport=PHONE if rider.phone else DESKTOP, java_script_enabled=rider.script
    )
    page = context.new_page()

    def answered(response: Response) -> None:
        if response.status >= 500:
            wrong.append(f"{response.url} answered {response.status}")

    page.on("response", answered)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    yield page
    context.close()


def test_every_discipline_has_its_rider() -> None:
    assert set(RIDERS) == set(Discipline.values)
    ways = {(rider.way, rider.phone, rider.script) for rider in RIDERS.values()}
    assert len(ways) == 8, "a way, a screen or scripts on or off are not gone through"


@pytest.mark.parametrize(("browsing", "discipline"), [(d, d) for d in RIDERS], indirect=["browsing"])
def test_a_whole_request(browsing: Page, discipline: str, service: DemoHouse, wrong: list[str]) -> None:
    page, rider = browsing, RIDERS[discipline]
    page.goto("/")
    page.locator(f'[name="units"][value="{rider.units}"]').check()
    page.locator(f'button[name="way"][value="{rider.way}"]').click()
    told = SAFE | rider.fields | {"discipline": discipline, "consent": "on"}
    typed: dict[str, str] = {}
    for _step in range(MOST_STEPS):
        page.wait_for_load_state()
        names = set(page.locator("main form [name]").evaluate_all("all => all.map(e => e.name)"))
        here = {name: value for name, value in told.items() if name in names}
        fill_in(page, here)
        typed |= here
        asked = set(rider.lacks) & set(page.evaluate(ASKED))
        assert not asked, f"{page.url} asks a {discipline} for {asked}"
        if "/review/" in page.url:
            break
        save(page)
    send = page.get_by_role("button", name=re.compile("^Send"))
    send.click()
    expect(page.locator("main")).to_contain_text("We have your numbers")
    assert not wrong, "\n".join(wrong)

    reference = re.search(r"FP-[0-9A-Z]{4}-[0-9A-Z]{2}", page.url)
    assert reference
    rows = service.rows(
        "SELECT q.reference, r.quantity, r.end, r.text FROM intake_reading r JOIN intake_round n ON n.id = r.round_id"
        " JOIN intake_setuprequest q ON q.id = n.request_id WHERE r.is_current"
    )
    stored = {f"{quantity}.{end}".rstrip("."): text for of, quantity, end, text in rows if of == reference[0]}
    wanted = {name: value for name, value in typed.items() if KEPT.match(name)}
    assert wanted.keys() >= {"rider_mass", "length_topped_out.front", "length_rider_aboard.rear"}
    assert {name: stored.get(name) for name in wanted} == wanted


def test_the_tuner_can_open_them_all(desktop: BrowserContext, service: DemoHouse) -> None:
    """The requests made above, and the demo's, each with its derived values, causes and drawings."""
    page = desktop.new_page()
    log_in(page)
    references = [row[0] for row in service.rows("SELECT reference FROM intake_setuprequest WHERE state <> 'draft'")]
    for reference in references:
        answer = page.goto(f"/desk/requests/{reference}/")
        assert answer, reference
        assert answer.status == 200, f"{reference} answered {answer.status}"
    assert len(references) > len(RIDERS)
