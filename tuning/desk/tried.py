"""What the last sheet made the client try, as far as the settings of this round say that it was done."""

from dataclasses import replace

from intake.models import Round
from tuning.desk import drafting
from tuning.desk.models import Recommendation
from tuning.engine.case import Case
from tuning.judgement.moves import tried_by


def last_approved(round: Round) -> Recommendation | None:
    """Return the last approved recommendation of the rounds before this one."""
    return (
        Recommendation.objects.filter(
            round__request=round.request_id, round__number__lt=round.number, state=Recommendation.State.APPROVED
        )
        .order_by("-round__number", "-version")
        .first()
    )


def tried_in(round: Round, case: Case) -> dict[str, str]:
    """Return ``Dossier.tried`` of a round: what the last sheet changed and the client says is changed.

    Empty while the outcome says neither better nor worse, and where the sheet also asked for a part or a job, since
    the outcome then says nothing of the setting beside it.
    """
    if round.number == 1 or case.answers.get("outcome") not in ("better", "worse"):
        return {}
    last = last_approved(round)
    changes = drafting.changes_of(last.content) if last else ()
    if any(not change.adjuster for change in changes):
        return {}
    stands = {row.key: row.found for row in case.adjusters}
    done = (
        change if stands.get(change.adjuster) is None else replace(change, target=stands[change.adjuster])
        for change in changes
    )
    return tried_by(done, case)
