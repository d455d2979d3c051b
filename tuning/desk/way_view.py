"""Options and the tree of steps as a page or a document shows them: all in words."""

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from intake.presentation import UnitPrefs
from tuning.desk import way_words, ways
from tuning.desk import words as desk_words

#: Turns a change of a content into one with its words.
Worded = Callable[[Mapping[str, Any]], dict[str, Any]]


def option_rows(content: Mapping[str, Any], prefs: UnitPrefs, own: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the options of a content as the editor shows them."""
    return [
        {
            "kind": one["kind"],
            "name": str(way_words.KINDS[one["kind"]]),
            "cost": str(way_words.COSTS[one["cost"]]),
            "skill": str(way_words.SKILLS[one["skill"]]),
            "tools": [desk_words.tool_name(name) for name in one["tools"]],
            "changes": [_in_short(change, prefs) for change in one["changes"]],
            "predictions": [
                (desk_words.derived_name(row["key"]),
                 desk_words.value_text(row["value"], row["half_width"], row["unit"], prefs))
                for row in one["predictions"]
            ],
            "gives_up": [desk_words.said(row, prefs, own) for row in one["gives_up"]],
            "says": [desk_words.said(row, prefs, own) for row in one["says"]],
            "have_it_done": one["have_it_done"],
            "drafted": ways.is_drafted(content, one),
        }
        for one in content.get("options", ())
    ]  # fmt: skip


def _in_short(change: Mapping[str, Any], prefs: UnitPrefs) -> str:
    start, target, turn = desk_words.change_from_to(change, prefs)
    title = desk_words.change_title(change)
    if not target:
        return title
    return f"{title}: {start or '–'} → {target}" + (f" ({turn})" if turn else "")


def aside_rows(content: Mapping[str, Any], prefs: UnitPrefs) -> list[tuple[str, str]]:
    """Return the changes that were set aside: key, and what it is in short."""
    return [(change["key"], _in_short(change, prefs)) for change in content.get("set_aside", ())]


def steps(
    content: Mapping[str, Any], worded: Worded, prefs: UnitPrefs, own: Mapping[str, str]
) -> list[dict[str, Any]]:
    """Return the steps of a content's tree in words, numbered in their order; empty without a tree."""
    told = content.get("tree") or {}
    rows = told.get("steps", ())
    changes = {change["key"]: change for change in (*content["changes"], *told.get("changes", ()))}
    places = {step["id"]: number for number, step in enumerate(rows, 1)}
    return [
        {
            "id": step["id"],
            "kind": step["kind"],
            "number": places[step["id"]],
            "changes": [worded(changes[key]) for key in step["changes"] if key in changes],
            "why_text": [desk_words.said(row, prefs, own) for row in step["why"]],
            "ride_test": step["ride_test"],
            "ride_test_text": [desk_words.ride_test_text(name) for name in step["ride_test"]],
            "stop_text": [desk_words.said(row, prefs, own) for row in step["stop"]],
            "branches": [_branch(row, places, step["id"], prefs, own) for row in step["branches"]],
        }
        for step in rows
    ]


def _branch(
    row: Mapping[str, Any], places: Mapping[str, int], here: str, prefs: UnitPrefs, own: Mapping[str, str]
) -> dict[str, str]:
    to, goto = row["to"], row["goto"]
    if goto == "back":
        text = (
            _("put step %(here)d back to where it was, and go on with step %(to)d")
            if to in places
            else _("put step %(here)d back to where it was, stop and report")
        )
    else:
        text = _("leave it so and go on with step %(to)d") if to in places else _("leave it so, stop and report")
    told = {"here": places[here], "to": places.get(to, 0)}
    return {"if": desk_words.said(row["condition"], prefs, own), "then": text % told, "goto": goto, "to": to}
