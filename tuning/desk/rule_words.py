"""Rules in words: what each says, what it needs to hold, and what speaks for and against; numbers left open.

Keys of rules, before the id in the data: ``draft.`` (proposes a change), ``round.`` (follows from earlier rounds),
``cause.`` (names a cause for a complaint), ``kind.`` (what speaks for or against a kind of cause, whatever is felt).
"""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from django.utils.translation import gettext as now
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.choices import Discipline, FrontArchitecture, RearArchitecture
from tuning.desk import evidence_words, procedures, sentences
from tuning.desk.cause_words import CAUSES, STATEMENTS
from tuning.engine.case import FRONT_ARCHITECTURES, REAR_ARCHITECTURES
from tuning.judgement.causebook import CAUSE_RULES, WEIGHTS, CauseRule, Clause
from tuning.judgement.followbook import FOLLOWS
from tuning.judgement.roundbook import ROUND_RULES, RoundRule
from tuning.judgement.rulebook import Rule
from tuning.judgement.signs import SIGNS
from tuning.judgement.waybook import WAYS

#: What stands where a case has its number.
OPEN_NUMBER = "…"
_PARAMS = re.compile(r"%\((\w+)\)s")
ROUND_RULE_IDS = frozenset(rule.id for rule in ROUND_RULES)
ELSEWHERE = frozenset({way.id for way in WAYS if not way.base} | {rule.id for rule in FOLLOWS})
RULES: Mapping[str, CauseRule] = MappingProxyType({rule.id: rule for rule in CAUSE_RULES})

