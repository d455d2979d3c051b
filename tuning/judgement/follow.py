"""What follows from the round before: what is kept, put back, halved, gone on with or settled, and how far the fork
legs may still go. Rules as data: ``[[round]]`` in ``data/rounds.toml``."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from tuning.engine.case import Adjuster
from tuning.engine.quantities import ENDS
from tuning.judgement.facts import adjusters, facts_of
from tuning.judgement.gates import flagged_words
from tuning.judgement.history import Advised, family
from tuning.judgement.making import made, with_companions
from tuning.judgement.model import Assessment, Change, Dossier, Review, Reviewed, Said
from tuning.judgement.moves import rounded, within
from tuning.judgement.roundbook import RoundRule
from tuning.judgement.rounds import by_deed, put_back
from tuning.judgement.rulebook import say
from tuning.judgement.verdicts import CLEAR

#: What is set by hand and can be put back by hand.
_BY_HAND = frozenset({"preload", "rebound", "compression", "fork_position", "ride_height"})
_OUT = ("below", "above")


@dataclass(frozen=True, slots=True)
class Following:
    """What follows from the round before, and what bounds anything new.

    short: the earlier changes that went the right way but not far enough, by (kind, end, move). found_first: where
    the fork legs were first found, None when it is not known.
    """

    changes: tuple[Change, ...]
    notes: tuple[Said, ...]
    questions: tuple[Said, ...]
    short: Mapping[tuple[str, str, str], Reviewed]
    does: Mapping[str, RoundRule]
    found_first: float | None

    def again(self, change: Change, row: Adjuster, move: str) -> Change:
        """Return a change, held to the step of the round before where that went the right way but not far enough."""
        rule, step = self.does.get("again"), self.short.get((family(change.kind), change.end, move))
        if rule is None or step is None or change.start is None or change.target is None:
            return change
        before = next((_size(item) for item in step.changes if item.adjuster == row.key), 0.0)
        if not before:
            return change
        size = before
        if change.kind == "preload":  # What is still wanted is known from the sag.
            size = min(before, abs(change.target - change.start))
        target = within(row, change.start + (size if change.target > change.start else -size))
        if change.kind == "fork_position":
            target = self.within(row, target, []) or change.target
        said = say("round_again", change=f"{step.kind}.{step.end}", round=step.round)
        return replace(change, target=target, rule=rule.id, why=(*change.why, said, *step.because))

    def within(self, row: Adjuster, target: float, notes: list[Said]) -> float | None:
        """Return how far a fork leg may go towards ``target``, mm: so much a round and so much overall from where the
        first round found it; None, with a note, when it may go no further."""
        if row.found is None or row.unit != "mm":
            return target
        way = 1.0 if target > row.found else -1.0
        room = abs(target - row.found)
        for name, base in (("limit_round", row.found), ("limit_overall", self.found_first)):
            rule = self.does.get(name)
            if rule is None or rule.limit_mm is None or base is None:
                continue
            most = rule.limit_mm - (row.found - base) * way
            if most < room:
                room = most
                moved = abs(row.found - base)
                notes.append(say("round_fork_limit", limit_mm=rule.limit_mm, moved_mm=moved))
        return row.found + room * way if room > 0 else None


def follow(dossier: Dossier, told: Review, rules: tuple[RoundRule, ...], gate: str) -> Following:
    """Return what follows from the round before at the gate the case stands at."""
    does = by_deed(rules)
    changes: list[Change] = []
    notes: list[Said] = []
    questions: list[Said] = []
    last = dossier.history[-1].number if dossier.history else 0
    steps = [step for step in told.steps if step.round == last and not put_back(step)]
    for step in steps:
        for rule in rules:
            if step.verdict not in rule.on:
                continue
            about = {"change": f"{step.kind}.{step.end}", "round": step.round}
            if rule.does == "keep":
                notes += [say("round_kept", **about), *step.because]
            elif rule.does == "remind":
                notes.append(say("round_not_done", **about))
            elif rule.does == "undo" and gate != "safe":
                changes += _undo(dossier, step, rule, about, notes, questions)
            elif rule.does == "halve" and gate not in ("safe", "trust"):
                changes += _halve(dossier, step, rule, about, notes, questions)
    short = {(step.kind, step.end, step.move): step for step in steps if step.verdict == "short"}
    return Following(tuple(changes), tuple(notes), tuple(questions), short, does, _found_first(dossier))


def _by_hand(step: Reviewed) -> bool:
    return step.kind in _BY_HAND and any(item.adjuster for item in step.changes)


def _size(item: Advised) -> float:
    goal = item.target if item.applied is None else item.applied
    return 0.0 if item.start is None or goal is None else abs(goal - item.start)


def _found_first(dossier: Dossier) -> float | None:
    """Return the lower leg where legs were first read: unequal ones are set to it before anything else."""
    for case in (*(past.case for past in dossier.history), dossier.case):
        found = [row.found for row in adjusters(case, "front", "fork_position") if row.found is not None]
        if found:
            return min(found)
    return None


def _rows(dossier: Dossier, step: Reviewed, questions: list[Said]) -> list[tuple[Advised, Adjuster, float]]:
    """Return the step's changes with their adjusters and where these stand; asks where that is not known."""
    rows = {row.key: row for row in dossier.case.adjusters}
    found = []
    # Told twice on one sheet, the last one was set.
    for item in {item.adjuster: item for item in step.changes}.values():
        row = rows.get(item.adjuster)
        if row is None or item.start is None:
            continue
        if row.found is None:
            questions.append(say("ask_setting", adjuster=row.key))
        else:
            found.append((item, row, row.found))
    return found


