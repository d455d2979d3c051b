"""What a sheet told the client to change, kept with the round after it, and what the client says became of it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypedDict

from django.db import transaction

from intake.choices import Done, RequestState
from intake.models import Followed, Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import readings, requests

LONGEST_NOTE = 200


class Told(TypedDict):
    """One change as the sheet tells it.

    key: its name in the sheet; name: the same with the sheet's number, so that what was said of an earlier version is
    never taken for this one; start and target in ``unit``, None where there is no number; the texts in the client's
    words and units.
    """

    key: str
    name: str
    number: int
    kind: str
    end: str
    adjuster: str
    start: float | None
    target: float | None
    unit: str
    title: str
    from_text: str
    to_text: str
    turn_text: str


@transaction.atomic
def tell(round_: Round, changes: Sequence[Told]) -> None:
    """Put what a sheet advises into the round that is open after it. A corrected sheet takes the place of the first,
    and what was said of changes that it tells otherwise is forgotten."""
    before = {row["key"]: row for row in round_.advised}
    same = {row["key"] for row in changes if row["key"] in before and _numbers(before[row["key"]]) == _numbers(row)}
    for row in changes:
        if row["key"] in same:
            row["name"] = before[row["key"]]["name"]
    Followed.objects.filter(round=round_).exclude(change__in=same).delete()
    round_.advised = list(changes)
    round_.save(update_fields=["advised"])


def _numbers(row: Mapping[str, Any]) -> tuple[Any, ...]:
    return row["adjuster"], row["start"], row["target"], row["unit"]


def advised(round_: Round) -> list[Told]:
    """Return what the sheet before a round told the client to change, in the sheet's order."""
    rows: list[Told] = round_.advised
    return rows


def said_of(rounds: Iterable[Round]) -> dict[int, dict[str, Followed]]:
    """Return the client's word on each change by round and key, in one query."""
    rows = list(rounds)
    found: dict[int, dict[str, Followed]] = {row.pk: {} for row in rows}
    for row in Followed.objects.filter(round__in=rows):
        found[row.round_id][row.change] = row
    return found


@transaction.atomic
def follow(round_: Round, key: str, done: str, note: str = "") -> None:
    """Take down what became of a change; an empty ``done`` takes it back.

    Raises NotRecordable for a change the sheet did not tell, and for an answer that is none.
    """
    if key not in {row["key"] for row in advised(round_)}:
        raise readings.NotRecordable("unknown_change", key)
    if not done:
        Followed.objects.filter(round=round_, change=key).delete()
        return
    if done not in Done.values:
        raise readings.NotRecordable("unknown_answer", done)
    Followed.objects.update_or_create(
        round=round_, change=key, defaults={"done": done, "note": note.strip()[:LONGEST_NOTE]}
    )


@transaction.atomic
def reopened(request: SetupRequest) -> Round:
    """Return the open round of a settled request, opened when there is none: something has changed since.

    Raises WrongState for a request that is not settled.
    """
    held = SetupRequest.objects.select_for_update(of=("self",)).get(pk=request.pk)
    if held.state != RequestState.SETTLED:
        raise WrongState(f"{held.reference} is {held.state}; there is nothing to come back to")
    round_ = requests.open_next_round(held, ())
    request.current_round = held.current_round
    return round_
