"""The forms of the shop's practice, one group of a table at a time: fields with what holds and what is shipped, and
from what was typed back to a content. What cannot be read stays in the content as typed, for the loader to refuse."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import override

from intake import typed
from intake.presentation import plain
from tuning.desk import practice_words, rule_words, sentences
from tuning.desk import words as desk_words
from tuning.desk.practice import wordings
from tuning.engine.errors import Fault
from tuning.judgement.practice import STEPS, fixed_rule, shipped_rules, strengths_of
from tuning.judgement.rulebook import TARGETS

#: What is typed is kept this far, also where it is too long to hold.
MOST_KEPT = 5000


@dataclass(slots=True)
class Field:
    """One field: its path is its name in the form and in faults. kind: "number", "choice" or "text"."""

    path: str
    label: str
    kind: str
    value: str
    shipped: str
    unit: str = ""
    options: tuple[tuple[str, str], ...] = ()
    error: str = ""

    @property
    def id(self) -> str:
        return self.path.replace(".", "-")


@dataclass(slots=True)
class Row:
    """One entry: what it is about, its fields, who says the shipped values; note: why there are no fields; says: what
    it means in words; id: of a rule."""

    path: str
    name: str
    fields: list[Field]
    source: str = ""
    note: str = ""
    says: tuple[str, ...] = ()
    id: str = ""

    @property
    def differs(self) -> bool:
        return any(one.value not in ("", one.shipped) for one in self.fields)


@dataclass(slots=True)
class Form:
    """A group of a table as a form; loose: refusals that belong to none of its fields."""

    table: str
    group: str
    language: str
    rows: list[Row]
    loose: list[str] = field(default_factory=list)

    @property
    def errors(self) -> list[tuple[str, str, str]]:
        """(id of the field, what it is about, why it is refused) of each field that is."""
        return [
            (one.id, f"{row.name}: {one.label}" if len(row.fields) > 1 else row.name, one.error)
            for row in self.rows
            for one in row.fields
            if one.error
        ]


def languages() -> dict[str, str]:
    """Return the languages that the shop may have words of its own in: code and name."""
    return dict(settings.LANGUAGES)


def form_of(table: str, group: str, language: str, content: Mapping[str, Any]) -> Form:
    """Return the form of a group as a content has it."""
    build = {"targets": _targets, "steps": _steps, "rules": _rules, "texts": _texts}[table]
    return Form(table, group, language, list(build(group, language, content.get(table, {}))))


def _targets(group: str, _language: str, own: Mapping[str, Any]) -> Iterable[Row]:
    for target in TARGETS[group]:
        path = f"targets.{group}.{target.key}"
        row = own.get(group, {}).get(target.key, {})
        unit = "%" if target.unit == "1" else target.unit
        fields = [
            Field(f"{path}.{name}", label, "number", _text(row.get(name), unit), _text(shipped, unit), unit)
            for name, label, shipped in (("low", _("From"), target.low), ("high", _("To"), target.high))
        ]
        yield Row(path, desk_words.derived_name(target.key), fields, practice_words.source_of(path))


def _steps(_group: str, _language: str, own: Mapping[str, Any]) -> Iterable[Row]:
    for name, step in STEPS.items():
        path = f"steps.{name}"
        unit = "%" if step.unit == "1" else step.unit
        label = _("from %(low)s to %(high)s") % {
            "low": practice_words.shown(step.low, step.unit),
            "high": practice_words.shown(step.high, step.unit),
        }
        fields = [Field(path, label, "number", _text(own.get(name), unit), _text(step.shipped, unit), unit)]
        yield Row(path, str(practice_words.STEP_NAMES[name]), fields, practice_words.source_of(path))


def _rules(group: str, _language: str, own: Mapping[str, Any]) -> Iterable[Row]:
    for key in practice_words.rule_keys(group):
        rule, path, row = shipped_rules()[key], f"rules.{key}", own.get(key, {})
        fields = []
        if not fixed_rule(key):
            options = tuple((name, str(rule_words.STRENGTHS[name])) for name in strengths_of(key))
            strength = row.get("strength", rule.strength)
            fields = [
                Field(f"{path}.strength", _("Strength"), "choice", strength, rule.strength, options=options),
                Field(f"{path}.off", _("Not followed, because"), "text", row.get("off", ""), ""),
            ]
        note = "" if fields else _("Keeps riders safe: not the shop's to change.")
        says = practice_words.rule_says(key)
        yield Row(path, practice_words.rule_name(key), fields, practice_words.source_of(path), note, says, key)


def _texts(group: str, language: str, own: Mapping[str, Any]) -> Iterable[Row]:
    for name in practice_words.all_sentences(group):
        path = f"texts.{language}.{name}"
        with override(language):
            says = str(sentences.SAID[name])
        needed = sorted(f"%({one})s" for one in wordings().needed[name])
        label = _("Own words; have to name %s") % ", ".join(needed) if needed else _("Own words")
        fields = [Field(path, label, "text", own.get(language, {}).get(name, ""), "")]
        yield Row(path, name, fields, says=(says,))


def _text(value: object, unit: str) -> str:
    if not isinstance(value, int | float) or isinstance(value, bool):
        return ""
    return plain(value * 100 if unit == "%" else value, 10)


def read(form: Form, post: Mapping[str, str], content: Mapping[str, Any]) -> dict[str, Any]:
    """Return a content with a group as typed in place of what it said of it; the fields keep what was typed."""
    for row in form.rows:
        for one in row.fields:
            one.value = post.get(one.path, "").replace("\x00", "").replace("\r\n", "\n").strip()[:MOST_KEPT]
    table = {
        key: dict(rows) if isinstance(rows, Mapping) else rows for key, rows in content.get(form.table, {}).items()
    }
    put = {"targets": _put_targets, "steps": _put_steps, "rules": _put_rules, "texts": _put_texts}[form.table]
    put(form, table)
    return {**content, form.table: {key: rows for key, rows in table.items() if rows != {}}}


def _put_targets(form: Form, table: dict[str, Any]) -> None:
    bands = {}
    for row, target in zip(form.rows, TARGETS[form.group], strict=True):
        low, high = row.fields
        if low.value or high.value:
            bands[target.key] = {
                "low": _read(low.value, low.unit) if low.value else target.low,
                "high": _read(high.value, high.unit) if high.value else target.high,
            }
    table[form.group] = bands


def _put_steps(form: Form, table: dict[str, Any]) -> None:
    table.clear()
    for row, name in zip(form.rows, STEPS, strict=True):
        if row.fields[0].value:
            table[name] = _read(row.fields[0].value, row.fields[0].unit)


def _put_rules(form: Form, table: dict[str, Any]) -> None:
    for row, key in zip(form.rows, practice_words.rule_keys(form.group), strict=True):
        table.pop(key, None)
        if row.fields:
            strength, off = row.fields
            said = {"strength": strength.value or strength.shipped}
            table[key] = said | ({"off": off.value} if off.value else {})


def _put_texts(form: Form, table: dict[str, Any]) -> None:
    texts = dict(table.get(form.language, {}))
    for row, name in zip(form.rows, practice_words.all_sentences(form.group), strict=True):
        texts.pop(name, None)
        if row.fields[0].value:
            texts[name] = row.fields[0].value
    table[form.language] = texts


def _read(text: str, unit: str) -> object:
    """Return a number as typed, in the unit of the data; the text itself where it cannot be read."""
    dimension, told = ("share", "%") if unit == "%" else ("length", "mm")
    try:
        if dimension == "length":
            return typed.parse(text, dimension, told).canonical
        return typed.parse(text.removesuffix("%").strip(), "count", "1").canonical / 100
    except typed.NotANumber:
        return text


def place(form: Form, faults: Iterable[Fault]) -> None:
    """Put each refusal at the field it belongs to; the others stand loose."""
    at = {one.path: one for row in form.rows for one in row.fields}
    for fault in faults:
        text = practice_words.fault_text(fault)
        found = at.get(fault.path)
        if found is None:
            form.loose.append(f"{practice_words.name_of(fault.path)}: {text}" if fault.path != "why" else text)
        else:
            found.error = " ".join(filter(None, [found.error, text]))
