"""Every step's text as typed, version by version: nothing typed is ever lost."""

from collections.abc import Mapping

from django.db import IntegrityError, transaction
from django.db.models import Max

from intake.models import Round, StepDraft
from intake.services import asking


class Conflict(Exception):
    """Another tab or device saved this step meanwhile; ``saved`` is what it saved."""

    def __init__(self, saved: StepDraft) -> None:
        super().__init__(f"{saved.step} is at version {saved.version} already")
        self.saved = saved


def latest_raw(round: Round, step: str) -> StepDraft | None:
    """Return the last saved text of a step, or None when it was never saved."""
    return StepDraft.objects.filter(round=round, step=step).order_by("-version").first()


def save_raw(round: Round, step: str, fields: Mapping[str, str], base_version: int) -> StepDraft:
    """Save a step's text as the next version after ``base_version`` (0 for the first).

    Raises Conflict when somebody saved since; then nothing is written and the caller still holds what was typed.
    """
    latest = latest_raw(round, step)
    if latest and latest.version != base_version:
        if latest.fields == dict(fields):
            return latest
        raise Conflict(latest)
    try:
        with transaction.atomic():
            return StepDraft.objects.create(
                round=round, step=step, version=(latest.version if latest else 0) + 1, fields=dict(fields)
            )
    except IntegrityError as error:
        winner = latest_raw(round, step)
        if winner is None:
            raise
        raise Conflict(winner) from error


def mark_complete(draft: StepDraft, complete: bool = True) -> None:
    """Say whether the step could be read into records; one that could answers what was asked about it."""
    StepDraft.objects.filter(pk=draft.pk).update(complete=complete)
    draft.complete = complete
    if complete:
        asking.taken_down(draft.round, draft.step, draft.fields)


def progress(round: Round) -> dict[str, bool]:
    """Return, per step saved so far, whether its last version is complete."""
    last = StepDraft.objects.filter(round=round).values("step").annotate(version=Max("version"))
    newest = {row["step"]: row["version"] for row in last}
    rows = StepDraft.objects.filter(round=round).values_list("step", "version", "complete")
    return {step: complete for step, version, complete in rows if newest.get(step) == version}
