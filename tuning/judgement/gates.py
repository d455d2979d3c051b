"""The order of work: a case stands at the first gate with an open reason, and nothing later is advised."""

from collections.abc import Mapping

from tuning.engine.case import FRONT_REFUSED
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.facts import gather
from tuning.judgement.findings import find
from tuning.judgement.model import GATES, Assessment, Dossier, Finding, Gate, Said
from tuning.judgement.rules import Rule, all_rules
from tuning.judgement.sayings import say


def stop_reasons(dossier: Dossier) -> tuple[Said, ...]:
    """Return why the bike must not be ridden or tuned now; empty when nothing says so."""
    reasons = [say("stop_answer", question=q) for q in STOP_QUESTIONS if dossier.stop_answers.get(q) == "yes"]
    for check in dossier.derivation.checks:
        if check.id == "overload" and check.verdict == "blocks":
            reasons.append(say("stop_overload", total_kg=check.params["total_kg"], limit_kg=check.params["limit_kg"]))
    return tuple(reasons)


def safe_questions(dossier: Dossier) -> tuple[Said, ...]:
    """Return what has to be asked before the bike is known to be safe: an open answer is not a no."""
    return tuple(
        say("ask_stop_answer", question=question)
        for question in STOP_QUESTIONS
        if dossier.stop_answers.get(question) not in {"yes", "no"}
    )


def trust_questions(dossier: Dossier, facts: Mapping[str, str]) -> tuple[Said, ...]:
    """Return what has to be measured again before any number is believed."""
    asked = [
        say("ask_check", check=check.id, end=check.end)
        for check in dossier.derivation.checks
        if check.verdict == "blocks" and check.id != "overload"
    ]
    asked += [
        say("ask_check", check=check.id, end=check.end)
        for check in dossier.derivation.checks
        if check.verdict == "second_look" and check.id in {"friction_high", "rate_implausible", "clicks_beyond_range"}
    ]
    if facts["legs"] == "doubtful":
        difference = dossier.derivation.values["fork_leg_difference"].value or 0.0
        asked.append(say("ask_legs", apart_mm=abs(difference)))
    electronic = "semi_active" in {dossier.case.front_architecture, dossier.case.rear_architecture}
    if electronic and dossier.case.answers.get("levelling_done") != "yes":
        asked.append(say("ask_levelling"))
    return tuple(asked)


def sag_questions(facts: Mapping[str, str], findings: tuple[Finding, ...]) -> tuple[Said, ...]:
    """Return the ends whose sag is not known."""
    ends = [end for end in ("front", "rear") if facts[f"sag_rider_aboard.{end}"] == "unknown"]
    return tuple(say("ask_sag", end=end) for end in ends)


def reserve_questions(facts: Mapping[str, str], dossier: Dossier) -> tuple[Said, ...]:
    if dossier.derivation.get("reserve_normal.front") is None:
        return (say("ask_ring", end="front"),)
    return ()


def open_reasons(dossier: Dossier, facts: Mapping[str, str], findings: tuple[Finding, ...]) -> dict[str, list[Said]]:
    """Return, per gate, what stands open there besides the rules."""
    return {
        "safe": [*stop_reasons(dossier), *safe_questions(dossier)],
        "trust": list(trust_questions(dossier, facts)),
        "sag": list(sag_questions(facts, findings)),
        "damping": [],
        "reserve": list(reserve_questions(facts, dossier)),
        "geometry": [],
    }


def firing(facts: Mapping[str, str], gate: str, rules: tuple[Rule, ...] | None = None) -> list[Rule]:
    """Return the rules of a gate that hold, the strongest first."""
    held = [rule for rule in (all_rules() if rules is None else rules) if rule.gate == gate and rule.holds(facts)]
    return sorted(held, key=lambda rule: -rule.strength)


def assess(dossier: Dossier, rules: tuple[Rule, ...] | None = None) -> Assessment:
    """Return the pathway with the gate the case stands at and why, and every finding."""
    findings = find(dossier)
    facts = gather(dossier, findings)
    reasons = open_reasons(dossier, facts, findings)
    gates: list[Gate] = []
    standing = False
    for name in GATES:
        why = [*reasons[name], *(Said(f"rule:{rule.id}") for rule in firing(facts, name, rules))]
        if standing:
            gates.append(Gate(name, "waiting"))
        elif why:
            gates.append(Gate(name, "stands_here", tuple(why)))
            standing = True
        else:
            gates.append(Gate(name, "passed"))
    return Assessment(tuple(gates), findings)


def refused(dossier: Dossier) -> str:
    """Return the front end's name when it is outside the model, else ""."""
    front = dossier.case.front_architecture
    return front if front in FRONT_REFUSED else ""
