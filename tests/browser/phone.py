"""A phone in a garage: a request of its own, the form's script ready, and what is on record of it."""

import json
import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.browser.conftest import DemoHouse
from tests.integration.servers import wait_until

#: What the browser says of a request that did not come through, which is what these tests make happen.
NETWORK = re.compile(r"net::ERR_|Failed to load resource")
ROUND = "intake_round n ON n.id = d.round_id"
FROM = f"FROM intake_stepdraft d JOIN {ROUND} JOIN intake_setuprequest r ON r.id = n.request_id"
KEPT = "async () => (await (await caches.open('farpaddock-pages')).keys()).map(kept => new URL(kept.url).pathname)"


def begin(page: Page, service: DemoHouse, way: str = "whole") -> str:
    """Start a request in millimetres and open its first step; return the reference."""
    page.goto("/")
    token = page.locator("[name=csrfmiddlewaretoken]").first.get_attribute("value") or ""
    answer = page.request.post(
        "/start/", form={"csrfmiddlewaretoken": token, "units": "metric", "way": way}, max_redirects=0
    )
    assert answer.status == 302, answer.text()
    page.goto(answer.headers["location"])
    ready(page)
    return page.url.split("/requests/")[1].split("/")[0]


def ready(page: Page) -> None:
    """Wait until the form's script has taken charge of the page."""
    page.wait_for_selector("html[data-script=ready]", state="attached")


def open_step(page: Page, reference: str, step: str, n: int = 1) -> None:
    page.goto(f"/requests/{reference}/round/{n}/{step}/")
    ready(page)


def press_save(page: Page, lands_on: str) -> None:
    """Press the button and wait for the step it leads to."""
    page.get_by_role("button", name="Save and go on").click()
    page.wait_for_url(f"**/{lands_on}/")
    ready(page)


def wait_until_kept(page: Page, reference: str, *steps: str) -> None:
    """Wait until the worker has fetched these steps ahead."""
    wanted = {f"/requests/{reference}/round/1/{step}/" for step in steps}
    wait_until(lambda: wanted <= set(kept_pages(page)), 30, f"kept are {sorted(wanted)}")


def kept_pages(page: Page) -> list[str]:
    found: list[str] = page.evaluate(KEPT)
    return found


def on_device(page: Page) -> dict[str, Any]:
    """Return the records the script holds in this browser."""
    found = page.evaluate("() => Object.entries(localStorage)")
    return {name.removeprefix("farpaddock:"): json.loads(value) for name, value in found}


def notice(page: Page, heading: str) -> Any:
    return page.locator(".notice").filter(has=page.get_by_role("heading", name=heading))


def says(page: Page, heading: str) -> None:
    """Wait for a notice above the form."""
    expect(notice(page, heading)).to_be_visible(timeout=20_000)


def saved(service: DemoHouse, reference: str, step: str) -> list[dict[str, str]]:
    """Return the text on record of a step, version by version; what was put aside is left out."""
    of_the_step = f"r.reference = '{reference}' AND d.step = '{step}' AND NOT d.aside"
    rows = service.rows(f"SELECT d.fields {FROM} WHERE {of_the_step} ORDER BY d.version")
    return [json.loads(fields) if isinstance(fields, str) else fields for (fields,) in rows]


def typed_in(fields: dict[str, str]) -> dict[str, str]:
    """Return what of a step's text is not empty, without units and fields that begin with a choice made."""
    return {name: text for name, text in fields.items() if text}


def complaints(page: Page) -> list[str]:
    """Note what the browser complains of on its console, the network apart; returns the list it fills."""
    found: list[str] = []
    page.on("console", lambda line: line.type in ("error", "warning") and found.append(line.text))
    page.on("pageerror", lambda error: found.append(str(error)))
    return found


def own(found: list[str]) -> list[str]:
    return [line for line in found if not NETWORK.search(line)]