#: What ``sign_state`` says where the numbers themselves would say it.
IN_GENERAL: Mapping[str, Any] = {
    "tyre_pressure_low": _("%(end)s: less tyre pressure than the manual asks for"),
    "tyre_pressure_right": _("%(end)s: tyre pressure as the manual asks for"),
    "tyre_pressure_high": _("%(end)s: more tyre pressure than the manual asks for"),
    "tyre_age_fresh": _("%(end)s: a tyre that is not old"),
    "tyre_age_ageing": _("%(end)s: a tyre that is getting old"),
    "tyre_age_old": _("%(end)s: a tyre that is too old"),
    "gross_over": _("more weight in all than the maker permits"),
    "legs_unequal": _("fork legs that do not stand alike"),
}
#: Answers of the facts that rules of the draft ask about, as ``fact_answer``.
FACTS: Mapping[str, Any] = {
    "legs_even": _("the fork legs stand alike"),
    "legs_unequal": _("the fork legs stand unlike"),
    "legs_unknown": _("how the fork legs stand is not known"),
    "alone_in_band": _("sag of the bike alone as wanted"),
    "alone_below": _("less sag of the bike alone than wanted"),
    "alone_above": _("more sag of the bike alone than wanted"),
    "alone_unknown": _("sag of the bike alone not known"),
    "rider_in_band": _("sag with the rider aboard as wanted"),
    "rider_below": _("less sag than wanted with the rider aboard"),
    "rider_above": _("more sag than wanted with the rider aboard"),
    "rider_unknown": _("sag with the rider aboard not known"),
    "rate_soft": _("both sags speak of a spring too soft"),
    "rate_stiff": _("both sags speak of a spring too stiff"),
    "rate_right": _("both sags speak of a spring that fits"),
    "rate_unknown": _("the sags do not tell whether the spring fits"),
    "room_more_yes": _("preload left to give"),
    "room_more_no": _("preload all in"),
    "room_more_unknown": _("preload left to give not known"),
    "room_less_yes": _("preload left to take out"),
    "room_less_no": _("preload all out"),
    "room_less_unknown": _("preload left to take out not known"),
    "springs_yes": _("the client would pay for springs"),
    "springs_no": _("the client pays for no parts"),
    "reserve_bottomed": _("it reached the end of its travel"),
    "reserve_below": _("less travel left than wanted"),
    "reserve_in_band": _("travel left as wanted"),
    "reserve_above": _("more travel left than wanted"),
    "reserve_unknown": _("travel left not known"),
    "fluid_older": _("oil more than four years old"),
    "fluid_not_old": _("oil not known to be more than four years old"),
    "damping_wish_yes": _("complaints or settle test ask for other damping"),
    "damping_wish_no": _("nothing asks for other damping"),
    "rebound_wish_firmer": _("complaints or settle test ask for firmer rebound"),
    "rebound_wish_softer": _("complaints or settle test ask for softer rebound"),
    "rebound_wish_none": _("nothing asks for other rebound"),
    "rebound_wish_disagree": _("what asks for other rebound disagrees"),
    "compression_wish_firmer": _("complaints ask for firmer compression"),
    "compression_wish_softer": _("complaints ask for softer compression"),
    "compression_wish_none": _("nothing asks for other compression"),
    "compression_wish_disagree": _("what asks for other compression disagrees"),
    "rebound_at_closed": _("rebound nearly closed"),
    "rebound_at_open": _("rebound nearly open"),
    "rebound_at_middle": _("rebound somewhere in its range"),
    "rebound_at_unknown": _("where rebound stands is not known"),
    "compression_at_closed": _("compression nearly closed"),
    "compression_at_open": _("compression nearly open"),
    "compression_at_middle": _("compression somewhere in its range"),
    "compression_at_unknown": _("where compression stands is not known"),
    "steering_slow": _("it steers slowly"),
    "steering_nervous": _("it steers nervously"),
    "steering_none": _("nothing is said of the steering"),
    "steering_disagree": _("what is said of the steering disagrees"),
    "fork_position_yes": _("the fork legs can be moved in the clamps"),
    "fork_position_flush": _("the fork legs stand flush and cannot go lower"),
    "fork_position_no": _("the fork legs cannot be moved in the clamps"),
    "air_yes": _("an air fork"),
    "air_no": _("coil springs"),
}
MOVES: Mapping[str, Any] = {
    "": "",
    "more": _("more"),
    "less": _("less"),
    "firmer": _("firmer"),
    "softer": _("softer"),
}
#: What a rule over the rounds does.
ROUND_DOES: Mapping[str, Any] = {
    "keep": _("Leave it as it is"),
    "undo": _("Put it back"),
    "halve": _("Go half of the step back"),
    "again": _("Go the same step again"),
    "remind": _("Judge it afresh, and say that it was left"),
    "ask": _("Ask for a reading again, and try nothing new"),
    "settle": _("Propose to settle"),
    "bar_undone": _("Do not try again what made it worse"),
    "bar_useless": _("Do not try a third time what did nothing"),
    "bar_compromise": _("Propose a compromise only once"),
    "limit_round": _("Limit how far the fork legs move in one round"),
    "limit_overall": _("Limit how far the fork legs move in all"),
}
#: How an earlier change went.
WENT: Mapping[str, Any] = {
    "worked": _("an earlier change worked"),
    "short": _("an earlier change went the right way, but not far enough"),
    "no_effect": _("an earlier change did nothing"),
    "worse": _("an earlier change made it worse"),
    "overshot": _("an earlier change went too far"),
    "not_done": _("an earlier change was not done"),
    "cannot_tell": _("nothing tells how an earlier change went"),
}
#: How strongly: of rules of the draft, of cause rules, and of clauses.
STRENGTHS: Mapping[str, Any] = {
    "certain": _("only when the readings are certain"),
    "worth_acting": _("when it is more likely than not"),
    "weak": _("weak"),
    "fair": _("fair"),
    "strong": _("strong"),
}
PHASES: Mapping[str, Any] = {
    "braking": _("Braking"),
    "turn_in": _("Turning in"),
    "mid_corner": _("Mid-corner"),
    "exit": _("Driving out"),
    "straight": _("Straight ahead"),
    "single_bump": _("A single bump"),
    "series": _("A series of bumps"),
    "landing": _("Landing"),
    "general": _("All the time"),
}
LOADS: Mapping[str, Any] = {
    "solo": _("ridden alone, without luggage"),
    "passenger": _("ridden with a passenger"),
    "luggage": _("ridden with luggage"),
}
#: Kind of source → how its name begins in the data, and in words.
SOURCES: Mapping[str, tuple[str, Any]] = {
    "guides": ("published guides", _("published guides")),
    "manual": ("an owner's manual", _("an owner's manual")),
    "practice": ("common practice", _("common practice")),
}
#: What ``tuning.judgement.practice`` puts before the number of the shop's version.
_OWN = "the shop's own practice, version "
_ARCHITECTURES = {"front": FRONT_ARCHITECTURES, "rear": REAR_ARCHITECTURES}
_CLAUSES = {weight: name for name, weight in WEIGHTS.items()}


def key_of(by: str) -> str:
    """Return the key of the rule or kind that ``Evidence.by`` names."""
    return f"cause.{by}" if by in RULES else f"kind.{by}"


def key_of_change(rule: str) -> str:
    """Return the key of the rule that proposed a change; "" for a tuner's own, and for a way or a step: those are
    told with the options and the tree."""
    if not rule or rule in ELSEWHERE:
        return ""
    return f"{'round' if rule in ROUND_RULE_IDS else 'draft'}.{rule}"


def source_kind(source: str) -> str:
    """Return the id of the kind of source in ``SOURCES``: what a source's name begins with."""
    return next(kind for kind, (start, _name) in SOURCES.items() if source.startswith(start))


