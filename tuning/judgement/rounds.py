"""What the rounds before teach: how each change went, what was foretold against what was measured, what was learnt of
the bike, which reading to take again before going on, and what is not to be tried again."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.errors import EngineInputError
from tuning.engine.learn import Learned, learn
from tuning.judgement.facts import facts_of
from tuning.judgement.findings import find_all
from tuning.judgement.history import NOT_IN_PLACE, Past, family
from tuning.judgement.model import Bar, Compared, Dossier, Review, Reviewed, Said
from tuning.judgement.practice import SHIPPED, Practice
from tuning.judgement.roundbook import ROUND_RULES, RoundRule
from tuning.judgement.rulebook import RULES, Rule, say
from tuning.judgement.targets import targets_for
from tuning.judgement.verdicts import compared, left, steps_of

#: Loads and springs that make an earlier ride another ride.
_LOADS = ("rider_mass", "passenger_mass", "luggage_mass", "spring_rate", "oil_level", "air_pressure")
_SHORT = ("bottomed", "below")
#: Rules that only answer a change of an earlier round: what they put back is not tried anew.
_COMPROMISES = frozenset(rule.id for rule in RULES if rule.compromise)


def by_deed(rules: Iterable[RoundRule]) -> Mapping[str, RoundRule]:
    """Return the rules by what they do."""
    return {rule.does: rule for rule in rules}


def review(dossier: Dossier, rules: tuple[RoundRule, ...] = ROUND_RULES, practice: Practice = SHIPPED) -> Review:
    """Return what the rounds before teach; empty in the first round."""
    if not dossier.history:
        return Review(left=dossier.symptoms)
    does = by_deed(rules)
    steps, told = steps_of(dossier, practice), compared(dossier)
    learned = learnt([*(past.case for past in dossier.history), dossier.case], dossier.history)
    return Review(
        steps=steps,
        compared=told,
        learned=learned,
        questions=_questions(dossier, told, learned) if "ask" in does else (),
        barred=tuple(_bars(dossier, steps, does, practice)),
        left=left(dossier),
    )


def learnt(cases: list[Case], history: tuple[Past, ...]) -> Learned | None:
    """Return what the rounds teach of the bike; None with fewer than two that can be fitted together.

    A spring exchanged without its rate makes another bike: only the rounds since are fitted. Where a round before the
    last contradicts the rest and the rest agree, it has been read again since, and is left out.
    """
    start = 0
    for place, past in enumerate(history):
        if any(change.kind == "spring" and change.done not in NOT_IN_PLACE for change in past.changes):
            start = place + 1
    rounds = cases[start:]
    if len(rounds) < 2:
        return None
    try:
        found = learn(rounds)
        if found.contradicts and found.suspects and len(rounds) > 2:
            worst = found.suspects[0][0]
            if worst < len(rounds):
                again = learn([case for place, case in enumerate(rounds, 1) if place != worst])
                found = found if again.contradicts else again
    except EngineInputError:
        return None
    return found


def _questions(dossier: Dossier, told: tuple[Compared, ...], learned: Learned | None) -> tuple[Said, ...]:
    """Return the one reading to take again before anything new is tried; nothing when all agree, or when it has been
    asked for already: then the reading stands, and the tuner sees what does not fit."""
    if dossier.sent_again:
        return ()
    if learned is not None and learned.contradicts and learned.readings:
        worst = max(learned.readings, key=lambda one: abs(one.off))
        return (say("ask_contradict", reading=worst.key.replace("sag_", "length_")),)
    last = dossier.history[-1].number
    missed = [
        item
        for item in told
        if item.round == last and item.confirmed and item.verdict in ("more", "less") and item.key.startswith("sag_")
    ]
    if not missed:
        return ()
    item = max(missed, key=lambda one: abs((one.measured or 0.0) - one.foretold))
    value = dossier.derivation.get(item.key)
    reading = value.contributions[0][0] if value and value.contributions else item.key.replace("sag_", "length_")
    return (
        say("ask_missed", finding=item.key, reading=reading, foretold_mm=item.foretold, measured_mm=item.measured),
    )


def _bars(
    dossier: Dossier, steps: tuple[Reviewed, ...], does: Mapping[str, RoundRule], practice: Practice
) -> Iterable[Bar]:
    past = {item.number: item for item in dossier.history}
    undone, useless, once = (does.get(name) for name in ("bar_undone", "bar_useless", "bar_compromise"))
    idle: dict[tuple[str, str, str], int] = {}
    for step in steps:
        about = f"{step.kind}.{step.end}"
        then = past[step.round]
        if undone and step.verdict in undone.on and not put_back(step):
            same = circumstances(then.case, then.derivation, step, practice) == circumstances(
                dossier.case, dossier.derivation, step, practice
            )
            if same:
                said = say("round_undone_stays", change=about, round=step.round)
                yield Bar(step.end, step.kind, step.move, "", said)
        way = (step.end, step.kind, step.move)
        if useless and step.verdict in useless.on:
            idle[way] = idle.get(way, 0) + 1
            if idle[way] == 2:
                yield Bar(*way, "", say("round_no_effect_twice", change=about))
        if once and step.verdict != "not_done":
            for rule in sorted({row.rule for row in step.changes} & _COMPROMISES):
                yield Bar(*way, rule, say("round_compromise_once", change=about, round=step.round))


def put_back(step: Reviewed) -> bool:
    """Return whether an earlier change only put back what another had done."""
    return any(row.rule == "round_undo" for row in step.changes)


def circumstances(
    case: Case, derivation: Derivation, step: Reviewed, practice: Practice = SHIPPED
) -> tuple[object, ...]:
    """Return all that would make a change worth another try: how the end stands, its load, springs and other
    settings, but for what the change itself sets."""
    alone = Dossier(case, derivation, {})
    facts = facts_of(alone, find_all(derivation, targets_for(case, practice)), step.end)
    settings = tuple(
        (row.key, row.found) for row in case.adjusters if row.end == step.end and family(row.kind) != step.kind
    )
    loads = tuple(sorted((row.quantity, row.end, row.value) for row in case.readings if row.quantity in _LOADS))
    stands = tuple(facts[name] for name in ("legs", "rider", "rate", "fluid"))
    return stands, facts["reserve"] in _SHORT, case.load_state, settings, loads


def open_rules(rules: tuple[Rule, ...], bars: tuple[Bar, ...]) -> tuple[Rule, ...]:
    """Return the rules without the ends at which what they propose is not to be tried again."""
    found = []
    for rule in rules:
        ends = tuple(end for end in rule.ends if not any(stops_rule(bar, rule, end) for bar in bars))
        if ends:
            found.append(rule if ends == rule.ends else replace(rule, ends=ends))
    return tuple(found)


def stops_rule(bar: Bar, rule: Rule, end: str) -> bool:
    """Return whether a bar keeps a rule from speaking at an end."""
    if bar.end != end:
        return False
    return bar.rule == rule.id if bar.rule else (bar.change, bar.move) == (rule.change, rule.move)
