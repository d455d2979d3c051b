"""The draft editor's form: from the draft to its fields, and from what was typed back to a content."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext

from intake import typed, words
from intake.api import reasons
from intake.models import Adjuster
from intake.presentation import UnitPrefs, plain, unit_label
from tuning.desk import drafting, rule_words, ways
from tuning.desk import words as desk_words
from tuning.desk.models import Recommendation
from tuning.engine.errors import Fault

PREFS = UnitPrefs.metric()
NUMBERS = ("start", "target")
LONGEST_NOTE = 4000


@dataclass(slots=True)
class Typed:
    """What came with a form: the content it makes, the raw numbers by (key, field), and what could not be read."""

    content: dict[str, Any]
    numbers: dict[tuple[str, str], str] = field(default_factory=dict)
    errors: dict[tuple[str, str], str] = field(default_factory=dict)


def read(
    post: Mapping[str, str],
    recommendation: Recommendation,
    adjusters: Mapping[str, Adjuster],
    standing: Mapping[str, float | None],
) -> Typed:
    """Return the content that a posted form makes of the draft: edited, reordered, dropped or added to.

    ``standing``: where each adjuster stands now, from which a change that is added starts.

    Only numbers, words and order come from the form; what a change is and its cautions come from the draft.
    """
    known = _earlier(recommendation)
    known |= {change["key"]: change for change in recommendation.proposed["changes"]}
    known |= {change["key"]: change for change in recommendation.content.get("set_aside", ())}
    known |= {change["key"]: change for one in recommendation.content.get("options", ()) for change in one["changes"]}
    known |= {change["key"]: change for change in recommendation.content["changes"]}
    out = Typed({**recommendation.content, "tuner_note": _text(post, "tuner_note", LONGEST_NOTE)})
    changes: list[dict[str, Any]] = []
    for key in [part for part in post.get("order", "").split(",") if part]:
        base = known.get(key) or _own(key, adjusters)
        if base is not None and key not in {change["key"] for change in changes}:
            changes.append(_edited(base, post, out))
    out.content["changes"] = _act(post, changes, adjusters, standing)
    out.content = _steps_and_options(post, out.content)
    keys = {change["key"] for change in out.content["changes"]}
    for change in out.content["changes"]:
        if change["together"] not in keys:
            change["together"] = ""
    return out


def _earlier(recommendation: Recommendation) -> dict[str, Any]:
    """Return the changes of the versions before: a correction starts from them, and a colleague may have dropped what
    this form still holds."""
    before = Recommendation.objects.filter(round=recommendation.round_id, version__lt=recommendation.version)
    contents = before.order_by("version").values_list("content", flat=True)
    return {change["key"]: change for content in contents for change in content["changes"]}


def _own(key: str, adjusters: Mapping[str, Adjuster]) -> dict[str, Any] | None:
    adjuster = adjusters.get(key.removeprefix("own.")) if key.startswith("own.") else None
    return drafting.blank_change(adjuster, None) if adjuster else None


def _text(post: Mapping[str, str], name: str, longest: int) -> str:
    return post.get(name, "").replace("\x00", "").replace("\r\n", "\n").strip()[:longest]


def _edited(base: Mapping[str, Any], post: Mapping[str, str], out: Typed) -> dict[str, Any]:
    key = base["key"]
    change = {
        **base,
        "text": {name: _text(post, f"{key}:{name}", drafting.LONGEST_WORDS) for name in drafting.OWN_WORDS},
    }
    for name in NUMBERS if change["adjuster"] else ():
        raw = _text(post, f"{key}:{name}", 60)
        out.numbers[key, name] = raw
        if not raw:
            change[name] = None
            continue
        dimension, unit = dimension_of(change["unit"])
        try:
            change[name] = typed.parse(raw, dimension, unit).canonical
        except typed.NotANumber as problem:
            out.errors[key, name] = words.not_a_number(problem, change["unit"])
    if change["adjuster"] and change["target"] is None and (key, "target") not in out.errors:
        out.errors[key, "target"] = _("Please write where the adjuster is to be set.")
    return change


def dimension_of(unit: str) -> tuple[str, str]:
    """Return (dimension, unit) by which a number of an adjuster's unit is read."""
    return {"mm": ("length", "mm"), "kPa": ("pressure", "kPa")}.get(unit, ("count", "1"))


