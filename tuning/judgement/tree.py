"""A short tree of steps for one mail round: do A, ride; if X go to B; if Y put it back.

The first step is the draft's own change. What may follow it, without anything measured afresh, are adjusters that are
put back by hand, at the same gate, by rules that are data (``data/follow.toml``): half a step further the same way
where it helped, else the next likely change, by the drafting rules and then by the ranked causes. At most MOST steps;
none fights another; all stay within their adjuster's range and step. Where nothing may follow there is no tree: the
sheet's one change and its ride test say all.

Where each branch leads follows from the steps that are there (``linked``), so that a tuner may drop or reorder them.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from tuning.engine.case import Adjuster
from tuning.engine.quantities import ENDS
from tuning.engine.settings import out_from_closed
from tuning.judgement.causes import rank
from tuning.judgement.draft import assess
from tuning.judgement.facts import COMPRESSION, NEAR_END, adjusters, facts_of, finding
from tuning.judgement.followbook import ANSWERING, FIGHTS, FOLLOWS, FURTHER, Fight, Follow
from tuning.judgement.gates import firing
from tuning.judgement.history import family
from tuning.judgement.making import made
from tuning.judgement.model import Assessment, Change, Dossier, Draft, Said
from tuning.judgement.moves import SMALLEST, damping_target, sense, within
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.roundbook import ANSWERS, NOTHING
from tuning.judgement.rounds import open_rules
from tuning.judgement.rulebook import RIDE_TEST, say

MOST = 3
#: What a branch says to do: go on, put this step back (and then go on or report), or keep it, stop and report.
GOTO = ("next", "back", "report")
STEPS = ("first", "further", "other")
_OPPOSITE = {"firmer": "softer", "softer": "firmer"}
#: Complaints named at most in a step's stop rule.
_NAMED = 2
#: A step is ridden like the whole; what to do when it feels worse is its own stop rule.
_RIDE = tuple(name for name in RIDE_TEST if name != "ride_stop_if_worse")


@dataclass(frozen=True, slots=True)
class Branch:
    """What to do when ``condition`` holds after the ride. to: id of the step to go on with, "" to stop and report."""

    condition: Said
    goto: str
    to: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step: the keys of its changes, how it is ridden, when it is stopped, and what then.

    kind: one of STEPS; rule: the rule by which it follows, "" for the first.
    """

    id: str
    kind: str
    changes: tuple[str, ...]
    why: tuple[Said, ...]
    ride_test: tuple[str, ...]
    stop: tuple[Said, ...]
    branches: tuple[Branch, ...]
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Tree:
    """Steps in order, and the changes that they need besides the draft's own."""

    steps: tuple[Step, ...] = ()
    changes: tuple[Change, ...] = ()


@dataclass(frozen=True, slots=True)
class _Deed:
    kind: str
    end: str
    move: str

    @property
    def about(self) -> str:
        return f"{self.kind}.{self.end}"


def tree(
    dossier: Dossier,
    draft: Draft,
    practice: Practice = SHIPPED,
    follows: tuple[Follow, ...] = FOLLOWS,
    fights: tuple[Fight, ...] = FIGHTS,
    *,
    order: tuple[str, ...] | None = None,
) -> Tree:
    """Return the steps that may follow a draft's change without a new round; empty where none may.

    ``order``: ids of the steps to keep, in the order a tuner wants them; None for all. The first stays first.
    """
    view = assess(dossier, practice)
    told = replace(dossier, symptoms=view.review.left)
    first = _first(told, draft, view)
    if first is None:
        return Tree()
    gate = view.stands_at
    wanted = {"first": _wanted(told, view, first, gate)}
    found = [_step("first", "first", first, tuple(change.key for change in draft.changes), (), told)]
    changes: list[Change] = []
    deeds = [first]
    for rule, deed, rows in _following(told, draft, view, practice, first, follows):
        if len(found) == MOST or deed in deeds[1:]:
            continue
        further = rule.then == FURTHER
        if not further and any(_fight(deed, other, fights) for other in deeds):
            continue
        name = "further" if further else f"other.{deed.about}"
        reasons = (say("tree_further" if further else "tree_other", change=deed.about),)
        made_ = [_made(name, told, deed, row, start, target, rule, reasons) for row, start, target in rows]
        changes += made_
        kind = "further" if further else "other"
        wanted[name] = _wanted(told, view, deed, gate)
        found.append(_step(name, kind, deed, tuple(change.key for change in made_), reasons, told, rule.id))
        deeds.append(deed)
    if order is not None:
        known = {step.id: step for step in found[1:]}
        found = [found[0], *(known[name] for name in dict.fromkeys(order) if name in known)]
        changes = [change for change in changes if any(change.key in step.changes for step in found)]
    if len(found) < 2:
        return Tree()
    return Tree(linked(tuple(found), wanted, _may_be_on_top(found, follows, first, gate)), tuple(changes))


