"""More than one reasonable way, where there is one: what can be done with adjusters only, with hand tools, in a
workshop or by parts; each with what it should show and what it leaves undone against the proper fix.

Ways are data (``data/options.toml``). For each end that asks for something at the gate the case stands at, an option
of a kind takes the proper fix where that needs no more than the kind allows, else the best that does; so the proper
cheap fix always stands in place of a compromise. Options that come to the same changes are one, named for the least
they take. The fullest comes first, then what takes less and less.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

from tuning.engine.quantities import ENDS
from tuning.judgement.buying import Purchase, spring_for
from tuning.judgement.draft import BOTH_ENDS, assess, once, propose
from tuning.judgement.facts import adjusters, facts_of, finding
from tuning.judgement.follow import Following, follow, nothing_left
from tuning.judgement.foretelling import predict
from tuning.judgement.gates import stops
from tuning.judgement.making import change_of, made, with_companions
from tuning.judgement.model import SKILLS, Assessment, Change, Dossier, Prediction, Said
from tuning.judgement.moves import within
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.reasons import axle_move, why
from tuning.judgement.roundbook import ROUND_RULES
from tuning.judgement.rounds import stops_rule
from tuning.judgement.rulebook import PROCEDURES, SENTENCES, say
from tuning.judgement.waybook import COST_OF, COSTS, KINDS, WAYS, Way

_CLOSED = ("safe", "trust")


@dataclass(frozen=True, slots=True)
class Option:
    """One way to go: ordered changes and what they should show.

    kind: one of ``waybook.KINDS``; skill: the highest needed; tools: ids; cost: one of ``waybook.COSTS``; gives_up:
    what it leaves undone against the fullest one, nothing for that one; says: what to buy, what cannot be met and
    what would, and that it is over the budget; ways: ids of the ways it is put together from.
    """

    kind: str
    changes: tuple[Change, ...]
    predictions: tuple[Prediction, ...]
    skill: str
    tools: tuple[str, ...]
    cost: str
    have_it_done: bool
    over_budget: bool
    gives_up: tuple[Said, ...]
    says: tuple[Said, ...]
    ways: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Work:
    """All that ways are worked out from."""

    dossier: Dossier
    view: Assessment
    after: Following
    practice: Practice
    ways: tuple[Way, ...]
    solved: bool


@dataclass(frozen=True, slots=True)
class _Done:
    """One way as it comes out at one end."""

    way: Way
    end: str
    changes: tuple[Change, ...]
    gives_up: tuple[Said, ...]
    says: tuple[Said, ...]


def options(
    dossier: Dossier, practice: Practice = SHIPPED, ways: tuple[Way, ...] = WAYS, *, solved: bool = True
) -> tuple[Option, ...]:
    """Return the options of a case, the fullest first; one where there is only one way, none where nothing is to be
    adjusted yet: an open stop gate, readings in doubt, something to put back first, or nothing left to do.

    ``solved`` False leaves out which spring to buy, for an answer in a fraction of the time.
    """
    view = assess(dossier, practice)
    told = replace(dossier, symptoms=view.review.left)
    # With all gates passed, what is left is a spring that the budget ruled out: its compromises are laid out, too.
    gate = view.stands_at or "sag"
    reasons = next((row.reasons for row in view.gates if row.id == gate), ())
    asks = any(item.id.startswith(("ask_", "stop_")) for item in reasons)
    if stops(dossier) or gate in _CLOSED or asks:
        return ()
    after = follow(told, view.review, ROUND_RULES, gate)
    if after.changes or nothing_left(told, view, after, ROUND_RULES):
        return ()
    work = _Work(told, view, after, practice, ways, solved)
    here = _here(work, gate)
    springs = _springs(work, gate)
    left = [item for end in springs for item in _left_out(told, view, end)]
    found = [_together("parts", springs, told, view, [])] if springs else []
    for kind in KINDS[:-1] if springs else KINDS:
        found.append(_together(kind, {end: _best(rows, kind) for end, rows in here.items()}, told, view, left))
    return _merged([one for one in found if one is not None])


def _here(work: _Work, gate: str) -> dict[str, tuple[_Done, ...]]:
    """Return, for each end that asks for something at the gate, what each kind comes to."""
    found: dict[str, tuple[_Done, ...]] = {}
    for end in ENDS:
        rows = _fired(work, end, [way for way in work.ways if way.rule.gate == gate])
        if rows:
            found[end] = rows
            if gate not in BOTH_ENDS:
                break
    return found


def _springs(work: _Work, gate: str) -> dict[str, _Done | None]:
    """Return the springs that the budget ruled out, so that the pathway has gone on without them."""
    if gate == "sag":
        return {}
    ways = [way for way in work.ways if way.rule.gate == "sag" and way.kind == "parts"]
    return {end: rows[0] for end in ENDS if (rows := _fired(work, end, ways))}


def _fired(work: _Work, end: str, ways: list[Way]) -> tuple[_Done, ...]:
    facts = facts_of(work.dossier, work.view.findings, end)
    rows: dict[str, _Done] = {}
    for way in ways:
        if way.kind in rows or end not in way.rule.ends:
            continue
        if any(facts[fact] not in values for fact, values in way.rule.when.items()):
            continue
        if any(stops_rule(bar, way.rule, end) for bar in work.view.review.barred):
            continue
        one = _done(way, work, end)
        if one is not None:
            rows[way.kind] = one
    return tuple(rows.values())


def _done(way: Way, work: _Work, end: str) -> _Done | None:
    shop = {rule.id: rule for rule in work.practice.rules}
    if way.base and way.base not in shop:
        return None  # The shop does not follow that rule.
    dossier, findings = work.dossier, work.view.findings
    rule = replace(way.rule, strength=shop[way.base].strength) if way.base else way.rule
    says: tuple[Said, ...] = ()
    if rule.change == "spacer":
        by = float(round(axle_move(dossier, findings, end)))
        reasons = (
            *why(rule, dossier, findings, end),
            say("spacer_longer" if by > 0 else "spacer_shorter", end=end, by_mm=abs(by)),
        )
        changes = [spacer(change_of(rule, dossier, end, None, None, reasons), by)]
    else:
        changes = propose(rule, dossier, findings, end, work.after, work.practice, [], [])
    if not changes:
        return None
    if rule.change == "spring":
        move = "softer" if rule.id in ("spring_softer", "spring_softer_all_out") else "stiffer"
        bought = spring_for(dossier, findings, end, move) if work.solved else None
        changes, says = _fitted(changes[0], bought, work, end)
    return _Done(way, end, tuple(changes), tuple(_fill(name, dossier, end) for name in way.gives_up), says)


def _fitted(spring: Change, bought: Purchase | None, work: _Work, end: str) -> tuple[list[Change], tuple[Said, ...]]:
    """Return a spring with the preload that belongs to it: both with numbers where these are known well enough that
    the sags they bring can be told to the width of their bands. Nobody buys a spring on less."""
    dossier = work.dossier
    bare = with_companions([spring], dossier, end, spring.rule)
    if bought is None:
        return bare, (say("spring_no_number", end=end),)
    changes = _numbered(spring, bought, dossier, end)
    if _sure(predict(dossier, changes), work.view, end):
        return changes, bought.says
    return bare, (say("spring_no_number", end=end), say("buy_read_first", reading=f"spring_rate.{end}"))


def _sure(found: tuple[Prediction, ...], view: Assessment, end: str) -> bool:
    widths = {row.key: row.half_width for row in found}
    bands = [finding(view.findings, name, end) for name in ("sag_bike_alone", "sag_rider_aboard")]
    return all(
        item is not None
        and (item.target.unit != "mm" or widths.get(item.key, inf) <= item.target.high - item.target.low)
        and f"{item.key.split('.')[0].removesuffix('_share')}.{end}" in widths
        for item in bands
    )


def _numbered(spring: Change, bought: Purchase, dossier: Dossier, end: str) -> list[Change]:
    reasons = (say("after_spring", end=end),)
    spring = replace(spring, start=bought.now, target=bought.rate, unit="N/mm")
    rows = [row for row in adjusters(dossier.case, end, "preload") if row.key in bought.preload]
    found = [
        made(
            row.key,
            "preload",
            dossier,
            end,
            reasons,
            spring.rule,
            spring.key,
            row,
            within(row, bought.preload[row.key]),
        )
        for row in rows
    ]
    tube = made(f"{end}.spacer", "spacer", dossier, end, reasons, spring.rule, spring.key)
    tubes = [spacer(tube, bought.spacer_mm)] if bought.spacer_mm else []
    return with_companions([spring, *tubes, *found], dossier, end, spring.rule)


def spacer(change: Change, by_mm: float) -> Change:
    """Return a change of the spacer by so many mm: longer above nought, shorter below."""
    return replace(change, start=0.0, target=by_mm, unit="mm")


def _fill(name: str, dossier: Dossier, end: str) -> Said:
    def at(key: str) -> float | None:
        row = dossier.derivation.get(f"{key}.{end}")
        return row.value if row is not None else None

    known: dict[str, object] = {
        "end": end,
        "alone_mm": at("sag_bike_alone"),
        "rider_mm": at("sag_rider_aboard"),
        "reserve_mm": at("reserve_normal"),
    }
    return say(name, **{param: known[param] for param in SENTENCES[name]})


def _best(rows: tuple[_Done, ...], kind: str) -> _Done | None:
    """Return the way that an option of a kind takes: a proper fix within the kind, else the most it may do."""
    allowed = [row for row in rows if KINDS.index(row.way.kind) <= KINDS.index(kind)]
    proper = [row for row in allowed if not row.gives_up]
    ranked = sorted(proper or allowed, key=lambda row: KINDS.index(row.way.kind))
    return (ranked[0] if proper else ranked[-1]) if ranked else None


def _left_out(dossier: Dossier, view: Assessment, end: str) -> list[Said]:
    """Return what is left undone at an end where nothing is done: a rate that does not fit, else its sag."""
    rate = facts_of(dossier, view.findings, end)["rate"]
    return [_fill(f"gives_rate_{rate}" if rate in ("soft", "stiff") else "gives_sag", dossier, end)]


def _together(
    kind: str, at: Mapping[str, _Done | None], dossier: Dossier, view: Assessment, left: list[Said]
) -> Option | None:
    """Return the option that takes these ways, end by end; None where there is none."""
    chosen = [one for one in at.values() if one is not None]
    if not chosen:
        return None
    gives = [item for one in chosen for item in one.gives_up] + left
    gives += [item for end, one in at.items() if one is None for item in _left_out(dossier, view, end)]
    changes = tuple(change for one in chosen for change in one.changes)
    over = dossier.budget == "none" and any(change.kind == "spring" for change in changes)
    says = [item for one in chosen for item in one.says] + ([say("over_budget")] if over else [])
    tools = dict.fromkeys(tool for change in changes for tool in PROCEDURES[change.kind].tools)
    return Option(
        kind=max((one.way.kind for one in chosen), key=KINDS.index),
        changes=changes,
        predictions=predict(dossier, changes),
        skill=max((change.skill for change in changes), key=SKILLS.index),
        tools=tuple(tools),
        cost=max((COST_OF[change.kind] for change in changes), key=COSTS.index),
        have_it_done=any(change.have_it_done for change in changes),
        over_budget=over,
        gives_up=once(gives),
        says=once(says),
        ways=tuple(one.way.id for one in chosen),
    )


def _merged(found: list[Option]) -> tuple[Option, ...]:
    """Return each set of changes once, for the least it takes, with the fullest first and then less and less."""
    least: dict[tuple[tuple[str, float | None], ...], Option] = {}
    for one in sorted(found, key=lambda row: KINDS.index(row.kind)):
        least.setdefault(tuple((change.key, change.target) for change in one.changes), one)
    return tuple(sorted(least.values(), key=lambda row: (bool(row.gives_up), -KINDS.index(row.kind))))