def _undo(
    dossier: Dossier,
    step: Reviewed,
    rule: RoundRule,
    about: dict[str, object],
    notes: list[Said],
    questions: list[Said],
) -> list[Change]:
    """Put back what made it worse, to the value before; say so where it is back already, or where there is no number
    to put back."""
    if not _by_hand(step):
        notes += [say("round_part_worse", **about), *step.because]
        return []
    reasons = (say("round_undone", **about), *step.because)
    rows = _rows(dossier, step, questions)
    found = [
        made(row.key, step.kind, dossier, step.end, reasons, rule.id, "", row, item.start)
        for item, row, now in rows
        if now != item.start
    ]
    if rows and not found:
        notes += [say("round_went_back", **about), *step.because]
    return with_companions(found, dossier, step.end, rule.id)


def _halve(
    dossier: Dossier,
    step: Reviewed,
    rule: RoundRule,
    about: dict[str, object],
    notes: list[Said],
    questions: list[Said],
) -> list[Change]:
    """Take half of a step back: at least what can be set by hand, never more than the step."""
    if not _by_hand(step):
        notes += [say("round_part_worse", **about), *step.because]
        return []
    reasons = (say("round_halved", **about), *step.because)
    found = []
    for item, row, now in _rows(dossier, step, questions):
        size = _size(item)
        if not size:
            continue
        goal = item.target if item.applied is None else item.applied
        forward = goal is not None and item.start is not None and goal > item.start
        back = min(size, rounded(size / 2, row.unit))
        target = within(row, now - back if forward else now + back)
        if target != now:
            found.append(made(row.key, step.kind, dossier, step.end, reasons, rule.id, "", row, target))
    return with_companions(found, dossier, step.end, rule.id)


def nothing_left(
    dossier: Dossier, view: Assessment, after: Following, rules: tuple[RoundRule, ...]
) -> tuple[Said, ...]:
    """Return why the request may be settled; empty when it may not, or in the first round.

    Either every gate is passed, every value that has a band is in it by its best estimate and no clear complaint is
    left; or the rider says that it is better and names nothing more, and no value is certainly out of its band.
    """
    outcome = dossier.case.answers.get("outcome", "")
    standing = view.stands_at
    if not dossier.history or "settle" not in by_deed(rules) or after.changes or outcome in ("worse", "mixed"):
        return ()
    if standing in ("safe", "trust") or flagged_words(dossier):
        return ()
    if any(item.severity >= CLEAR for item in dossier.symptoms):
        return ()
    if any(facts_of(dossier, view.findings, end)["reserve"] == "bottomed" for end in ENDS):
        return ()
    met = not any(item.verdict in _OUT for item in view.findings)
    if met and not standing:
        return (say("settled_targets"), say("settled_complaints"))
    sure = any(item.verdict in _OUT and item.certain for item in view.findings)
    if outcome == "better" and not dossier.symptoms and not sure:
        return (say("settled_content"),)
    return ()
