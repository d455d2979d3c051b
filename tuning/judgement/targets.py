"""Which target bands hold for a case."""

from tuning.engine.case import Case
from tuning.judgement.model import Target
from tuning.judgement.rulebook import TARGETS


def targets_for(case: Case) -> tuple[Target, ...]:
    """Return the default bands of the case's discipline; empty for one without bands."""
    return TARGETS.get(case.discipline, ())
