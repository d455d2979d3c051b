"""From a rule and a number to a whole change, with the procedure, cautions and skill of its kind."""

from tuning.engine.case import Adjuster
from tuning.judgement.followbook import TOGETHER
from tuning.judgement.model import SKILLS, Change, Dossier, Said
from tuning.judgement.rulebook import PROCEDURES, SENTENCES, Rule, say


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


def with_companions(
    found: list[Change], dossier: Dossier, end: str, rule: str, compromise: bool = False
) -> list[Change]:
    """Return changes with the work that belongs to them: ``[[together]]`` in ``data/follow.toml``."""
    whole = list(found)
    for row in TOGETHER:
        first = next((change for change in found if change.kind == row.change), None)
        if first is None or any(change.together == first.key and change.kind == row.brings for change in whole):
            continue
        reasons = (say(row.says, **dict.fromkeys(SENTENCES[row.says], end)),)
        key = row.key.replace("{end}", end)
        whole.append(made(key, row.brings, dossier, end, reasons, rule, first.key, compromise=compromise))
    return whole