def _first(dossier: Dossier, draft: Draft, view: Assessment) -> _Deed | None:
    """Return what the draft does, where it is one thing that is put back by hand; else None."""
    rows = {row.key: row for row in dossier.case.adjusters}
    deeds = set()
    for change in draft.changes:
        row = rows.get(change.adjuster)
        if row is None or change.start is None or change.target in (None, change.start) or change.together:
            return None
        grows = (change.target or 0.0) > change.start
        move = "firmer" if grows == (sense(row, "firmer") > 0) else "softer"
        deeds.add(_Deed(family(change.kind), change.end, move))
    known = {kind for rule in FOLLOWS for kind in rule.after}
    if len(deeds) != 1 or draft.stop or any(change.rule in ("round_undo", "round_halve") for change in draft.changes):
        return None
    one = deeds.pop()
    gates = {gate for rule in FOLLOWS for gate in rule.gates}
    old = facts_of(dossier, view.findings, one.end)["fluid"] == "older"
    return one if one.kind in known and view.stands_at in gates and not old else None


_Rows = tuple[tuple[Adjuster, float, float], ...]


def _following(
    dossier: Dossier, draft: Draft, view: Assessment, practice: Practice, first: _Deed, follows: tuple[Follow, ...]
) -> Iterator[tuple[Follow, _Deed, _Rows]]:
    """Yield what may follow, the nearest first, each with its adjusters and where they go from and to."""
    allowed = [rule for rule in follows if view.stands_at in rule.gates and first.kind in rule.after]
    for rule in allowed:
        rows = _further(dossier, draft, rule.share) if rule.then == FURTHER and rule.share else ()
        if rows:
            yield rule, first, rows
    for deed in _likely(dossier, view, practice, first):
        place = "same" if deed.end == first.end else "other"
        rule_ = next((row for row in allowed if (row.on, row.then, row.where) == ("same", deed.kind, place)), None)
        rows = _moved(dossier, deed, practice)
        if rule_ is not None and rows:
            yield rule_, deed, rows


def _likely(dossier: Dossier, view: Assessment, practice: Practice, first: _Deed) -> Iterator[_Deed]:
    """Yield what is worth trying next: what the gate's own rules ask for, then what answers the ranked causes; never
    what an earlier round barred, nor what too much of brings the rider's own complaints."""
    rules = open_rules(practice.rules, view.review.barred)
    deeds = [
        _Deed(rule.change, end, rule.move) for end, rule in firing(dossier, view.findings, view.stands_at, rules)
    ]
    for cause in rank(dossier, view.findings, practice.cause_rules):
        if cause.id in ANSWERING and cause.end and cause.score > 0:
            kind, move = ANSWERING[cause.id]
            deeds.append(_Deed(kind, cause.end, move))
    told = {symptom.id for symptom in dossier.symptoms}
    for deed in dict.fromkeys(deeds):
        if (deed.kind, deed.end) == (first.kind, first.end) or deed.move not in _OPPOSITE:
            continue
        if deed.end != first.end and not any(row.end in ("", deed.end) for row in dossier.symptoms):
            continue  # All that is felt is felt at the first's end.
        facts = facts_of(dossier, view.findings, deed.end)
        against = facts.get(f"{deed.kind}_wish") in (_OPPOSITE[deed.move], "disagree")
        way = (deed.end, deed.kind, deed.move)
        barred = any((bar.end, bar.change, bar.move) == way for bar in view.review.barred)
        brings = ANSWERS.get((deed.kind, deed.move, deed.end), NOTHING).overdone & told
        if not (against or barred or brings):
            yield deed


def _fight(one: _Deed, other: _Deed, fights: tuple[Fight, ...]) -> bool:
    pair = {(one.kind, one.move), (other.kind, other.move)}
    return one.end == other.end and any({row.one, row.other} == pair for row in fights)


def _in_reach(row: Adjuster, target: float) -> bool:
    """Return whether a damper at ``target`` is clear of the ends of its range, where more clicks do not help."""
    out = out_from_closed(replace(row, found=target))
    return bool(row.range_counted) and out is not None and NEAR_END < out / (row.range_counted or 1.0) < 1 - NEAR_END


