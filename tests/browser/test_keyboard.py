"""The whole form with no pointer, with letters twice as large, and as it is told to a screen reader."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Response, expect

from tests.browser.conftest import DemoHouse
from tests.browser.test_accessible import client_pages, private_link, scenario
from tests.intake.filled import FILLED, STEPS

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]
__all__ = ["scenario"]  # a fixture

#: More presses of Tab than any step has places to stop at.
MOST_TABS = 400
#: What stands out of the window or is cut off, beside what is meant to be pushed sideways in itself.
CUT_OFF = """() => [...document.querySelectorAll('main *, header *, footer *')].filter(e => {
  const style = getComputedStyle(e), box = e.getBoundingClientRect();
  if (!box.width || !box.height || e.closest('.visually-hidden, .scroll, svg, select, .skip')) return false;
  // A line of text may be longer than its field; a number is to be seen whole.
  const number = e.matches('.input-unit input'), other = e.matches('input, textarea');
  const clipped = !other && ['hidden', 'clip'].includes(style.overflowX) || number;
  return clipped && e.scrollWidth > e.clientWidth + 1 || box.right > innerWidth + 1 || box.left < -1;
}).map(e => e.outerHTML.slice(0, 120))"""


@pytest.fixture
def page(desktop: BrowserContext) -> Iterator[Page]:
    page = desktop.new_page()
    yield page
    page.close()


def here(page: Page) -> dict[str, str]:
    """Return what has the focus: tag, type, name and value, and whether one can see that it has."""
    found: dict[str, str] = page.evaluate(
        """() => { const e = document.activeElement, style = getComputedStyle(e);
             return { tag: e.tagName.toLowerCase(), type: e.type || '', name: e.name || '', value: e.value || '',
                      text: (e.textContent || '').trim(), href: e.getAttribute('href') || '',
                      outline: style.outlineStyle === 'none' ? '' : style.outlineWidth }; }"""
    )
    return found


def tab_to(page: Page, what: str, wanted: object, key: str = "Tab") -> dict[str, str]:
    """Press Tab until the focus is on what is wanted, seeing at every stop where it is."""
    for _press in range(MOST_TABS):
        page.keyboard.press(key)
        stop = here(page)
        if stop["tag"] != "body":
            assert stop["outline"], f"one cannot see the focus on {stop}"
        if callable(wanted) and wanted(stop):
            return stop
    raise AssertionError(f"{what} cannot be reached by Tab on {page.url}")


def answer(page: Page, name: str, value: str) -> None:
    """Go on to a field and give its answer by keys alone. Folded parts are unfolded where they are met."""

    def there(stop: dict[str, str]) -> bool:
        if stop["tag"] == "summary" and page.locator(f'details:not([open]):has([name="{name}"])').count():
            inside = page.evaluate(
                "name => !!document.activeElement.parentElement.querySelector(`[name='${name}']`)", name
            )
            if inside:
                page.keyboard.press("Enter")
        return stop["name"] == name

    stop = tab_to(page, name, there)
    if stop["type"] == "radio":
        # The arrows go round; each stop is chosen, as the pattern of radio buttons has it.
        if not page.locator(f'[name="{name}"]:checked').count():
            page.keyboard.press("Space")
        for _step in range(20):
            if page.locator(f'[name="{name}"][value="{value}"]').is_checked():
                return
            page.keyboard.press("ArrowDown")
        raise AssertionError(f"{name} cannot be set to {value} by the arrows")
    if stop["type"] == "checkbox":
        if not page.locator(f'[name="{name}"]').is_checked():
            page.keyboard.press("Space")
    elif stop["tag"] == "select":
        label = page.locator(f'[name="{name}"] option[value="{value}"]').inner_text()
        page.keyboard.type(label.strip()[:12])
        assert page.locator(f'[name="{name}"]').input_value() == value
    elif stop["type"] == "date":
        page.keyboard.type(value)
    else:
        page.keyboard.press("Control+a")
        page.keyboard.type(value)


def in_order(page: Page, fields: dict[str, str]) -> list[tuple[str, str]]:
    """Return the answers in the order in which the page has their fields."""
    names: list[str] = page.evaluate("() => [...document.querySelectorAll('main form [name]')].map(e => e.name)")
    missing = fields.keys() - set(names)
    assert not missing, f"{page.url} does not ask {missing}"
    return sorted(fields.items(), key=lambda field: names.index(field[0]))


def press(page: Page, words: str) -> None:
    tab_to(page, words, lambda stop: stop["tag"] == "button" and re.search(words, stop["text"]))
    with page.expect_navigation():
        page.keyboard.press("Enter")


def test_a_whole_request_by_keys_alone(page: Page) -> None:
    page.goto("/")
    page.mouse.move(0, 0)
    tab_to(page, "the way past the head", lambda stop: stop["href"] == "#main")
    tab_to(page, "whole form", lambda stop: stop["tag"] == "button" and re.search("whole|every", stop["text"], re.I))
    with page.expect_navigation():
        page.keyboard.press("Enter")
    for step in STEPS:
        assert f"/{step}/" in page.url, page.url
        # Units are chosen on a step of their own; the numbers below are typed with theirs.
        fields = {name: value for name, value in FILLED[step].items() if page.locator(f'[name="{name}"]').count()}
        for name, value in in_order(page, fields):
            answer(page, name, value)
        before = page.url
        press(page, "Save and go on")
        if page.url == before:  # a check asks for a second look
            page.locator("h1").evaluate("e => e.focus()")
            press(page, "Save and go on|anyway")
    answer(page, "consent", "on")
    press(page, "^Send")
    expect(page.locator("main")).to_contain_text("We have your numbers")


def posted_to(path: str) -> Callable[[Response], bool]:
    return lambda answer: answer.request.method == "POST" and path in answer.url


def test_what_cannot_be_read_is_told_and_led_to(page: Page) -> None:
    """A field's complaint is its description, the list of complaints has the focus, its links lead to the fields."""
    page.goto("/")
    page.get_by_role("button", name=re.compile("whole|every", re.I)).click()
    page.wait_for_load_state()
    form = page.url.rsplit("/", 2)[0]
    steps = [f"{form}/{button.get_attribute('value')}/" for button in page.locator("nav.steps ol button").all()]
    told = 0
    for path in steps[:-1]:
        page.goto(path)
        for field in page.locator('main form input[type="text"]').all():
            if field.is_visible():
                field.fill("not a number, nor a date")
        with page.expect_response(posted_to(path)) as saved:
            page.get_by_role("button", name="Save and go on").click()
        if saved.value.status != 422:
            continue  # nothing here can be misread
        expect(page.locator("#problems")).to_be_focused()
        assert page.locator("#problems").get_attribute("role") == "alert"
        for complaint in page.locator("main .error[id]").all():
            name = complaint.get_attribute("id")
            described = page.locator(f'[aria-describedby~="{name}"]')
            assert described.count() == 1, f"{path}: {name} describes nothing"
            if described.evaluate("e => e.tagName") != "FIELDSET":
                assert described.get_attribute("aria-invalid") == "true", f"{path}: {name}"
            told += 1
        for link in page.locator("#problems a").all():
            target = (link.get_attribute("href") or "").removeprefix("#")
            assert page.locator(f'[id="{target}"]').count() == 1, f"{path}: {target}"
        page.locator("#problems a").first.focus()
        target = (page.locator("#problems a").first.get_attribute("href") or "").removeprefix("#")
        page.keyboard.press("Enter")
        focused: str = page.evaluate("document.activeElement.id")
        assert focused == target, f"{path}: the link to {target} leads to {focused}"
    assert told > 8  # what is asked of nearly every bike; the rest follows from answers that are not given here


def test_letters_twice_as_large(chromium: Browser, service: DemoHouse, scenario: dict[str, str]) -> None:
    found = []
    context = chromium.new_context(base_url=service.url, viewport={"width": 390, "height": 844})
    try:
        page = context.new_page()
        opened = set()
        for pages in client_pages(scenario).values():
            for reference, path in pages:
                if reference and reference not in opened:
                    page.goto(private_link(service, page, reference))
                    opened.add(reference)
                page.goto(path)
                page.evaluate("document.documentElement.style.fontSize = '200%'")
                page.evaluate("document.querySelectorAll('details').forEach(e => { e.open = true; })")
                if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
                    found.append(f"{path} has to be pushed sideways")
                found += [f"{path}: {cut}" for cut in page.evaluate(CUT_OFF)]
    finally:
        context.close()
    assert not found, "\n".join(found)
