"""Fixtures and options shared by all tests."""

from collections.abc import Iterator

import pytest
from django.utils import translation


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--no-skips", action="store_true", help="fail when a test is skipped: nothing was proved by it")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):  # type: ignore[no-untyped-def]
    report = yield
    if report.skipped and not hasattr(report, "wasxfail") and item.config.getoption("--no-skips"):
        report.outcome = "failed"
        report.longrepr = f"{item.nodeid} was skipped: {report.longrepr}"
    return report


@pytest.fixture(autouse=True)
def _no_language_left_over() -> Iterator[None]:
    """A request leaves its language active in the thread; the next test begins without."""
    yield
    translation.deactivate()
