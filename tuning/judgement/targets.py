"""Which target bands hold for a case."""

from tuning.engine.case import Case
from tuning.judgement.model import Target
from tuning.judgement.practice import SHIPPED, Practice


def targets_for(case: Case, practice: Practice = SHIPPED) -> tuple[Target, ...]:
    """Return the bands of the case's discipline in a practice; empty for one without bands."""
    return practice.targets.get(case.discipline, ())
