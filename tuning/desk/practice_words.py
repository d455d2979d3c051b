"""The shop's practice in words: tables and their groups, entries and what they say, and why something is refused."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.api import reasons
from intake.choices import Discipline
from intake.presentation import amount
from tuning.desk import rule_words, sentences
from tuning.desk import words as desk_words
from tuning.desk.practice import Difference
from tuning.engine.case import DISCIPLINES
from tuning.engine.errors import Fault
from tuning.judgement.causebook import CAUSE_RULES, PHASES, CauseRule
from tuning.judgement.model import GATES
from tuning.judgement.practice import STEPS, band, shipped_rules
from tuning.judgement.rulebook import RULES, SENTENCES, Rule

TABLES: Mapping[str, Any] = {
    "targets": _("Target bands"),
    "steps": _("Steps and clearance"),
    "rules": _("Rules and their strength"),
    "texts": _("Sentences"),
}
ABOUT: Mapping[str, Any] = {
    "targets": _("Where sag and reserve are wanted, by discipline. An empty field stands for the shipped number."),
    "steps": _("How far one change goes, and how much room is left. An empty field stands for the shipped number."),
    "rules": _("How strongly a rule speaks, and which rules this shop does not follow, with the reason."),
    "texts": _(
        "The shop's own words for a sentence. What stands in brackets with a percent sign is filled in with a number "
        "or a name; it has to stay. An empty field stands for the shipped words. Notices that stop a ride stay."
    ),
}
STEP_NAMES: Mapping[str, Any] = {
    "damping_share": _("One damping change, share of the counted range"),
    "height_mm": _("One change of fork position or rear height, at most"),
    "clearance_mm": _("Least room between tyre and bodywork when the legs go up"),
}
#: Sentences by what they do, in the order of the groups.
SENTENCE_GROUPS: Mapping[str, Any] = {
    "ask": _("Questions to the client"),
    "why": _("Reasons and notes"),
    "rounds": _("What earlier rounds teach"),
}
OFF = _("not followed: %(why)s")
REASONS: Mapping[str, Any] = {
    "not_a_table": _("A table with entries by name is wanted here."),
    "unknown_table": _("There is no such table."),
    "unknown_step": _("There is no such step."),
    "unknown_rule": _("There is no such rule; the page of all rules has their ids."),
    "unknown_strength": _("A rule of this kind has no such strength."),
    "unknown_language": _("The desk does not write in this language."),
    "unknown_sentence": _("There is no such sentence."),
    "not_a_band": _("A band has just a low and a high end."),
    "not_a_rule": _("Of a rule, its strength or the reason why it is not followed is told."),
    "out_of_bounds": _("This is more or less than a shop may set."),
    "low_not_below_high": _("The low end has to lie below the high end. Lower it, or raise the other."),
    "rule_is_needed": _("This rule keeps riders safe. It stays as it is: leave its entry out."),
    "no_reason": _("Write why the shop does not follow this rule, or follow it."),
    "sentence_is_fixed": _("Notices that stop a ride keep their wording: leave this entry out."),
    "empty_text": _("There are no words here. Leave the entry out for the shipped words."),
    "strange_parameters": _("The sentence is given no such value. Take it out."),
    "missing_parameters": _("The sentence has to name what the shipped one names. Put it in."),
    "stray_percent": _("A percent sign of its own is written twice, like 10 %%."),
    "why_missing": _("Write in a few words why; whoever reads the history later will want to know."),
}


def groups(table: str) -> dict[str, Any]:
    """Return a table's groups, one page each, by id."""
    if table == "targets":
        return {name: Discipline(name).label for name in DISCIPLINES}
    if table == "rules":
        gates = {f"gate.{gate}": sentences.GATES[gate] for gate in GATES if any(r.gate == gate for r in RULES)}
        phases = {f"phase.{name}": rule_words.PHASES[name] for name in PHASES}
        return gates | phases
    return dict(SENTENCE_GROUPS) if table == "texts" else {"all": TABLES["steps"]}


def rule_keys(group: str) -> tuple[str, ...]:
    """Return the keys of the rules of a gate or a phase."""
    kind, _dot, name = group.partition(".")
    if kind == "gate":
        return tuple(f"draft.{rule.id}" for rule in RULES if rule.gate == name)
    return tuple(f"cause.{rule.id}" for rule in CAUSE_RULES if rule.phase == name)


def sentence_group(name: str) -> str:
    if name.startswith("ask_"):
        return "ask"
    return "rounds" if name.startswith(("seen_", "round_", "settled_")) else "why"


def group_of(path: str) -> tuple[str, str]:
    """Return the table and the group of its pages in which an entry is edited."""
    table, _dot, rest = path.partition(".")
    if table == "targets":
        return table, rest.partition(".")[0]
    if table == "rules":
        rule = shipped_rules().get(rest)
        return table, f"gate.{rule.gate}" if isinstance(rule, Rule) else f"phase.{rule.phase}" if rule else ""
    return table, sentence_group(rest.partition(".")[2]) if table == "texts" else "all"


