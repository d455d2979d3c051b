"""The content of a recommendation as JSON: from a draft of the judgement, and checked when a tuner saves it.

{"schema": 2, "changes": [...], "predictions": [...], "stop": [...], "questions": [...], "notes": [...],
 "ride_test": [ids], "tuner_note": ""}, and what ``tuning.desk.ways`` tells of options and steps. A change holds the
fields of ``judgement.model.Change`` and ``text``, the tuner's own words for title, why and how ("" for ours).
"""

from collections.abc import Iterator, Mapping
from dataclasses import asdict, fields, replace
from typing import Any

from intake import case as cases
from intake.models import Adjuster, Round
from intake.services.requests import check_from_json
from tuning.desk.history import sent_again, tried_in
from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.errors import Fault
from tuning.judgement.catalogue import CAUTION_IDS, CHANGE_KINDS, HOW_IDS, RIDE_TEST_IDS, SAID_IDS, VERIFY_IDS
from tuning.judgement.history import Past
from tuning.judgement.model import Change, Dossier, Draft, Prediction, Said, Symptom
from tuning.judgement.rulebook import PROCEDURES

SCHEMA = 2
#: Doubts of the intake, as stored at sending, that a draft asks about: a wrong unit moves every number behind it.
DECIDING = frozenset({"other_unit"})
OWN_WORDS = ("title", "why", "how")
LONGEST_WORDS = 2000


def dossier_of(round: Round, case: Case, derivation: Derivation, history: tuple[Past, ...]) -> Dossier:
    """Return everything that is judged of a round, with the rounds before it."""
    request = round.request
    doubts = tuple(row for row in map(check_from_json, round.checks) if row.id in DECIDING)
    return Dossier(
        case=case,
        derivation=replace(derivation, checks=derivation.checks + doubts),
        stop_answers=cases.stop_answers(round),
        symptoms=tuple(
            Symptom(row.symptom, row.end, row.severity) for row in cases.symptoms(round) if row.change != "gone"
        ),
        skill=request.skill,
        budget=request.budget,
        words=" ".join((round.words, request.aim)),
        tried=tried_in(history, case),
        history=history,
        sent_again=bool(history) and sent_again(round),
    )


def content_of(draft: Draft) -> dict[str, Any]:
    """Return a draft as the JSON that a tuner edits."""
    return {
        "schema": SCHEMA,
        "changes": [{**plain(asdict(change)), "text": dict.fromkeys(OWN_WORDS, "")} for change in draft.changes],
        "predictions": predictions_of(draft.predictions),
        "stop": [plain(asdict(said)) for said in draft.stop],
        "questions": [plain(asdict(said)) for said in draft.questions],
        "notes": [plain(asdict(said)) for said in draft.notes],
        "ride_test": list(draft.ride_test),
        "tuner_note": "",
    }


def changes_of(content: Mapping[str, Any]) -> tuple[Change, ...]:
    """Return a content's changes as the judgement knows them, without the tuner's own words."""
    known = {field.name for field in fields(Change)}
    changes = []
    for row in content["changes"]:
        kept: dict[str, Any] = {
            name: tuple(value) if isinstance(value, list) else value for name, value in row.items() if name in known
        }
        kept["why"] = tuple(Said(said["id"], said["params"]) for said in row["why"])
        changes.append(Change(**kept))
    return tuple(changes)


def predictions_of(predictions: tuple[Prediction, ...]) -> list[dict[str, Any]]:
    return [plain(asdict(row)) for row in predictions]


def plain(value: Any) -> Any:
    """Return a value as JSON has it: mappings as objects, tuples as lists."""
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    return value


def blank_change(adjuster: Adjuster, start: float | None) -> dict[str, Any]:
    """Return a change that a tuner adds for an adjuster, with all that belongs to its kind."""
    kind = adjuster.kind if adjuster.kind in PROCEDURES else "compression"
    procedure = PROCEDURES[kind]
    return {
        "key": f"own.{adjuster.key}",
        "kind": kind,
        "end": adjuster.end,
        "leg": adjuster.leg,
        "adjuster": adjuster.key,
        "start": start,
        "target": start,
        "unit": adjuster.unit,
        "why": [],
        "how": list(procedure.how),
        "verify": list(procedure.verify),
        "cautions": list(procedure.cautions),
        "critical": list(procedure.critical),
        "skill": procedure.skill,
        "have_it_done": False,
        "rule": "",
        "together": "",
        "compromise": False,
        "text": dict.fromkeys(OWN_WORDS, ""),
    }


