"""Debian's chromium against the embedded set-up as ``make run`` starts it: gunicorn, worker and beat as processes."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

from tests.integration.house import House

PHONE = {"width": 390, "height": 844}
DESKTOP = {"width": 1280, "height": 900}


class DemoHouse(House):
    """The embedded set-up with the demo's scenario in it."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder, folder / "static")
        self.env |= {
            "FARPADDOCK_DEMO": "1",
            "FARPADDOCK_THROTTLE_START": "10000/hour",
            "FARPADDOCK_THROTTLE_FORM": "10000/minute",
            "FARPADDOCK_THROTTLE_LOOK": "10000/minute",
            "FARPADDOCK_THROTTLE_LOGIN": "10000/minute",
            "FARPADDOCK_THROTTLE_LINK": "10000/minute",
        }
        self.env.pop("FARPADDOCK_SECRET_KEY")
        self.manage("collectstatic", "--noinput", "--verbosity", "0")
        self.manage("demo")


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DemoHouse]:
    house = DemoHouse(tmp_path_factory.mktemp("browser"))
    try:
        house.start("web", "worker", "beat")
        yield house
    finally:
        house.stop()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """A browser for one file: Playwright keeps an event loop running, beside which Django refuses its database."""
    program = shutil.which("chromium")
    assert program, "Debian's chromium is missing: make test installs it or prints the command"
    with sync_playwright() as playwright:
        # Run as root in CI, where chromium's sandbox refuses to work; no page but our own is opened.
        quiet = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
        browser = playwright.chromium.launch(executable_path=program, args=quiet)
        yield browser
        browser.close()


@pytest.fixture
def phone(chromium: Browser, service: DemoHouse) -> Iterator[BrowserContext]:
    context = chromium.new_context(base_url=service.url, viewport=PHONE, device_scale_factor=2, has_touch=True)
    yield context
    context.close()


@pytest.fixture
def desktop(chromium: Browser, service: DemoHouse) -> Iterator[BrowserContext]:
    context = chromium.new_context(base_url=service.url, viewport=DESKTOP)
    yield context
    context.close()