def name_of(path: str) -> str:
    """Return what an entry is about; the path itself for one that is not known."""
    table, _dot, rest = path.partition(".")
    if table == "targets":
        discipline, _dot, key = rest.partition(".")
        if band(discipline, key):
            return now("%(discipline)s: %(value)s") % {
                "discipline": Discipline(discipline).label,
                "value": desk_words.derived_name(key),
            }
    if table == "steps" and rest in STEPS:
        return str(STEP_NAMES[rest])
    if table == "rules" and rest in shipped_rules():
        return f"{rule_name(rest)} · {rest}"
    if table == "texts":
        return rest.partition(".")[2].replace("_", " ")
    return path


def rule_name(key: str) -> str:
    rule = shipped_rules()[key]
    title = rule_words.draft_title(rule) if isinstance(rule, Rule) else _cause_name(rule)
    return title[:1].upper() + title[1:]


def rule_says(key: str) -> tuple[str, ...]:
    """Return when a rule of the draft speaks, or what a rule of a cause says."""
    rule = shipped_rules()[key]
    if isinstance(rule, Rule):
        return (now("When: %s.") % "; ".join(rule_words.draft_needs(rule)),)
    return (rule_words.statement(rule),)


def _cause_name(rule: CauseRule) -> str:
    complaints = ", ".join(str(words.symptom_name(symptom)) for symptom in rule.symptoms[:2])
    more = " …" if len(rule.symptoms) > 2 else ""
    return f"{rule_words.cause_title(rule.cause, rule.ends)} ({complaints}{more})"


def said_of(path: str, entry: Any) -> str:
    """Return what a version says of an entry; None: what the shipped data say."""
    table, _dot, rest = path.partition(".")
    if table == "targets":
        discipline, _dot, key = rest.partition(".")
        shipped = band(discipline, key)
        if shipped is None:
            return str(entry)
        low, high = (entry["low"], entry["high"]) if entry else (shipped.low, shipped.high)
        return now("%(low)s to %(high)s") % {"low": shown(low, shipped.unit), "high": shown(high, shipped.unit)}
    if table == "steps":
        step = STEPS[rest]
        return shown(step.shipped if entry is None else entry, step.unit)
    if table == "rules":
        rule = shipped_rules()[rest]
        row = entry or {}
        strength = str(rule_words.STRENGTHS[row.get("strength", rule.strength)])
        return ", ".join([strength, *([str(OFF) % {"why": row["off"]}] if "off" in row else [])])
    return str(sentences.SAID[rest.partition(".")[2]]) if entry is None else str(entry)


def source_of(path: str) -> str:
    """Return who says what the shipped data say; "" for a sentence."""
    table, _dot, rest = path.partition(".")
    if table == "targets":
        shipped = band(*rest.split(".", 1))
        return rule_words.source_text(shipped.source) if shipped else ""
    if table == "rules":
        rule = shipped_rules().get(rest)
        return rule_words.source_text(rule.source) if rule else ""
    return rule_words.source_text("common practice") if table == "steps" else ""


def shown(value: float, unit: str) -> str:
    """Return a number as the pages show it: shares in per cent."""
    return amount(value * 100, "%", 1) if unit == "1" else amount(value, unit, 1)


def told(rows: list[Difference]) -> list[dict[str, str]]:
    """Return differences in words."""
    return [
        {
            "path": row.path,
            "name": name_of(row.path),
            "before": said_of(row.path, row.before),
            "after": said_of(row.path, row.after),
            "source": source_of(row.path),
            "table": group_of(row.path)[0],
            "group": group_of(row.path)[1],
        }
        for row in rows
    ]


def fault_text(fault: Fault) -> str:
    """Return why something is refused, with what would do."""
    own = REASONS.get(fault.reason)
    if own is None:
        return reasons.said(fault.reason, fault.params)
    parts = [str(own).replace("%%", "%")]
    params = fault.params
    if "low" in params:
        unit = str(params["unit"])
        parts.append(
            now("From %(low)s to %(high)s is possible.")
            % {"low": shown(float(str(params["low"])), unit), "high": shown(float(str(params["high"])), unit)}
        )
    for name, text in (
        ("known", now("Known: %s.")),
        ("missing", now("Missing: %s.")),
        ("strange", now("Not known here: %s.")),
    ):
        values = params.get(name)
        if isinstance(values, tuple | list) and values:
            shape = "%%(%s)s" if fault.reason.endswith("parameters") else "%s"
            parts.append(text % ", ".join(shape % value for value in values))
    return " ".join(parts)


def all_sentences(group: str) -> tuple[str, ...]:
    """Return the ids of the sentences of a group that a shop may word."""
    return tuple(name for name in SENTENCES if not name.startswith("stop_") and sentence_group(name) == group)
