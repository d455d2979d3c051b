"""How each earlier change went: by the complaints it was made for, by the value it was to bring into its band, and by
what the rider said of the whole, in that order."""

from collections.abc import Iterator
from dataclasses import replace
from math import hypot

from tuning.engine.case import Case
from tuning.engine.derivation import Derivation, Derived
from tuning.judgement.facts import finding, verdict
from tuning.judgement.findings import find_all
from tuning.judgement.history import NOT_IN_PLACE, Advised, Felt, Past, family, way
from tuning.judgement.model import Compared, Dossier, Finding, Reviewed, Said, Symptom
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.roundbook import ANSWERS, NOTHING, Answers
from tuning.judgement.rulebook import say
from tuning.judgement.signs import EITHER_END
from tuning.judgement.targets import targets_for

#: Work that goes with another change and has no outcome of its own.
_BESIDE = frozenset({"chain_and_headlamp", "legs_even"})
_OUT = ("below", "above")
#: A value has moved when it went at least this share of what was foretold (common practice).
MOVED = 0.25
#: A complaint at or above this is still one to act on; one told better counts one less (common practice).
CLEAR = 2
#: What the next round measures anew; geometry is worked out from figures that stand.
_MEASURED = ("sag_", "reserve_")


def afters(dossier: Dossier) -> Iterator[tuple[Past, Case, Derivation]]:
    """Yield each earlier round with the case and derivation of the round after it."""
    following = [*((past.case, past.derivation) for past in dossier.history[1:]), (dossier.case, dossier.derivation)]
    for past, (case, derivation) in zip(dossier.history, following, strict=True):
        yield past, case, derivation


def left(dossier: Dossier) -> tuple[Symptom, ...]:
    """Return the complaints that are left: one that was told better counts one less, and one that then counts
    nothing clear any more is let be."""
    told = dossier.history[-1].felt if dossier.history else ()
    eased = {(item.symptom, item.end): item.severity for item in told if item.change == "better"}
    found = []
    for symptom in dossier.symptoms:
        # One told anew, and lower, is as it was told.
        if symptom.severity < eased.get((symptom.id, symptom.end), 4):
            found.append(symptom)
        elif symptom.severity - 1 >= CLEAR:
            found.append(replace(symptom, severity=symptom.severity - 1))
    return tuple(found)


def move_of(case: Case, change: Advised) -> str:
    """Return which way a change moved its adjuster; "" for a part or a job, or where it stayed."""
    row = next((row for row in case.adjusters if row.key == change.adjuster), None)
    goal = change.target if change.applied in (None, change.start) else change.applied
    if row is None or change.start is None or goal is None or goal == change.start:
        return ""
    inward = (goal > change.start) == (way(row.kind, row.counted_from) > 0)
    if family(row.kind) in ("rebound", "compression"):
        return "firmer" if inward else "softer"
    return "more" if inward else "less"


def steps_of(dossier: Dossier, practice: Practice = SHIPPED) -> tuple[Reviewed, ...]:
    """Return every earlier change with its verdict, in the order of the rounds; both legs are one change."""
    found: list[Reviewed] = []
    for past, case, derivation in afters(dossier):
        pair = ((past.case, past.derivation), (case, derivation))
        before, after = (find_all(d, targets_for(c, practice)) for c, d in pair)
        groups: dict[tuple[str, str, str], list[Advised]] = {}
        for change in past.changes:
            if change.kind not in _BESIDE:
                groups.setdefault((family(change.kind), change.end, move_of(past.case, change)), []).append(change)
        round_steps = []
        for (kind, end, move), rows in groups.items():
            step = Reviewed(past.number, kind, end, move, tuple(rows), "cannot_tell")
            round_steps.append(_judged(step, past, derivation, before, after))
        found += _blamed(past, round_steps)
    return tuple(found)


def _blamed(past: Past, steps: list[Reviewed]) -> list[Reviewed]:
    """Where the whole got worse and no one change is known to be at fault, take all of the round's as at fault. One
    that stands where it stood was put back, as every sheet asks of whoever feels worse, unless the client says that
    it was never done."""
    if past.outcome != "worse" or any(step.verdict in ("worse", "overshot") for step in steps):
        return steps
    return [
        step if _never_done(step) else replace(step, verdict="worse", because=(say("seen_all_worse"),))
        for step in steps
    ]


def _never_done(step: Reviewed) -> bool:
    return all(row.told and row.done == "not_done" for row in step.changes)


def _judged(
    step: Reviewed, past: Past, after: Derivation, before: tuple[Finding, ...], now: tuple[Finding, ...]
) -> Reviewed:
    if all(row.done == "not_done" for row in step.changes):
        return replace(step, verdict="not_done")
    if all(row.done in NOT_IN_PLACE for row in step.changes):
        # What was measured and felt since was without it.
        return replace(step, verdict="worse", because=(say("seen_put_back"),))
    answers = ANSWERS.get((step.kind, step.move, step.end), NOTHING)
    felt = [item for item in past.felt if item.symptom not in EITHER_END or item.end in ("", step.end)]
    turned = [item for item in felt if item.change == "new" and item.symptom in answers.overdone]
    if turned:
        return replace(step, verdict="overshot", because=_told("seen_opposite", turned))
    cured = [item for item in felt if item.change not in ("new", "") and item.symptom in answers.cures]
    worse = [item for item in cured if item.change == "worse"]
    better = [item for item in cured if item.change in ("better", "gone")]
    by_number = _by_number(step, answers, past, after, before, now)
    if by_number and by_number[0] == "overshot":
        return replace(step, verdict=by_number[0], because=by_number[1])
    if worse:
        return step if better else replace(step, verdict="worse", because=_told("seen_worse", worse))
    if by_number:
        return replace(step, verdict=by_number[0], because=(*by_number[1], *_eased(better)))
    return _by_feel(step, past, cured, better)


