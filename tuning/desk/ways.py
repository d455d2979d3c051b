"""Options and the tree of steps in a draft's content: written down, chosen from, worked out anew when it is saved.

A content of schema 2 holds "options" (a list of ``judgement.options.Option``, changes with room for own words),
"tree" (``judgement.tree.Tree``, None where no step may follow) and "set_aside" (changes that an option took the place
of, kept with all that was typed in them). Contents of schema 1 have none of the three and stay readable.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from tuning.desk import drafting
from tuning.judgement.model import Change, Dossier, Draft
from tuning.judgement.options import Option, options
from tuning.judgement.practice import Practice
from tuning.judgement.rulebook import RIDE_TEST, say
from tuning.judgement.tree import Tree, tree

#: A tree to be worked out with all its steps, whatever was dropped before.
AFRESH: Mapping[str, Any] = {"afresh": True}
#: Notes that only tell of a draft's changes and go with them.
_OF_CHANGES = frozenset(
    {
        "height_not_travel",
        "trail_change",
        "clearance_short",
        "preload_small_step",
        "spring_no_number",
        "spring_wanted_budget",
        "damper_out_of_range",
        "nothing_to_change",
    }
)
_OF_OPTIONS = ("gives_", "buy_", "would_", "cannot_be_met", "over_budget", "spring_no_number")


def with_ways(content: Mapping[str, Any], judged: Dossier, made: Draft, practice: Practice) -> dict[str, Any]:
    """Return a fresh draft's content with its options and its tree."""
    return {
        **content,
        "options": [_option(one) for one in options(judged, practice)],
        "tree": _tree(tree(judged, made, practice)),
        "set_aside": [],
    }


def _option(one: Option) -> dict[str, Any]:
    row = drafting.plain(asdict(one))
    return {**row, "changes": _worded(one.changes)}


def _worded(changes: Iterable[Change]) -> list[dict[str, Any]]:
    return [{**drafting.plain(asdict(change)), "text": dict.fromkeys(drafting.OWN_WORDS, "")} for change in changes]


def _tree(found: Tree) -> dict[str, Any] | None:
    if not found.steps:
        return None
    return {"steps": [drafting.plain(asdict(step)) for step in found.steps], "changes": _worded(found.changes)}


def saved(
    content: Mapping[str, Any], before: Mapping[str, Any], judged: Dossier, practice: Practice
) -> dict[str, Any]:
    """Return a content as it is saved: the options as drafted, and the tree worked out anew from the numbers as they
    are now, with the steps and the order that the tuner left. ``before``: the content as it stands."""
    told = content["tree"] if "tree" in content else before.get("tree")
    order = None if told and told.get("afresh") else tuple(step["id"] for step in (told or {}).get("steps", ()))
    draft = Draft(drafting.changes_of(content), (), tuple(content["stop"]), (), (), ())
    return {
        **content,
        "schema": drafting.SCHEMA,
        "options": before.get("options", []),
        "tree": _tree(tree(judged, draft, practice, order=order)) if order is None or order else None,
        "set_aside": content.get("set_aside", before.get("set_aside", [])),
    }


def option_of(content: Mapping[str, Any], kind: str) -> Mapping[str, Any] | None:
    """Return the option of a kind; None where there is none."""
    return next((one for one in content.get("options", ()) if one["kind"] == kind), None)


def is_drafted(content: Mapping[str, Any], option: Mapping[str, Any]) -> bool:
    """Return whether an option is what the draft says already."""
    return _numbers(content["changes"]) == _numbers(option["changes"])


def _numbers(changes: Iterable[Mapping[str, Any]]) -> list[tuple[str, float | None]]:
    return [(change["key"], change["target"]) for change in changes]


def take(content: Mapping[str, Any], option: Mapping[str, Any]) -> dict[str, Any]:
    """Return a content with an option's changes in the place of its own. What was typed stays: own words at the same
    change, and every change that leaves is set aside whole. Notes tell what the option gives up and what to buy."""
    own = {change["key"]: change for change in content["changes"]}
    coming = [{**change, "text": own[change["key"]]["text"]} if change["key"] in own else change
              for change in option["changes"]]  # fmt: skip
    keys = {change["key"] for change in coming}
    aside = {change["key"]: change for change in content.get("set_aside", ())}
    aside |= {key: change for key, change in own.items() if key not in keys}
    notes = [
        row for row in content["notes"] if row["id"] not in _OF_CHANGES and not row["id"].startswith(_OF_OPTIONS)
    ]
    notes += [*option["gives_up"], *option["says"]]
    if any(change["kind"] == "fork_position" for change in coming):
        notes.append(drafting.plain(asdict(say("height_not_travel"))))
    return {
        **content,
        "changes": coming,
        "notes": notes,
        "ride_test": list(RIDE_TEST),
        "tree": dict(AFRESH),
        "set_aside": [change for key, change in aside.items() if key not in keys],
    }


def bring_back(content: Mapping[str, Any], key: str) -> dict[str, Any]:
    """Return a content with a change that was set aside at the end of its changes."""
    rows = [change for change in content.get("set_aside", ()) if change["key"] == key]
    known = {change["key"] for change in content["changes"]}
    return {
        **content,
        "changes": [*content["changes"], *(row for row in rows if row["key"] not in known)],
        "set_aside": [change for change in content.get("set_aside", ()) if change["key"] != key],
    }


def reordered(content: Mapping[str, Any], what: str, name: str) -> dict[str, Any]:
    """Return a content with a step of its tree dropped, or moved up or down; the first step is the draft and stays.

    Where the branches lead is worked out when it is saved.
    """
    steps = list((content.get("tree") or {}).get("steps", ()))
    at = next((index for index, step in enumerate(steps) if step["id"] == name), 0)
    if not at:
        return dict(content)
    if what == "step_drop":
        del steps[at]
    else:
        other = at + (-1 if what == "step_up" else 1)
        if 0 < other < len(steps):
            steps[at], steps[other] = steps[other], steps[at]
    return {**content, "tree": {**content["tree"], "steps": steps} if len(steps) > 1 else None}
