"""From a rule and a number to a whole change, with the procedure, cautions and skill of its kind."""

from tuning.engine.case import Adjuster
from tuning.judgement.model import SKILLS, Change, Dossier, Said
from tuning.judgement.rulebook import PROCEDURES, Rule, say


def change_of(
    rule: Rule, dossier: Dossier, end: str, row: Adjuster | None, target: float | None, reasons: tuple[Said, ...]
) -> Change:
    """Return the change that a rule proposes at an end, of an adjuster or (None) of a part or a job."""
    key = row.key if row is not None else f"{end}.{rule.change}"
    return made(key, rule.change, dossier, end, reasons, rule.id, "", row, target, rule.compromise)


def made(
    key: str,
    kind: str,
    dossier: Dossier,
    end: str,
    reasons: tuple[Said, ...],
    rule: str,
    together: str = "",
    row: Adjuster | None = None,
    target: float | None = None,
    compromise: bool = False,
) -> Change:
    """Return a change of a kind with all that belongs to it."""
    steps = PROCEDURES[kind]
    skill = steps.skill_rear if end == "rear" else steps.skill
    return Change(
        key=key,
        kind=kind,
        end=end,
        adjuster=row.key if row else "",
        start=row.found if row else None,
        target=target,
        unit=row.unit if row else "",
        why=reasons,
        how=steps.how,
        verify=steps.verify,
        cautions=steps.cautions,
        critical=steps.critical,
        skill=skill,
        # A client of level "specialist" leaves everything to a workshop.
        have_it_done=dossier.skill == "specialist" or SKILLS.index(skill) > SKILLS.index(dossier.skill),
        rule=rule,
        leg=row.leg if row else "",
        together=together,
        compromise=compromise,
    )


def with_chain(found: list[Change], dossier: Dossier, end: str, rule: str, compromise: bool = False) -> list[Change]:
    """Return changes of the ride height with the work that belongs to them."""
    if not any(change.kind == "ride_height" for change in found):
        return found
    kind = "chain_and_headlamp"
    reasons = (say("after_height"),)
    return [*found, made(kind, kind, dossier, end, reasons, rule, found[0].key, compromise=compromise)]