def _by_feel(step: Reviewed, past: Past, cured: list[Felt], better: list[Felt]) -> Reviewed:
    if better:
        clear = [i for i in cured if i.change != "gone" and i.severity - (i.change == "better") >= CLEAR]
        return replace(step, verdict="short" if clear else "worked", because=_eased(better))
    if cured:
        return replace(step, verdict="no_effect", because=_told("seen_same", cured))
    overall = {"better": ("worked", "seen_all_better"), "same": ("no_effect", "seen_all_same")}
    if past.outcome in overall:
        name, sentence = overall[past.outcome]
        return replace(step, verdict=name, because=(say(sentence),))
    return step


def _eased(items: list[Felt]) -> tuple[Said, ...]:
    gone = [item for item in items if item.change == "gone"]
    return _told("seen_gone", gone) + _told("seen_better", [item for item in items if item not in gone])


def _told(sentence: str, items: list[Felt]) -> tuple[Said, ...]:
    # The other complaints say themselves where they are felt.
    ends = [item.end if item.symptom in EITHER_END else "" for item in items]
    return tuple(
        say(sentence, symptom=f"{item.symptom}.{end}".rstrip(".")) for item, end in zip(items, ends, strict=True)
    )


def _by_number(
    step: Reviewed,
    answers: Answers,
    past: Past,
    after: Derivation,
    before: tuple[Finding, ...],
    now: tuple[Finding, ...],
) -> tuple[str, tuple[Said, ...]] | None:
    """Return the verdict by the value that the change was to bring into its band; None where there is none, or it was
    in its band before."""
    first, then = finding(before, answers.finding, step.end), finding(now, answers.finding, step.end)
    if first is None or then is None or verdict(first) not in _OUT or verdict(then) == "unknown":
        return None
    was, is_now = verdict(first), verdict(then)
    wanted = {"more": "above", "less": "below", "firmer": "below", "softer": "above"}.get(step.move)
    if wanted not in (None, was):
        return None  # It was moved for another reason.
    if is_now == "in_band":
        return "worked", (say("seen_in_band", finding=then.key),)
    if is_now != was:
        return "overshot", (say("seen_across", finding=then.key),)
    if first.key != then.key or not _moved(past, after, then.key, was):
        return "no_effect", (say("seen_unmoved", finding=then.key),)
    return "short", (say("seen_nearer", finding=then.key),)


def _moved(past: Past, after: Derivation, key: str, was: str) -> bool:
    """Return whether a value has gone the right way, by a fair part of what was foretold where that was."""
    first, then = _number(past.derivation.get(key)), _number(after.get(key))
    if first is None or then is None:
        return False
    went = first - then if was == "above" else then - first
    told = next((item.value for item in past.predictions if item.key == key), None)
    return went > 0 and (told is None or went >= MOVED * abs(told - first))


def _number(value: Derived | None) -> float | None:
    return value.value if value is not None and value.status == "ok" else None


def compared(dossier: Dossier) -> tuple[Compared, ...]:
    """Return all that earlier sheets foretold against what was measured next, for what was truly set."""
    found = []
    for past, _case, derivation in afters(dossier):
        for item in past.predictions:
            before = _number(past.derivation.get(item.key))
            share, confirmed = _applied(past, item.key)
            foretold = item.value if before is None else before + (item.value - before) * share
            measured = derivation.get(item.key) if item.key.startswith(_MEASURED) else None
            value, width = _number(measured), measured.half_width if measured else None
            told = "cannot_tell"
            if value is not None and width is not None:
                went = 1.0 if before is None or foretold >= before else -1.0
                beyond = (value - foretold) * went
                inside = abs(beyond) <= hypot(item.half_width, width)
                told = "as_foretold" if inside else "more" if beyond > 0 else "less"
            found.append(
                Compared(past.number, item.key, item.unit, foretold, item.half_width, value, width, told, confirmed)
            )
    return tuple(found)


def _applied(past: Past, key: str) -> tuple[float, bool]:
    """Return the share of the changes behind a prediction that was truly set, and whether the client said so."""
    end = key.partition(".")[2]
    kind = "preload" if end else "fork_position"
    rows = [row for row in past.changes if row.kind == kind and (row.end == end or not end)]
    shares = []
    for row in rows:
        if row.start is not None and row.target is not None and row.applied is not None and row.target != row.start:
            shares.append((row.applied - row.start) / (row.target - row.start))
    confirmed = bool(rows) and all(row.done in ("as_told", "otherwise", *NOT_IN_PLACE) for row in rows)
    return (sum(shares) / len(shares) if shares else 1.0), confirmed