def _act(
    post: Mapping[str, str],
    changes: list[dict[str, Any]],
    adjusters: Mapping[str, Adjuster],
    standing: Mapping[str, float | None],
) -> list[dict[str, Any]]:
    what, _colon, key = post.get("action", "").partition(":")
    place = next((at for at, change in enumerate(changes) if change["key"] == key), None)
    if what == "add":
        adjuster = adjusters.get(post.get("adjuster", ""))
        if adjuster and not any(change["adjuster"] == adjuster.key for change in changes):
            changes = [*changes, drafting.blank_change(adjuster, standing.get(adjuster.key))]
    elif place is not None and what == "drop":
        changes = [change for change in changes if change["key"] != key]
    elif place is not None and what in {"up", "down"}:
        other = place + (-1 if what == "up" else 1)
        if 0 <= other < len(changes):
            changes[place], changes[other] = changes[other], changes[place]
    return changes


def _steps_and_options(post: Mapping[str, str], content: dict[str, Any]) -> dict[str, Any]:
    """Return the content with what was done to its steps and options: the steps left in their order, an option taken,
    a change brought back."""
    what, _colon, name = post.get("action", "").partition(":")
    option = ways.option_of(content, name)
    if what == "take" and option is not None:
        return ways.take(content, option)
    if what == "back":
        return ways.bring_back(content, name)
    if what == "steps":
        return {**content, "tree": dict(ways.AFRESH)}
    if what in {"step_drop", "step_up", "step_down"}:
        return ways.reordered(content, what, name)
    return content


def place_faults(faults: Iterable[Fault], form: Typed) -> list[str]:
    """Put each fault beside its field; return those that belong to no field."""
    general = []
    for fault in faults:
        path, _dot, name = fault.path.partition("].")
        index = path.removeprefix("changes[")
        if fault.reason == "outside_range" and index.isdigit():
            change = form.content["changes"][int(index)]
            form.errors[change["key"], name] = outside(change, name, fault)
        else:
            general.append(fault_text(fault))
    return general


def outside(change: Mapping[str, Any], name: str, fault: Fault) -> str:
    """Return what is wrong with a number: its field, its value and what is allowed."""
    told = {
        "adjuster": words.adjuster_name(change["adjuster"]),
        "field": _("from") if name == "start" else _("to"),
        "value": _told(fault.value),
        "unit": unit_label(change["unit"]),
        "low": _told(fault.params["low"]),
    }
    if fault.params["high"] is None:
        return _("%(adjuster)s, “%(field)s”: %(value)s %(unit)s is not possible; the least is %(low)s.") % told
    told["high"] = _told(fault.params["high"])
    return _("%(adjuster)s, “%(field)s”: %(value)s %(unit)s is not possible; %(low)s to %(high)s %(unit)s is.") % told


def _told(value: object) -> str:
    return plain(value) if isinstance(value, int | float) else str(value)


def fault_text(fault: Fault) -> str:
    """Return a fault of a whole draft in words."""
    texts = {
        "stop_open": _(
            "A stop gate is open. Drop every change: the sheet then tells the client not to ride, and why."
        ),
        "nothing_to_say": _("There is no change, stop notice or note to send. Ask the client, or add a change."),
    }
    return texts.get(fault.reason) or f"{fault.path}: {reasons.said(fault.reason, fault.params)}"