def with_words_of(content: Mapping[str, Any], before: Mapping[str, Any]) -> dict[str, Any]:
    """Return a content with the tuner's own words of an earlier one: the note, and those of changes in both."""
    own = {change["key"]: change["text"] for change in before["changes"] if change.get("text")}
    changes = [{**change, "text": own.get(change["key"], change["text"])} for change in content["changes"]]
    return {**content, "changes": changes, "tuner_note": before["tuner_note"]}


def with_critical(change: dict[str, Any]) -> dict[str, Any]:
    """Return a change with the critical cautions of its kind, whatever an editor left of them."""
    procedure = PROCEDURES[change["kind"]]
    cautions = list(dict.fromkeys([*change["cautions"], *procedure.critical]))
    critical = list(dict.fromkeys([*change["critical"], *procedure.critical]))
    return {**change, "cautions": cautions, "critical": critical}


def faults_of(content: Mapping[str, Any], adjusters: Mapping[str, Adjuster]) -> Iterator[Fault]:
    """Yield what is wrong with a content, with paths: unknown ids, adjusters the bike lacks, targets out of range."""
    seen: set[str] = set()
    for index, change in enumerate(content["changes"]):
        path = f"changes[{index}]"
        if change["key"] in seen:
            yield Fault(f"{path}.key", change["key"], "told_twice")
        seen.add(change["key"])
        if change["kind"] not in CHANGE_KINDS:
            yield Fault(f"{path}.kind", change["kind"], "unknown_change", {"known": CHANGE_KINDS})
        for name, known in (
            ("how", HOW_IDS),
            ("verify", VERIFY_IDS),
            ("cautions", CAUTION_IDS),
            ("critical", CAUTION_IDS),
        ):
            for item in change.get(name, []):
                if item not in known:
                    yield Fault(f"{path}.{name}", item, "unknown_id")
        for name in OWN_WORDS:
            words = (change.get("text") or {}).get(name, "")
            if len(words) > LONGEST_WORDS:
                yield Fault(f"{path}.text.{name}", words[:40], "too_long", {"longest": LONGEST_WORDS})
        yield from _said_faults(f"{path}.why", change.get("why", []))
        yield from _number_faults(path, change, adjusters)
    for name in ("stop", "questions", "notes"):
        yield from _said_faults(name, content.get(name, []))
    for item in content.get("ride_test", []):
        if item not in RIDE_TEST_IDS:
            yield Fault("ride_test", item, "unknown_id")


def _said_faults(path: str, rows: list[Mapping[str, Any]]) -> Iterator[Fault]:
    for index, said in enumerate(rows):
        if said["id"] not in SAID_IDS:
            yield Fault(f"{path}[{index}].id", said["id"], "unknown_id")
        elif set(said.get("params", {})) != set(SAID_IDS[said["id"]]):
            yield Fault(f"{path}[{index}].params", sorted(said.get("params", {})), "wrong_params")


def _number_faults(path: str, change: Mapping[str, Any], adjusters: Mapping[str, Adjuster]) -> Iterator[Fault]:
    if not change["adjuster"]:
        return
    adjuster = adjusters.get(change["adjuster"])
    if adjuster is None:
        yield Fault(f"{path}.adjuster", change["adjuster"], "bike_lacks_it", {"known": tuple(adjusters)})
        return
    low, high = limits(adjuster)
    for name in ("start", "target"):
        value = change[name]
        if value is not None and (value < low or (high is not None and value > high)):
            yield Fault(f"{path}.{name}", value, "outside_range", {"low": low, "high": high, "unit": adjuster.unit})


def limits(adjuster: Adjuster) -> tuple[float, float | None]:
    """Return the least and (None when never counted) the most an adjuster can be set to, in its unit."""
    if adjuster.kind == "ride_height":
        return -60.0, 60.0
    if adjuster.kind == "fork_position":
        return 0.0, 60.0
    return 0.0, adjuster.range_counted