def _further(dossier: Dossier, draft: Draft, share: float) -> _Rows:
    """Return half of the step again from where the draft leaves each adjuster; empty where one cannot go."""
    rows = {row.key: row for row in dossier.case.adjusters}
    found = []
    for change in draft.changes:
        row, start, goal = rows[change.adjuster], change.start or 0.0, change.target or 0.0
        smallest = SMALLEST.get(row.unit, 1.0)
        size = min(max(smallest, abs(goal - start) * share // smallest * smallest), abs(goal - start))
        target = within(row, goal + (size if goal > start else -size))
        if abs(target - goal) < size or not _in_reach(row, target):
            return ()
        found.append((row, goal, target))
    return tuple(found)


def _moved(dossier: Dossier, deed: _Deed, practice: Practice) -> _Rows:
    """Return one step of a damper from where it stands; empty without a count, or where it would come to an end."""
    kinds = COMPRESSION if deed.kind == "compression" else (deed.kind,)
    found = []
    for row in adjusters(dossier.case, deed.end, *kinds):
        target = damping_target(row, deed.move, practice.damping_share)
        if row.found is None or target is None or not _in_reach(row, target) or not _in_reach(row, row.found):
            return ()
        found.append((row, row.found, target))
    return tuple(found)


def _made(
    name: str,
    dossier: Dossier,
    deed: _Deed,
    row: Adjuster,
    start: float,
    target: float,
    rule: Follow,
    reasons: tuple[Said, ...],
) -> Change:
    change = made(f"{name}.{row.key}", deed.kind, dossier, deed.end, reasons, rule.id, "", row, target)
    return replace(change, start=start)


def _step(
    name: str,
    kind: str,
    deed: _Deed,
    keys: tuple[str, ...],
    reasons: tuple[Said, ...],
    dossier: Dossier,
    rule: str = "",
) -> Step:
    """Return a step with its own stop rule: what too much of it feels like, and what always ends a ride."""
    told = {symptom.id for symptom in dossier.symptoms}
    overdone = sorted(ANSWERS.get((deed.kind, deed.move, deed.end), NOTHING).overdone - told)[:_NAMED]
    stop = [say("tree_stop_overdone", symptom=f"{name_}.{deed.end}") for name_ in overdone]
    return Step(name, kind, keys, reasons, _RIDE, (say("tree_stop_strange"), *stop), (), rule)


def _wanted(dossier: Dossier, view: Assessment, first: _Deed, gate: str) -> Said:
    """Return what shows that it is as it should be: the travel left, the complaint gone, or the settle test."""
    item = finding(view.findings, "reserve_normal", first.end)
    if gate == "reserve" and item is not None:
        left = dossier.derivation.get(f"reserve_normal.{first.end}")
        share = dossier.derivation.get(item.key)
        scale = 1.0
        if item.target.unit == "1":
            sure = left is not None and share is not None and left.value and share.value
            scale = left.value / share.value if sure and left and share and left.value and share.value else 0.0
        if scale:
            return say("tree_reserve", end=first.end, wanted_mm=item.target.low * scale)
    cures = ANSWERS.get((first.kind, first.move, first.end), NOTHING).cures
    felt = sorted(dossier.symptoms, key=lambda row: (row.id not in cures, -row.severity))
    if felt:
        worst = felt[0]
        return say("tree_gone", symptom=f"{worst.id}.{worst.end}" if worst.end in ENDS else worst.id)
    return say("tree_settles", end=first.end)


def _may_be_on_top(found: list[Step], follows: tuple[Follow, ...], first: _Deed, gate: str) -> frozenset[str]:
    """Return the ids of the steps that may come on top of a first one that helped and stays."""
    may = {
        (rule.then, rule.where)
        for rule in follows
        if rule.on == "better" and first.kind in rule.after and gate in rule.gates
    }
    ids = set()
    for step in found:
        if step.kind == "other":
            _, kind, end = step.id.split(".")
            if (kind, "same" if end == first.end else "other") in may:
                ids.add(step.id)
    return frozenset(ids)


def linked(
    steps: tuple[Step, ...], wanted: Mapping[str, Said], on_top: frozenset[str] = frozenset()
) -> tuple[Step, ...]:
    """Return the steps with the branches that follow from their order: where it helped, further or on top; where it
    did nothing, back and the next likely thing; where it is right, stop and report; where it is worse, back and
    report. wanted: what shows that it is right, by step."""
    found = []
    for at, step in enumerate(steps):
        later = steps[at + 1 :]
        further = next((one.id for one in steps if one.kind == "further"), "")
        other = next((one.id for one in later if one.kind == "other"), "")
        better = ""
        if step.kind == "first":
            better = further or next((one.id for one in later if one.id in on_top), "")
        same = "" if step.kind == "further" else other
        branches = (
            Branch(wanted[step.id], "report"),
            Branch(say("tree_better"), "next" if better else "report", better),
            Branch(say("tree_same"), "back", same),
            Branch(say("tree_worse"), "back"),
        )
        found.append(replace(step, branches=branches))
    return tuple(found)
