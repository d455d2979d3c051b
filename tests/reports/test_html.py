"""Step two: what the page shows becomes HTML, and hostile text stays text."""

import re

import pytest
import segno

from reports.content import build
from reports.html import LOG_ROWS, qr_svg, to_html
from tests.reports import sample

HOSTILE = '<img src="file:///etc/passwd"><script>x</script> url(file:///etc/passwd) \'"&'


def html(**changed: object) -> str:
    return to_html(build(sample.document(**changed)), "A4")


def test_changes_stand_in_order_with_from_to_and_turn() -> None:
    text = html()
    places = [text.index(part) for part in ("3 turns</", "6 turns", "3 turns clockwise", "0.16 in</td>", "0.28 in")
              if part in text]  # fmt: skip
    assert len(places) == 4 or len(places) == 5
    assert places == sorted(places)
    assert text.index("More preload on both fork legs") < text.index("Move both fork legs up")


def test_the_log_has_blank_lines() -> None:
    body = html().split('class="log"')[1].split("</table>")[0]
    assert body.count("<tr><td></td>") == LOG_ROWS


def test_only_changes_that_need_a_torque_have_its_blank_and_never_a_figure() -> None:
    text = html()
    assert text.count("from your owner") == 1
    blank = re.search(r"Torque</span>(.*?)from your owner", text, re.S)
    assert blank
    assert not re.search(r"\d", blank.group(1))


def test_critical_cautions_are_boxed_at_their_step_and_nowhere_else() -> None:
    text = html()
    assert text.count("Never loosen both legs at once") == 1
    assert 'class="critical"' in text.split("Move both fork legs")[1]
    assert 'class="critical"' not in text.split("Move both fork legs")[0]


def test_a_stop_sheet_says_first_not_to_ride_and_has_no_ride_test() -> None:
    text = html(changes=[], predictions=[], stop_text=["The front tyre is cracked: have it replaced."])
    assert text.index("Do not ride") < text.index("The front tyre is cracked") < text.index("Baseline")
    assert "Ride test" not in text
    assert "Do not ride" not in html()


def hostile_document() -> dict[str, object]:
    document = sample.document()
    document |= {"shop": HOSTILE, "tuner": HOSTILE, "tuner_note": HOSTILE, "notes_text": [HOSTILE]}
    document["client"]["name"] = document["bike"]["name"] = HOSTILE
    document["baseline"][0]["text"] = document["changes"][0]["title"] = HOSTILE
    document["changes"][0]["how_text"] = [HOSTILE]
    document["changes"][0]["from_text"] = HOSTILE
    return document


def with_tree(title: str = "Rear rebound") -> dict[str, object]:
    document = sample.document()
    change = {**document["changes"][0], "key": "further.x", "title": title, "from_text": "8 clicks",
              "to_text": "7 clicks", "caution_text": [{"text": "Never force it.", "critical": False}]}  # fmt: skip
    step = {
        "why_text": [], "ride_test_text": ["Ride."], "stop_text": ["Stop at once if it weaves."],
        "branches": [{"if": "it is gone", "then": "leave it so, stop and report"},
                     {"if": "it is better", "then": "leave it so and go on with step 2"}],
    }  # fmt: skip
    document["tree"] = [
        step | {"number": 1, "changes": [document["changes"][0]]},
        step | {"number": 2, "changes": [change], "why_text": ["It helped."]},
    ]
    return document


def test_each_step_of_a_tree_says_if_and_then_its_ride_and_when_to_stop() -> None:
    text = re.sub(r"<[^>]+>", "", to_html(build(with_tree()), "A4"))
    steps = text[text.index("Step by step") : text.index("What the next readings should show")]
    assert steps.count("If it is gone, then leave it so, stop and report.") == 2
    assert steps.count("If it is better, then leave it so and go on with step 2.") == 2
    assert steps.count("Stop at once if it weaves.") == 2
    assert steps.count("Never force it.") == 1  # The first step's cautions stand at its change, above.
    assert "7 clicks" in steps
    assert "as it stands above" in steps
    assert "Step by step" not in html()


def test_hostile_text_in_a_tree_stays_text() -> None:
    text = to_html(build(with_tree(HOSTILE)), "A4")
    assert "<script" not in text
    assert "&lt;img src=" in text


def test_hostile_text_stays_text() -> None:
    text = to_html(build(hostile_document()), "A4")  # type: ignore[arg-type]
    assert "<script" not in text
    assert re.findall(r"<img[^>]*>", text) == re.findall(r'<img src="sheet:qr.svg"[^>]*>', text)
    assert text.count("&lt;img src=") >= 8
    assert not re.findall(r"<[^>]*style=", text)


def test_the_sheet_is_in_the_documents_language() -> None:
    assert '<html lang="en">' in html()


@pytest.mark.parametrize("address", ["https://shop.example/report/FP-7K3M-2Q/hx0Zk3aW9c1Vb7Qm/"])
def test_the_qr_code_holds_the_address_with_its_quiet_zone(address: str) -> None:
    svg = qr_svg(address).decode()
    # ISO/IEC 18004: a quiet zone of four modules on every side.
    side = segno.make(address, error="m", micro=False).symbol_size(scale=1, border=4)[0]
    assert f'viewBox="0 0 {side} {side}"' in svg or f'width="{side * 4}"' in svg
