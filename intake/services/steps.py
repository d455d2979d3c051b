"""Every step's text as typed, version by version: nothing typed is ever lost."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import Max

from intake.models import Round, StepDraft
from intake.services import asking

#: How often a version number is drawn before a clash is taken for a fault.
_DRAWS = 5


class Conflict(Exception):
    """Another tab or device saved this step meanwhile; ``saved`` is what it saved, and it stands. What was typed here
    is on record beside it."""

    def __init__(self, saved: StepDraft) -> None:
        super().__init__(f"{saved.step} is at version {saved.version} already")
        self.saved = saved


@dataclass(frozen=True, slots=True)
class Kept:
    """What is on record of one step: the text that stands, and what was typed since in a tab that was behind."""

    standing: StepDraft | None = None
    aside: StepDraft | None = None

    @property
    def version(self) -> int:
        """The version that a page drawn now is based on; 0 before the first."""
        return self.standing.version if self.standing else 0


def kept(round: Round, ids: Iterable[str] | None = None) -> dict[str, Kept]:
    """Return what is on record of each step of ``ids`` (all when None) that anything was saved of. One query."""
    mine = StepDraft.objects.filter(round=round)
    if ids is not None:
        mine = mine.filter(step__in=list(ids))
    newest = mine.order_by().values("step", "aside").annotate(last=Max("pk")).values("last")
    rows = list(StepDraft.objects.filter(pk__in=newest))
    found = {}
    for step in {row.step for row in rows}:
        of = {row.aside: row for row in rows if row.step == step}
        standing, aside = of.get(False), of.get(True)
        # Whoever saved after that has seen both.
        if standing and aside and aside.version < standing.version:
            aside = None
        found[step] = Kept(standing, aside)
    return found


def latest_raw(round: Round, step: str) -> StepDraft | None:
    """Return the text of a step that stands, or None when it was never saved."""
    return StepDraft.objects.filter(round=round, step=step, aside=False).order_by("-version").first()


def save_raw(round: Round, step: str, fields: Mapping[str, str], base_version: int) -> StepDraft:
    """Save a step's text as the next version after ``base_version`` (0 for the first).

    Raises Conflict when somebody saved since: what they saved stands, and this text is kept aside, as a version too.
    """
    for attempt in range(_DRAWS):
        # The number first: whoever saves between here and the writing takes it, and is then seen.
        number = _next(round, step)
        latest = latest_raw(round, step)
        if latest and latest.version != base_version:
            if latest.fields == dict(fields):
                return latest
            _keep_aside(round, step, fields)
            raise Conflict(latest)
        try:
            return _write(round, step, number, fields)
        except IntegrityError:
            if attempt == _DRAWS - 1:
                raise
    raise AssertionError("unreachable")


def _next(round: Round, step: str) -> int:
    last = StepDraft.objects.filter(round=round, step=step).aggregate(last=Max("version"))["last"]
    return (last or 0) + 1


def _write(round: Round, step: str, number: int, fields: Mapping[str, str], *, aside: bool = False) -> StepDraft:
    """Write a version. Raises IntegrityError when somebody took its number meanwhile."""
    with transaction.atomic():
        return StepDraft.objects.create(round=round, step=step, version=number, fields=dict(fields), aside=aside)


def _keep_aside(round: Round, step: str, fields: Mapping[str, str]) -> None:
    """Keep a text that another has overtaken; the same text pressed again is kept once."""
    for attempt in range(_DRAWS):
        number = _next(round, step)
        last = StepDraft.objects.filter(round=round, step=step, aside=True).order_by("-version").first()
        if last is not None and last.fields == dict(fields):
            return
        try:
            _write(round, step, number, fields, aside=True)
        except IntegrityError:
            if attempt == _DRAWS - 1:
                raise
        else:
            return


def mark_complete(draft: StepDraft, complete: bool = True) -> None:
    """Say whether the step could be read into records; one that could answers what was asked about it."""
    StepDraft.objects.filter(pk=draft.pk).update(complete=complete)
    draft.complete = complete
    if complete:
        asking.taken_down(draft.round, draft.step, draft.fields)


def progress(round: Round) -> dict[str, bool]:
    """Return, per step saved so far, whether the version that stands is complete. One query."""
    newest = StepDraft.objects.filter(round=round, aside=False).order_by().values("step").annotate(last=Max("pk"))
    return dict(StepDraft.objects.filter(pk__in=newest.values("last")).values_list("step", "complete"))
