"""What a client adds to an open round: the stop gate's answers, readings, settings, answers, symptoms, words."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.db import transaction
from rest_framework import serializers

from intake.api import reasons
from intake.api.document import (
    ADJUSTER_KEY,
    LONGEST_NUMBER,
    MOST_ADJUSTERS,
    MOST_ANSWERS,
    MOST_READINGS,
    MOST_SYMPTOMS,
    AnswerSerializer,
    Choice,
    ReadingSerializer,
    StopSerializer,
    Strict,
    SymptomSerializer,
    Text,
    many,
)
from intake.api.faults import Fault, Faulty, fault
from intake.choices import SINCE, Done, SettingKind
from intake.models import Round
from intake.services import advice, asking, readings
from intake.services.readings import NotRecordable
from intake.typed import NotANumber


class AppliedSerializer(Strict):
    """Where an adjuster stands, as typed: found in round 1, as the client put it in later rounds."""

    key = serializers.RegexField(ADJUSTER_KEY, max_length=40)
    value = Text(LONGEST_NUMBER)
    mode = Text(40)


class ChangedSymptomSerializer(SymptomSerializer):
    change = Choice(SINCE, optional=True)


class FollowedSerializer(Strict):
    """What became of one change of the sheet before: its key in the round's ``advised``."""

    change = serializers.CharField(max_length=120)
    done = Choice(Done.values)
    note = Text(advice.LONGEST_NOTE)


class ReportSerializer(Strict):
    """Additions to the open round; what is left out stays as it is.

    ``stop``: since the last report, has any of this come up? Every round answers all nine before it can be sent.
    """

    stop = StopSerializer(required=False)
    readings = many(ReadingSerializer, MOST_READINGS, required=False)
    settings = many(AppliedSerializer, MOST_ADJUSTERS, required=False)
    followed = many(FollowedSerializer, MOST_ADJUSTERS, required=False)
    answers = many(AnswerSerializer, MOST_ANSWERS, required=False)
    symptoms = many(ChangedSymptomSerializer, MOST_SYMPTOMS, required=False)
    words = serializers.CharField(max_length=4000, required=False, allow_blank=True)


def record(round_: Round, report: Mapping[str, Any], wrong: Sequence[Fault] = ()) -> None:
    """Record all of a report. Raises Faulty with every fault; the caller's transaction then undoes the rest.

    ``wrong``: the faults of its shape, told before those of its content; a member that cannot be read is None.
    """
    found: list[Fault] = list(wrong)
    with transaction.atomic():
        for question, value in report.get("stop", {}).items():
            if value:
                readings.answer(round_, question, "", value)
        for index, row in _told(report.get("readings")):
            _reading(round_, row, f"readings[{index}]", found)
        _settings(round_, report.get("settings"), found)
        for index, row in _told(report.get("followed")):
            try:
                advice.follow(round_, row["change"], row["done"], row["note"])
            except NotRecordable as error:
                found.append(reasons.not_recordable(f"followed[{index}].change", error))
        for index, row in _told(report.get("answers")):
            try:
                readings.answer(round_, row["question"], row["end"], row["value"])
            except NotRecordable as error:
                found.append(reasons.not_recordable(f"answers[{index}].{reasons.at_path(error)}", error))
        if "symptoms" in report:
            rows = [(row["id"], row["end"], row["severity"], row["change"]) for _at, row in _told(report["symptoms"])]
            readings.put_symptoms(round_, rows)
        if "words" in report:
            round_.words = report["words"]
            round_.save(update_fields=["words"])
        if found:
            raise Faulty(found)
        asking.told(round_, list(_fields(report)))


def _fields(report: Mapping[str, Any]) -> Iterator[str]:
    """Yield the names of the form's fields that a report fills in."""
    for _at, row in _told(report.get("readings")):
        yield ".".join(part for part in (row["quantity"], row["end"], row["leg"]) if part)
    for _at, row in _told(report.get("settings")):
        yield f"{row['key']}.found"
    for _at, row in _told(report.get("answers")):
        yield ".".join(part for part in (row["question"], row["end"]) if part)
    yield from report.get("stop", {})


def _told(rows: list[Mapping[str, Any]] | None) -> list[tuple[int, Mapping[str, Any]]]:
    """Return the members of a list that can be read, each with its place in the list."""
    return [(index, row) for index, row in enumerate(rows or ()) if row is not None]


def _reading(round_: Round, row: Mapping[str, Any], path: str, found: list[Fault]) -> None:
    given = {key: value for key, value in row.items() if key != "value"}
    try:
        readings.record_reading(round_, text=row["value"], **given)
    except NotANumber as error:
        found.append(reasons.not_a_number(f"{path}.value", error))
    except NotRecordable as error:
        found.append(reasons.not_recordable(f"{path}.{reasons.at_path(error)}", error, row["quantity"]))


def _settings(round_: Round, rows: list[Mapping[str, Any]] | None, found: list[Fault]) -> None:
    kind = SettingKind.FOUND if round_.number == 1 else SettingKind.APPLIED
    adjusters = {row.key: row for row in round_.request.bike.adjusters.all()} if rows else {}
    for index, row in _told(rows):
        adjuster = adjusters.get(row["key"])
        if adjuster is None:
            message = reasons.said("unknown_adjuster")
            found.append(fault(f"settings[{index}].key", row["key"], "unknown_adjuster", message))
            continue
        try:
            readings.record_setting(round_, adjuster, kind, text=row["value"], mode=row["mode"])
        except NotANumber as error:
            found.append(reasons.not_a_number(f"settings[{index}].value", error))
        except NotRecordable as error:
            found.append(reasons.not_recordable(f"settings[{index}].value", error))
