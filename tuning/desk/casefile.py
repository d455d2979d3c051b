"""All that a tuner sees of one round, gathered from the records and worded in metric units and as typed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from django.db.models import QuerySet
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from intake import words
from intake.case import current_readings, current_settings, stop_gate
from intake.choices import Done
from intake.models import Answer, Reading, Round, SetupRequest
from intake.presentation import UnitPrefs, plain, show, unit_label
from intake.services import advice
from intake.services.requests import check_from_json
from tuning.desk import editing, practice, rule_words, sentences, services, similar, value_words
from tuning.desk import words as desk_words
from tuning.desk.causes import Entry, Shown, entries, folded, shown
from tuning.desk.drawings import strip_of, travel_strip
from tuning.desk.looking_back import LookingBack, looking_back
from tuning.desk.models import Recommendation
from tuning.desk.similar_words import Near, near_to
from tuning.engine.derivation import Derivation
from tuning.engine.errors import EngineInputError
from tuning.engine.quantities import ENDS, QUANTITIES
from tuning.engine.serial import derivation_from_json
from tuning.engine.values import VALUES
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement import assess, rank
from tuning.judgement.catalogue import SETTLED_IDS
from tuning.judgement.model import Assessment

PREFS = UnitPrefs.metric()


@dataclass(frozen=True, slots=True)
class CaseFile:
    """One round as the case page shows it. ``faults``: why nothing could be derived, if so."""

    round: Round
    readings: tuple[dict[str, str], ...]
    checks: tuple[dict[str, str], ...]
    stop: tuple[dict[str, str], ...]
    stopped: bool
    answers: tuple[dict[str, str], ...]
    symptoms: tuple[dict[str, Any], ...]
    settings: tuple[dict[str, str], ...]
    gates: tuple[dict[str, Any], ...]
    derived: tuple[dict[str, str], ...]
    strips: tuple[SafeString, ...]
    back: LookingBack
    faults: tuple[str, ...]
    causes: tuple[Shown, ...] = ()
    near: Near = field(default_factory=Near)
    followed: tuple[dict[str, str], ...] = ()

    @property
    def inspect(self) -> list[str]:
        """What is to be looked at before anything is adjusted, unless more speaks against it than for it."""
        return [one.name for one in self.causes if one.cause.inspect and not one.contrary]

    @property
    def folded_away(self) -> int:
        return sum(len(entry.causes) for entry in self.ranked[1])

    @property
    def ranked(self) -> tuple[list[Entry], list[Entry]]:
        """The causes to be shown open, and those to be folded away."""
        return folded(entries(self.causes))

    @property
    def workings(self) -> list[tuple[str, list[dict[str, str]]]]:
        """What no target is set for, by theme."""
        rows = (row for row in self.derived if not row["verdict"])
        return [(theme, list(group)) for theme, group in groupby(rows, key=lambda row: row["theme"])]

    @property
    def passed(self) -> int:
        return sum(1 for row in self.checks if row["shape"] == "ok")


def sent_rounds(request: SetupRequest) -> list[Round]:
    """Return the rounds that were sent, latest first."""
    return list(request.rounds.filter(sent_at__isnull=False).order_by("-number"))


def gather(round: Round) -> CaseFile:
    """Return everything of a round that was sent. A round that cannot be derived keeps its readings and says why."""
    readings = current_readings(round)
    derivation: Derivation | None = None
    assessment: Assessment | None = None
    ranked: tuple[Shown, ...] = ()
    faults: tuple[str, ...] = ()
    own: Mapping[str, str] = {}
    near = Near()
    try:
        row = services.derive_round(round)
        derivation = derivation_from_json(row.result)
        dossier = services.dossier(round, row)
        holds = practice.current()
        by = practice.built(holds)
        assessment = assess(dossier, by)
        found = similar.found_for(round, dossier)
        judged = similar.with_evidence(dossier, found)
        ranked = shown(rank(judged, assessment.findings, by.cause_rules), PREFS)
        near = near_to(round, dossier, found, PREFS)
        own = practice.words_of(holds, get_language() or "")
    except EngineInputError as error:
        faults = tuple(editing.fault_text(fault) for fault in error.faults)
    stop = tuple(_stop(round))
    strips = tuple(travel_strip(strip_of(end, derivation, readings), PREFS) for end in ENDS) if derivation else ()
    return CaseFile(
        round=round,
        readings=tuple(_readings(readings)),
        checks=tuple(_checks(round)),
        stop=stop,
        stopped=any(row["shape"] != "ok" for row in stop),
        answers=tuple(_answers(round)),
        symptoms=tuple(_symptoms(round)),
        settings=tuple(_settings(round)),
        gates=tuple(_gates(assessment, own)) if assessment else (),
        derived=tuple(_derived(derivation, assessment)) if derivation and assessment else (),
        strips=strips,
        back=looking_back(assessment.review, PREFS) if assessment else LookingBack(),
        faults=faults,
        causes=ranked,
        near=near,
        followed=tuple(_followed(round)),
    )


def _readings(rows: list[Reading]) -> Iterator[dict[str, str]]:
    for row in rows:
        spec = QUANTITIES[row.quantity]
        beside = [str(words.APPROACHES[row.approach]), str(words.LOADS.get(row.load_state, ""))]
        if row.method == "catalogue":
            beside.append(_("from the catalogue"))
        yield {
            "name": words.quantity_name(row.quantity, row.end, row.leg),
            "beside": ", ".join(part for part in beside if part),
            "typed": desk_words.as_typed(row.text, row.unit),
            "canonical": f"{show(row.value, spec.dimension, PREFS)} ± {show(row.half_width, spec.dimension, PREFS)}",
            "method": row.method,
        }


def _checks(round: Round) -> Iterator[dict[str, str]]:
    shapes = {"passes": "ok", "second_look": "ask", "blocks": "stop"}
    order = list(reversed(shapes))
    for row in sorted(round.checks, key=lambda item: order.index(item["verdict"])):
        check = check_from_json(row)
        end = str(words.ENDS[check.end])
        yield {
            "shape": shapes[check.verdict],
            "verdict": str(words.VERDICTS[check.verdict]),
            "text": words.check_text(check, PREFS),
            "end": end,
        }


def _stop(round: Round) -> Iterator[dict[str, str]]:
    """Yield the stop questions this round did not answer with no, and those it says have been put right."""
    before, given = stop_gate(round)
    for question in STOP_QUESTIONS:
        value = given.get(question, "")
        answer, shape = str(words.answer_name(value)), "stop" if value == "yes" else "ask"
        if value == "no" and question not in before:
            continue
        if value == "no":
            answer, shape = _("no: put right since the last report"), "ok"
        elif not value:
            answer = _("not answered")
        elif value == "yes" and question in before:
            answer = _("yes, standing since an earlier round")
        yield {"text": str(words.stop_question(question)), "answer": answer, "shape": shape}


def _answers(round: Round) -> Iterator[dict[str, str]]:
    for row in Answer.objects.filter(round=round).exclude(question__in=STOP_QUESTIONS).order_by("question", "end"):
        name = str(words.QUESTION_NAMES[row.question])
        yield {
            "name": f"{words.ENDS[row.end]}: {name}" if row.end else name,
            "value": str(words.answer_name(row.value)),
        }


def _symptoms(round: Round) -> Iterator[dict[str, Any]]:
    for row in round.symptoms.order_by("-severity", "symptom"):
        yield {
            "name": str(words.symptom_name(row.symptom)),
            "end": str(words.ENDS[row.end]),
            "severity": row.severity,
            "change": str(words.answer_name(row.change)) if row.change else "",
        }


def _settings(round: Round) -> Iterator[dict[str, str]]:
    for setting in sorted(current_settings(round).values(), key=lambda row: row.adjuster.key):
        one = setting.adjuster
        yield {
            "name": words.adjuster_name(one.key),
            "text": words.setting_text(one.kind, setting.value, one.unit, one.counted_from, PREFS, setting.mode),
            "range": f"{plain(one.range_counted)} {unit_label(one.unit)}" if one.range_counted else "–",
        }


def _followed(round: Round) -> Iterator[dict[str, str]]:
    """Yield what the sheet before this round told to change, in its own words, and what became of it."""
    if not round.advised:
        return
    said = advice.said_of([round])[round.pk]
    shapes = {Done.AS_TOLD: "ok", Done.OTHERWISE: "ask", Done.NOT_DONE: "todo", Done.UNDONE: "stop"}
    for told in advice.advised(round):
        word = said.get(told["key"])
        yield {
            "number": str(told["number"]),
            "name": told["title"],
            "from": told["from_text"],
            "to": told["to_text"],
            "done": str(Done(word.done).label) if word else _("not said"),
            "shape": shapes[Done(word.done)] if word else "todo",
            "note": word.note if word else "",
        }


def _gates(assessment: Assessment, own: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    shapes = {"passed": "ok", "stands_here": "doing", "waiting": "todo"}
    for gate in assessment.gates:
        yield {
            "name": sentences.GATES[gate.id],
            "shape": shapes[gate.state],
            "state": sentences.GATE_STATES[gate.state],
            "here": gate.state == "stands_here",
            "reasons": [desk_words.said(said, PREFS, own) for said in gate.reasons],
        }


def _derived(derivation: Derivation, assessment: Assessment) -> Iterator[dict[str, str]]:
    findings = {row.key: row for row in assessment.findings}
    shapes = {"in_band": "ok", "below": "doing", "above": "doing", "cannot_tell": "ask"}
    order = {name: place for place, name in enumerate(VALUES)}
    for value in sorted(
        derivation.values.values(), key=lambda one: (one.key not in findings, order.get(one.id, len(order)))
    ):
        finding = findings.get(value.key)
        yield {
            "theme": str(value_words.THEMES[VALUES[value.id].theme]),
            "name": desk_words.derived_name(value.key),
            "text": desk_words.derived_text(value, PREFS),
            "target": desk_words.target_text(finding.target, PREFS) if finding else "",
            "source": rule_words.source_text(finding.target.source) if finding else "",
            "verdict": str(sentences.VERDICTS[finding.verdict]) if finding else "",
            "shape": shapes[finding.verdict] if finding else "",
            "decide": desk_words.decide_text(finding.decide) if finding and finding.decide else "",
        }


def settling(recommendation: Recommendation | None) -> list[str]:
    """Return why a recommendation proposes to settle the request; empty when it does not."""
    notes = recommendation.content["notes"] if recommendation else ()
    return [desk_words.said(row, PREFS) for row in notes if row["id"] in SETTLED_IDS]


def recommendations(request: SetupRequest) -> QuerySet[Recommendation]:
    """Return a request's recommendations, latest first, with documents and jobs read along."""
    return (
        Recommendation.objects.filter(round__request=request)
        .exclude(state=Recommendation.State.DROPPED)
        .select_related("round__request", "document__approved_by")
        .prefetch_related("document__jobs__sheet")
        .order_by("-round__number", "-version")
    )
