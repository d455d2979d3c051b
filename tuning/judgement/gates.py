"""The gates of the pathway, in order: a case stands at the first that is not passed."""

from collections.abc import Iterator

from tuning.engine.quantities import ENDS
from tuning.engine.safety_words import found_in
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.facts import facts_of
from tuning.judgement.model import GATES, Dossier, Finding, Gate, Said
from tuning.judgement.rulebook import RULES, Rule, say

#: Checks that put the bike, not the readings, in question.
_UNSAFE = {"overload": ("blocks", "overload"), "tyre_old": ("second_look", "tyres")}
#: Second looks that have their own place elsewhere.
_ELSEWHERE = frozenset({"missing_core", "legs_unequal", "tyre_old"})


def stops(dossier: Dossier) -> tuple[Said, ...]:
    """Return the reasons not to ride or tune at all."""
    hit = {question for question, answer in dossier.stop_answers.items() if answer == "yes"}
    for check in dossier.derivation.checks:
        if _UNSAFE.get(check.id, ("", ""))[0] == check.verdict:
            hit.add(_UNSAFE[check.id][1])
    return tuple(say(f"stop_{question}") for question in STOP_QUESTIONS if question in hit)


def open_safety(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each stop question not answered with a plain yes or no."""
    found = []
    for question in STOP_QUESTIONS:
        answer = dossier.stop_answers.get(question)
        if answer not in ("yes", "no"):
            found.append(say("ask_unsure" if answer == "unsure" else "ask_unanswered", question=question))
    return tuple(found)


def flagged_words(dossier: Dossier) -> tuple[Said, ...]:
    """Return a question for each safety word in the text that the answers do not already bear out."""
    return tuple(
        say("ask_words", question=question)
        for question in found_in(dossier.words)
        if dossier.stop_answers.get(question) == "no"
    )


def distrust(dossier: Dossier, findings: tuple[Finding, ...]) -> tuple[Said, ...]:
    """Return what must be read again, or read at all, before any number is leaned on."""
    checks = dossier.derivation.checks
    again = [say("ask_again", check=c.id, end=c.end) for c in checks if c.verdict == "blocks" and c.id not in _UNSAFE]
    missing = [
        say("ask_reading", reading=f"length_rider_aboard.{end}")
        for end in ENDS
        if facts_of(dossier, findings, end)["rider"] == "unknown"
    ]
    electronic = "semi_active" in (dossier.case.front_architecture, dossier.case.rear_architecture)
    if electronic and dossier.case.answers.get("levelling_done") != "yes":
        # Sag read while the load levelling still moves is nobody's sag.
        missing.append(say("ask_levelling"))
    return tuple(again + missing)


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
    if gate == "damping":
        both = ("rebound_wish", "compression_wish")
        return tuple(
            say("ask_symptoms_disagree", end=end)
            for end in ENDS
            if any(facts_of(dossier, findings, end)[wish] == "disagree" for wish in both)
        )
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
        here = not stands and (bool(reasons) or any(True for _ in firing(dossier, findings, gate, rules)))
        found.append(Gate(gate, "waiting" if stands else "stands_here" if here else "passed", reasons))
        stands = stands or here
    return tuple(found)
