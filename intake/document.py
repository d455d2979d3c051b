"""The request document, schema 1: one JSON document that makes the same records as the form, by the same services."""

from collections.abc import Collection, Iterator, Mapping
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from intake import typed
from intake.choices import SettingKind
from intake.models import Round, SetupRequest
from intake.services import readings, requests
from tuning.engine.errors import Fault

SCHEMA = 1
#: Where in the document the thing stands that keeps a round from being sent.
_PLACE = {
    "discipline_missing": "aim.discipline",
    "consent_missing": "consent",
    "rider_mass_missing": "readings",
    "lengths_missing": "readings",
}


class DocumentError(ValueError):
    """A document that cannot be read into a request: every fault with path, value and reason."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("; ".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


@transaction.atomic
def accept(document: Mapping[str, Any]) -> SetupRequest:
    """Make a request of a document whose shape has been checked, and send it when it says so.

    Raises DocumentError listing every fault; then nothing is stored.
    """
    round_, faults = _make(document)
    request = round_.request
    if faults:
        faults += _lacking(round_, document, {fault.path for fault in faults})
    elif document.get("send", True):
        faults += _send(round_, str(document.get("doubt_note", "")))
    if faults:
        raise DocumentError(faults)
    if not document.get("send", True):
        requests.mail_link(request)
    request.refresh_from_db()
    return request


def content_faults(document: Mapping[str, Any], unread: Collection[str]) -> list[Fault]:
    """Return what is wrong with the content of a document that cannot be read at the paths ``unread``.

    A member of a list that cannot be read is None. Nothing is stored.
    """
    with transaction.atomic():
        round_, faults = _make(document)
        faults += _lacking(round_, document, {fault.path for fault in faults} | set(unread))
        transaction.set_rollback(True)
    return faults


def _lacking(round_: Round, document: Mapping[str, Any], wrong: Collection[str]) -> list[Fault]:
    """Return what the document lacks to be sent and does not tell at all: what stands there, but wrong (at a path of
    ``wrong``), is told as a fault already."""
    if not document.get("send", True) or "send" in wrong:
        return []
    rows = document.get("readings") or []
    told = {(row["quantity"], row.get("end", "")) for row in rows if row}
    hidden = None in rows or "readings" in wrong
    all_lengths = any(all((quantity, end) in told for quantity in requests.CORE) for end in ("front", "rear"))
    covered = {
        "rider_mass_missing": hidden or ("rider_mass", "") in told,
        "lengths_missing": hidden or all_lengths,
    }
    problem = requests.NotReady(requests.problems_before_sending(round_), requests.stop_unanswered(round_))
    return [
        fault
        for fault in lacking(problem)
        if not covered.get(fault.reason, False)
        and not any(fault.path == path or fault.path.startswith(f"{path}.") for path in wrong)
    ]


def _make(document: Mapping[str, Any]) -> tuple[Round, list[Fault]]:
    """Make the request of a document, all but its sending; return its round and the faults of its content."""
    client = document["client"]
    units = client.get("units") or {}
    request = requests.start_request(
        language=client.get("language") or "en",
        name=client.get("name", ""),
        email=client.get("email", ""),
        paper=client.get("paper") or "A4",
        **{f"{dimension}_unit": unit for dimension, unit in units.items()},
    )
    aim = dict(document.get("aim") or {})
    aim["aim"] = aim.pop("words", "")
    if aim.get("event_date"):
        aim["event_date"] = date.fromisoformat(str(aim["event_date"]))
    else:
        aim.pop("event_date", None)
    requests.describe_aim(request, **aim)
    requests.describe_bike(request, **(document.get("bike") or {}))
    round_ = request.round()
    round_.request = request
    faults = list(_fill(round_, document))
    if document.get("words"):
        round_.words = document["words"]
        round_.save(update_fields=["words"])
    if document.get("consent"):
        request.consent_at = timezone.now()
        request.save(update_fields=["consent_at"])
    return round_, faults


def add_readings(round_: Round, rows: list[Mapping[str, Any]]) -> None:
    """Add readings to an open round. Raises DocumentError; then none of them is stored."""
    with transaction.atomic():
        faults = list(_readings(round_, rows, "readings"))
        if faults:
            raise DocumentError(faults)


def _send(round_: Round, note: str) -> Iterator[Fault]:
    try:
        requests.send_round(round_, doubt_note=note)
    except requests.NotReady as problem:
        yield from lacking(problem)


def lacking(problem: requests.NotReady) -> Iterator[Fault]:
    """Yield what keeps a round from being sent, where it would stand in the document: one fault a stop question."""
    for question in problem.unanswered:
        yield Fault(f"stop.{question}", None, "stop_answer_missing", {"question": question})
    for _step, reason in problem.problems:
        if reason in _PLACE:
            yield Fault(_PLACE[reason], None, reason)


def _fill(round_: Round, document: Mapping[str, Any]) -> Iterator[Fault]:
    for question, value in (document.get("stop") or {}).items():
        yield from _try(f"stop.{question}", value, readings.answer, round_, question, "", value)
    yield from _readings(
        round_, document.get("readings") or [], "readings", str(document.get("load_state") or "solo")
    )
    for index, row in _told(document.get("adjusters")):
        yield from _adjuster(round_, row, f"adjusters[{index}]")
    for index, row in _told(document.get("answers")):
        path = f"answers[{index}]"
        yield from _try(
            path, row["value"], readings.answer, round_, row["question"], row.get("end", ""), row["value"]
        )
    rows = [
        (s["id"], s.get("end", ""), int(s.get("severity", 2)), s.get("change", ""))
        for _index, s in _told(document.get("symptoms"))
    ]
    yield from _try("symptoms", None, readings.put_symptoms, round_, rows)


def _told(rows: list[Mapping[str, Any]] | None) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """Yield the members of a list that can be read, each with its place in the list."""
    return ((index, row) for index, row in enumerate(rows or []) if row is not None)


def _try(path: str, value: object, step: Any, *args: Any, **kwargs: Any) -> Iterator[Fault]:
    try:
        step(*args, **kwargs)
    except typed.NotANumber as problem:
        yield Fault(path, problem.text, problem.reason, problem.params)
    except readings.NotRecordable as problem:
        yield Fault(path, problem.value if value is None else value, problem.reason)


def _readings(round_: Round, rows: list[Mapping[str, Any]], path: str, load_state: str = "") -> Iterator[Fault]:
    for index, row in _told(rows):
        state = row.get("load_state", "")
        if not state and row["quantity"] == "length_rider_aboard":
            state = load_state
        yield from _try(
            f"{path}[{index}].value",
            row["value"],
            readings.record_reading,
            round_,
            quantity=row["quantity"],
            end=row.get("end", ""),
            leg=row.get("leg", ""),
            load_state=state,
            approach=row.get("approach") or "as_is",
            repeat=int(row.get("repeat") or 1),
            text=str(row["value"]),
            unit=row["unit"],
            method=row.get("method", ""),
        )


def _adjuster(round_: Round, row: Mapping[str, Any], path: str) -> Iterator[Fault]:
    numbers: dict[str, float | None] = {}
    for name, dimension, unit in (("range_counted", "count", "1"), ("step_mm", "length", "mm")):
        text = str(row.get(name) or "")
        try:
            numbers[name] = _count(text, dimension, unit) if text else None
        except typed.NotANumber as problem:
            yield Fault(f"{path}.{name}", text, problem.reason, problem.params)
            numbers[name] = None
    try:
        adjuster = readings.put_adjuster(
            round_.request.bike,
            row["key"],
            unit=row["unit"],
            counted_from=row.get("counted_from") or "closed",
            range_counted=numbers["range_counted"],
            step_mm=numbers["step_mm"],
        )
    except readings.NotRecordable as problem:
        where = {"not_a_range": "range_counted", "not_a_step": "step_mm", "unknown_unit": "unit"}
        yield Fault(f"{path}.{where.get(problem.reason, 'key')}", problem.value, problem.reason)
        return
    found, mode = str(row.get("found") or ""), str(row.get("mode") or "")
    if found or mode:
        yield from _try(
            f"{path}.found",
            found,
            readings.record_setting,
            round_,
            adjuster,
            SettingKind.FOUND,
            text=found,
            mode=mode,
        )


def _count(text: str, dimension: str, unit: str) -> float:
    return typed.parse(text, dimension, unit).canonical
