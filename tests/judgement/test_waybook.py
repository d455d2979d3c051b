"""The data of the options are refused when they do not fit together, by file, id and reason."""

from typing import Any

import pytest

from tuning.judgement.rulebook import RulebookError
from tuning.judgement.waybook import COST_OF, read_costs, read_ways

OWN: dict[str, Any] = {
    "id": "w", "kind": "adjusters", "gate": "sag", "ends": ["front"], "when": {"rider": ["above"]},
    "change": "preload", "says": ["sag_above"], "gives_up": [], "strength": "worth_acting",
    "source": "common practice", "move": "more",
}  # fmt: skip
BASED: dict[str, Any] = {
    "id": "w", "kind": "adjusters", "rule": "preload_more", "when": {"rider": ["above"]}, "gives_up": [],
}  # fmt: skip


@pytest.mark.parametrize(
    ("row", "fault", "reason"),
    [
        (OWN, {"source": ""}, "no source"),
        (OWN, {"kind": "magic"}, "unknown kind magic"),
        (OWN, {"gate": "garden"}, "unknown gate"),
        (OWN, {"gives_up": ["sing"]}, "unknown sentence sing"),
        (OWN, {"gives_up": ["sag_above"]}, "takes what nobody fills in"),
        (OWN, {"compromise": True}, "a compromise that gives nothing up"),
        (OWN, {"change": "oil_level", "move": ""}, "oil_level takes more than adjusters"),
        (OWN, {"change": "fork_position"}, "fork_position takes more than adjusters"),
        (OWN, {"moon": 1}, "unknown entry"),
        (OWN, {"id": "preload_more"}, "the id of a drafting rule"),
        (BASED, {"rule": "sing"}, "unknown rule sing"),
        (BASED, {"when": {}}, "no facts"),
        (BASED, {"when": {"moon": ["full"]}}, "unknown fact moon"),
        (BASED, {"when": {"rider": ["sideways"]}}, "never has one of"),
        (BASED, {"change": "preload"}, "has both a rule and its own"),
        (BASED, {"kind": "parts"}, "preload takes more than parts"),
    ],
)
def test_faulty_way_is_refused(row: dict[str, Any], fault: dict[str, Any], reason: str) -> None:
    assert read_ways([row])[0].id == "w"
    with pytest.raises(RulebookError, match=rf"(options|rules)\.toml: \w+: .*{reason}"):
        read_ways([row | fault])


@pytest.mark.parametrize("name", ["id", "kind", "when", "gives_up"])
def test_a_way_lacks_nothing(name: str) -> None:
    with pytest.raises(RulebookError, match=f"no {name}"):
        read_ways([{key: value for key, value in BASED.items() if key != name}])
    with pytest.raises(RulebookError, match="twice the same id"):
        read_ways([BASED, BASED])


def test_costs_are_known_and_everything_has_one() -> None:
    assert COST_OF["spring"] == "springs"
    assert COST_OF["rebound"] == "nothing"
    with pytest.raises(RulebookError, match="paint"):
        read_costs({"paint": "small"})
    with pytest.raises(RulebookError, match="spring"):
        read_costs({"spring": "gold"})
