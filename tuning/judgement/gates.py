"""The gates of the pathway, in order: a case stands at the first that is not passed."""

from collections.abc import Iterator

from tuning.engine.case import FRONT_REFUSED
from tuning.engine.quantities import ENDS
from tuning.engine.safety_words import found_in
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.facts import facts_of, finding, undecided
from tuning.judgement.model import GATES, Dossier, Finding, Gate, Said
from tuning.judgement.rulebook import RULES, Rule, say

#: Checks that put the bike, not the readings, in question.
_UNSAFE = {"overload": ("blocks", "overload"), "tyre_old": ("second_look", "tyres")}
#: Second looks that have their own place elsewhere.
_ELSEWHERE = frozenset({"missing_core", "legs_unequal", "tyre_old"})
#: Second looks that no sag is believed before: what binds holds the bike up or down (common practice).
_DOUBTED = frozenset({"friction_high"})
#: Complaints that are a shake or a weave, whatever was answered at the gate.
_SHAKES = frozenset({"headshake_exit", "weaves"})
#: Gates whose work answers what the rider feels.
_FELT = ("damping", "geometry")
#: Who is aboard in each load, by the reading of their weight.
_ABOARD = {"passenger_mass": "two_up", "luggage_mass": "luggage"}


def stops(dossier: Dossier) -> tuple[Said, ...]:
    """Return the reasons not to ride or tune at all."""
    hit = {question for question, answer in dossier.stop_answers.items() if answer == "yes"}
    for check in dossier.derivation.checks:
        if _UNSAFE.get(check.id, ("", ""))[0] == check.verdict:
            hit.add(_UNSAFE[check.id][1])
    if any(symptom.id in _SHAKES for symptom in dossier.symptoms):
        hit.add("wobble")
    return tuple(say(f"stop_{question}") for question in STOP_QUESTIONS if question in hit)