def rows(form: Typed, own: Mapping[str, str] = desk_words.NO_WORDS) -> list[dict[str, Any]]:
    """Return the changes as the editor's template shows them."""
    found = []
    last = len(form.content["changes"]) - 1
    for at, change in enumerate(form.content["changes"]):
        key = change["key"]
        turn = desk_words.change_from_to(change, PREFS)[2] if (key, "target") not in form.errors else ""
        found.append(
            {
                "key": key,
                "number": at + 1,
                "first": at == 0,
                "last": at == last,
                "change": change,
                "title": desk_words.change_title(change),
                "unit": unit_label(change["unit"]),
                "numbers": [
                    {
                        "name": name,
                        "label": pgettext("a change", "From") if name == "start" else pgettext("a change", "To"),
                        "value": form.numbers.get((key, name), _plain(change[name])),
                        "error": form.errors.get((key, name), ""),
                    }
                    for name in NUMBERS
                    if change["adjuster"]
                ],
                "turn": turn,
                "rule": rule_words.key_of_change(change["rule"]),
                "why": [desk_words.said(row, PREFS, own) for row in change["why"]],
                "how": [desk_words.how_text(name) for name in change["how"]],
                "verify": [desk_words.verify_text(name) for name in change["verify"]],
                "cautions": [
                    (desk_words.caution_text(name), name in change["critical"]) for name in change["cautions"]
                ],
            }
        )
    return found


def _plain(value: float | None) -> str:
    return "" if value is None else plain(value)


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that two drafts say differently: what it is, and both texts in full; "" where one says nothing."""

    what: str
    mine: str
    theirs: str


def differences(form: Typed, theirs: Mapping[str, Any]) -> list[Difference]:
    """Return how a draft that somebody saved meanwhile differs from the one in the form, with both texts."""
    mine = form.content
    own = {change["key"]: change for change in mine["changes"]}
    other = {change["key"]: change for change in theirs["changes"]}
    found = []
    for key in dict.fromkeys([*own, *other]):
        unnamed = {**(own.get(key) or other[key]), "text": dict.fromkeys(drafting.OWN_WORDS, "")}
        title = desk_words.change_title(unnamed)
        if key not in own or key not in other:
            found.append(Difference(title, _whole(own.get(key)), _whole(other.get(key))))
            continue
        for name, label in _FIELDS.items():
            here, there = _field(own[key], name), _field(other[key], name)
            if (key, name) in form.errors:
                here = form.numbers[key, name]
            if here != there:
                what = _("%(title)s, “%(field)s”") % {"title": title, "field": label}
                found.append(Difference(what, here, there))
    if set(own) == set(other) and list(own) != list(other):
        found.append(Difference(_("Order of the changes"), _order(own), _order(other)))
    if mine["tuner_note"] != theirs["tuner_note"]:
        found.append(Difference(_("Your note on the sheet"), mine["tuner_note"], theirs["tuner_note"]))
    return found


_FIELDS = {
    "start": gettext_lazy("from"),
    "target": gettext_lazy("to"),
    "title": gettext_lazy("Title"),
    "why": gettext_lazy("Why"),
    "how": gettext_lazy("How, one step a line"),
}


def _field(change: Mapping[str, Any], name: str) -> str:
    """Return what a draft says in one field of a change: a number with its unit, or the tuner's own words."""
    if name not in NUMBERS:
        return str(change["text"].get(name, ""))
    return f"{plain(change[name])} {unit_label(change['unit'])}".strip() if change[name] is not None else ""


def _whole(change: Mapping[str, Any] | None) -> str:
    """Return all that a draft says of a change the other one does not have."""
    if change is None:
        return ""
    numbers = f"{_field(change, 'start') or '–'} → {_field(change, 'target') or '–'}" if change["adjuster"] else ""
    texts = [_field(change, name) for name in drafting.OWN_WORDS]
    return "\n".join(text for text in (numbers, *texts) if text) or _("is in this draft")


def _order(changes: Mapping[str, Mapping[str, Any]]) -> str:
    return "\n".join(f"{at}. {desk_words.change_title(change)}" for at, change in enumerate(changes.values(), 1))