def source_text(source: str) -> str:
    """Return a source in words: ``published guides (4)``, ``an owner's manual, motocross 250, 2004``, our own."""
    if source.startswith(_OWN):
        return now("our own practice, version %(number)s") % {"number": source.removeprefix(_OWN)}
    start, name = SOURCES[source_kind(source)]
    return f"{name}{source.removeprefix(start)}"


def where(ends: tuple[str, ...]) -> str:
    """Return the words for the end or ends that a rule is about; "" for the whole bike."""
    at = tuple(end for end in ends if end)
    return now("front or rear") if len(at) > 1 else str(words.ENDS[at[0]]) if at else ""


def _open(template: Any, **known: str) -> str:
    """Return a template's words with its numbers left open."""
    text = str(template)
    filled = text % {name: known.get(name, OPEN_NUMBER) for name in _PARAMS.findall(text)}
    return filled.replace(f"{OPEN_NUMBER}.", OPEN_NUMBER)


def evidence_in_general(name: str, end: str) -> str:
    """Return what a sign says in a state (``sign_state``), its numbers left open."""
    return _open(_evidence(name), end=str(words.ENDS[end]))


def _evidence(name: str) -> str:
    return str(IN_GENERAL.get(name) or evidence_words.EVIDENCE[name])


def draft_title(rule: Rule) -> str:
    """Return what a rule of the draft proposes: ``Preload, front or rear: more``."""
    title = _open(procedures.TITLES[rule.change], end=where(rule.ends))
    return f"{title}: {MOVES[rule.move]}" if rule.move else title


def draft_says(rule: Rule) -> list[str]:
    """Return the reasons that a rule of the draft gives."""
    return [_open(sentences.SAID[name], end=where(rule.ends)) for name in rule.says]


def draft_needs(rule: Rule) -> list[str]:
    """Return what must hold for a rule of the draft, one condition a line."""
    return [_either(str(FACTS[f"{fact}_{answer}"]) for answer in answers) for fact, answers in rule.when.items()]


def round_says(rule: RoundRule) -> list[str]:
    """Return what a rule over the rounds tells the client."""
    return [_open(sentences.SAID[name], end=where(("front", "rear"))) for name in rule.says]


def round_needs(rule: RoundRule) -> list[str]:
    """Return after which earlier changes a rule over the rounds speaks; nothing when it looks at the whole case."""
    return [_either(str(WENT[verdict]) for verdict in rule.on)] if rule.on else []


def _either(texts: Any) -> str:
    return now(", or ").join(dict.fromkeys(texts))


def cause_title(cause: str, ends: tuple[str, ...]) -> str:
    """Return a kind of cause with where it sits: ``front: too little preload``."""
    return evidence_words.at_end(str(CAUSES[cause]), where(ends))


def statement(rule: CauseRule) -> str:
    return _open(STATEMENTS[rule.says], end=where(rule.ends))


def conditions(when: Mapping[str, tuple[str, ...]], ends: tuple[str, ...]) -> list[str]:
    """Return what a bike must have for a rule or a kind of cause, one condition a line; what all have is left out."""
    found = []
    for ref, states in when.items():
        known = _known(ref, ends)
        fits, others = ([s for s in known if (s in states) == wanted] for wanted in (True, False))
        if len(fits) <= len(others):
            found.append(_either(_state(ref, state, ends) for state in fits))
        elif others:
            found.append(now("not with: %(what)s") % {"what": _either(_state(ref, state, ends) for state in others)})
    return found


def _known(ref: str, ends: tuple[str, ...]) -> list[str]:
    if ref == "architecture":
        return list(dict.fromkeys(state for end in ends for state in _ARCHITECTURES[end]))
    return list(SIGNS[ref].states)


def clauses(rows: tuple[Clause, ...], ends: tuple[str, ...], sign: int) -> list[tuple[str, str]]:
    """Return (what speaks, how strongly) of the clauses for (sign +1) or against (−1), the strongest first."""
    wanted = sorted((row for row in rows if row.weight * sign > 0), key=lambda row: -abs(row.weight))
    return [
        (_either(_state(row.ref, state, ends) for state in row.states), str(STRENGTHS[_CLAUSES[abs(row.weight)]]))
        for row in wanted
    ]


def _state(ref: str, state: str, ends: tuple[str, ...]) -> str:
    if ref.startswith("felt."):
        symptom = str(words.symptom_name(ref.removeprefix("felt.")))
        return _open(evidence_words.EVIDENCE[f"felt_{state}"], symptom=symptom)
    if ref == "discipline":
        return str(Discipline(state).label)
    if ref == "load":
        return str(LOADS[state])
    if ref == "architecture":
        known: Any = FrontArchitecture if "front" in ends and state in FRONT_ARCHITECTURES else RearArchitecture
        return str(known(state).label)
    # Where it is read goes without saying: at the end that the rule is about.
    return _open(_evidence(f"{ref}_{state}").removeprefix("%(end)s: "), end=where(ends))
