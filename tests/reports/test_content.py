"""Step one: the approved document becomes what the page shows, or says all that is wrong with it."""

from datetime import UTC, datetime

import pytest

from reports.content import ContentError, build
from tests.reports import sample


def test_everything_comes_from_the_document() -> None:
    content = build(sample.document())
    assert (content.reference, content.number, content.version) == ("FP-7K3M-2Q", "FP-7K3M-2Q/1.1", 1)
    assert content.approved == datetime(2026, 5, 4, 9, 30, tzinfo=UTC)
    assert content.bike == "Corvane Tessel 690 2017"
    assert content.tyres == "120/70 ZR 17 / 160/60 ZR 17"
    assert [change.number for change in content.changes] == [1, 2]
    first, second = content.changes
    assert (first.from_text, first.to_text, first.turn_text) == (
        "3 turns",
        "6 turns",
        "3 turns clockwise (in), both legs alike",
    )
    assert (first.together, second.together) == (0, 1)
    assert second.critical == ("Never loosen both legs at once: the front would drop.",)
    assert second.cautions == ("Check the brakes at walking pace before you ride off.",)


def test_the_clients_torque_unit_stands_first() -> None:
    document = sample.document()
    assert (build(document).torque_first, build(document).torque_second) == ("lbf·ft", "N·m")
    document["units"]["torque"] = "N.m"
    assert (build(document).torque_first, build(document).torque_second) == ("N·m", "lbf·ft")


def test_every_fault_is_listed_with_its_path() -> None:
    document = sample.document(approved="2026-05-04T09:30:00", baseline={}, version="1")
    del document["report_url"]
    del document["changes"][1]["to_text"]
    with pytest.raises(ContentError) as caught:
        build(document)
    assert sorted(caught.value.faults) == [
        "approved: has no time zone",
        "baseline: dict is not list",
        "changes[1].to_text: missing",
        "report_url: missing",
        "version: str is not int",
    ]


def test_a_later_schema_is_refused() -> None:
    with pytest.raises(ContentError, match="schema: 3 is none of"):
        build(sample.document(schema=3))


def test_a_sheet_with_nothing_on_it_is_refused() -> None:
    with pytest.raises(ContentError, match="changes: empty"):
        build(sample.document(changes=[], stop_text=[], notes_text=[]))
    assert build(sample.document(changes=[], stop_text=["The front tyre is cracked."])).stop