def open_safety(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each stop question not answered with a plain yes or no."""
    found = []
    for question in STOP_QUESTIONS:
        answer = dossier.stop_answers.get(question)
        if answer not in ("yes", "no"):
            found.append(say("ask_unsure" if answer == "unsure" else "ask_unanswered", question=question))
    return tuple(found) + _unweighed(dossier)


def _unweighed(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each load aboard that the maker's limit cannot be held against without its weight."""
    read = {row.quantity for row in dossier.case.readings}
    if "gross_mass_limit" not in read:
        return ()
    return tuple(
        say("ask_reading", reading=mass)
        for mass, load in _ABOARD.items()
        if load in dossier.case.load_state and mass not in read
    )


def flagged_words(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each safety word in the text that the answers do not already bear out."""
    return tuple(
        say("ask_words", question=question)
        for question in found_in(dossier.words)
        if dossier.stop_answers.get(question) == "no"
    )


def distrust(dossier: Dossier, findings: tuple[Finding, ...]) -> tuple[Said, ...]:
    """Return what must be read again, or read at all, before any number is leaned on."""
    case, checks = dossier.case, dossier.derivation.checks
    if case.front_architecture in FRONT_REFUSED:
        return (say("ask_architecture", architecture=case.front_architecture),)
    again = [say("ask_again", check=c.id, end=c.end) for c in checks if c.verdict == "blocks" and c.id not in _UNSAFE]
    again += [
        say("ask_second_look", check=c.id, end=c.end)
        for c in checks
        if c.verdict == "second_look" and c.id in _DOUBTED
    ]
    missing = [
        say("ask_reading", reading=f"{_missing(dossier, findings, end)}.{end}")
        for end in ENDS
        if facts_of(dossier, findings, end)["rider"] == "unknown"
    ]
    electronic = "semi_active" in (case.front_architecture, case.rear_architecture)
    if electronic and case.answers.get("levelling_done") != "yes":
        # Sag read while the load levelling still moves is nobody's sag.
        missing.append(say("ask_levelling"))
    return tuple(again + missing)


def _missing(dossier: Dossier, findings: tuple[Finding, ...], end: str) -> str:
    """Return the reading without which the rider's sag at an end cannot be judged: a length, or the stroke where the
    band is a share of it."""
    case = dossier.case
    loads = ("", "bike_alone", case.load_state)
    read = {row.quantity for row in case.readings if row.end == end and row.load_state in loads}
    if "length_rider_aboard" not in read:
        return "length_rider_aboard"
    if "length_topped_out" not in read:
        return "length_topped_out"
    item = finding(findings, "sag_rider_aboard", end)
    share = item is not None and item.target.unit == "1" and "stroke" not in read
    return "stroke" if share else "length_rider_aboard"


def _pressures(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each tyre whose pressure is off: it is set, and the road ridden again, before what is
    felt is answered."""
    return tuple(
        say("ask_second_look", check=check.id, end=check.end)
        for check in dossier.derivation.checks
        if (check.id, check.verdict) == ("pressure_off", "second_look")
    )


def second_looks(dossier: Dossier) -> tuple[Said, ...]:
    return tuple(
        say("ask_second_look", check=check.id, end=check.end)
        for check in dossier.derivation.checks
        if check.verdict == "second_look" and check.id not in _ELSEWHERE
    )


def firing(
    dossier: Dossier, findings: tuple[Finding, ...], gate: str, rules: tuple[Rule, ...] = RULES
) -> Iterator[tuple[str, Rule]]:
    """Yield (end, rule): for each end the first rule of the gate whose facts hold."""
    for end in ENDS:
        facts = facts_of(dossier, findings, end)
        for rule in rules:
            if rule.gate == gate and end in rule.ends and all(facts[f] in v for f, v in rule.when.items()):
                yield end, rule
                break


def _reasons(
    dossier: Dossier, findings: tuple[Finding, ...], gate: str, doubts: tuple[Said, ...]
) -> tuple[Said, ...]:
    """Return why the gate is open work besides its rules."""
    if gate == "safe":
        return stops(dossier) + open_safety(dossier)
    if gate == "trust":
        return distrust(dossier, findings) + doubts
    if gate == "sag":
        front = facts_of(dossier, findings, "front")
        off = front["air"] == "yes" and front["rider"] in ("above", "below")
        return (say("ask_air_pressure"),) if off else ()
    if gate == "damping":
        both = ("rebound_wish", "compression_wish")
        torn = tuple(
            say("ask_symptoms_disagree", end=end)
            for end in ENDS
            if any(facts_of(dossier, findings, end)[wish] == "disagree" for wish in both)
        )
        return torn + ((say("ask_settle", end="rear"),) if undecided(dossier) else ())
    if gate == "geometry" and any(symptom.id == "too_tall" for symptom in dossier.symptoms):
        return (say("ask_lowering"),)
    if gate == "reserve" and facts_of(dossier, findings, "front")["reserve"] == "unknown":
        wanted = any(item.key.startswith("reserve_normal") and item.key.endswith("front") for item in findings)
        return (say("ask_reading", reading="deepest_normal.front"),) if wanted else ()
    return ()


def pass_gates(
    dossier: Dossier,
    findings: tuple[Finding, ...],
    rules: tuple[Rule, ...] = RULES,
    doubts: tuple[Said, ...] = (),
) -> tuple[Gate, ...]:
    """Return all gates with their state and, for the one the case stands at, the reasons.

    doubts: questions about readings that earlier rounds put in doubt.
    """
    found: list[Gate] = []
    stands = False
    for gate in GATES:
        reasons = () if stands else _reasons(dossier, findings, gate, doubts)
        fires = not stands and any(True for _ in firing(dossier, findings, gate, rules))
        if fires and not reasons and gate in _FELT:
            reasons = _pressures(dossier)
        here = bool(reasons) or fires
        found.append(Gate(gate, "waiting" if stands else "stands_here" if here else "passed", reasons))
        stands = stands or here
    return tuple(found)
