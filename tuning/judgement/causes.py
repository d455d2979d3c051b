"""What may lie behind the complaints, ranked, each cause with its evidence for and against.

The scheme is additive, on a scale of natural logarithms of odds, and every part of a score is shown with the cause:

    score = Σ over the complaints it explains of [strength + ½ ln(voices) + ln(severity / 2)] + Σ evidence

- **Prior.** Each complaint counts once for a cause, by the rule that says most: its strength (weak 0.4, fair 0.8,
  strong 1.4), half the logarithm of the number of published voices behind it (one voice adds nothing, four add 0.69),
  and the complaint's severity (slight −0.69, clear 0, bad +0.41). A cause that explains two complaints gains by both.
- **Evidence.** Each sign speaks at most once for a cause, by weak 0.4, fair 0.8 or strong 1.4, for or against. What a
  rule says of a sign goes before what its kind of cause says in general; among rules the heavier clause speaks, and
  among equals the first. An unknown sign says nothing.
- **Nothing is left out.** A cause with all evidence against it is still listed, at the end, and where print disagrees
  both causes are listed and name each other.
- **Which reading would decide.** For each sign that is unknown, every state it could show is put in. Of those that
  can put the second cause ahead of the first, the one that moves their distance furthest is named; a change tried on
  the road only where no reading or answer can turn the order. Where nothing can, nothing is asked for.

Equal scores keep the order of ``data/causes/kinds.toml``, front before rear: the same case always gives the
same list.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import log

from tuning.judgement.causebook import CAUSE_RULES, KINDS, WEIGHTS, CauseRule, Clause
from tuning.judgement.model import Cause, Decider, Dossier, Evidence, Finding, Said, Symptom
from tuning.judgement.signs import SILENT, Signs, felt_end, place, read_signs, spec

#: How much the logarithm of the number of published voices adds.
VOICE = 0.5
#: Severity that neither adds nor takes away.
USUAL_SEVERITY = 2


@dataclass(slots=True)
class _Suspect:
    """A cause at one end while it is put together: the rules that named it, and its clauses by (end, sign)."""

    id: str
    end: str
    #: Complaint → (weight, rule) of the rule that says most of it.
    priors: dict[str, tuple[float, CauseRule]] = field(default_factory=dict)
    rules: list[CauseRule] = field(default_factory=list)
    #: (end, sign) → clauses that may speak, the ones that go first in front, each with who says it.
    clauses: dict[tuple[str, str], list[tuple[Clause, str]]] = field(default_factory=dict)

    @property
    def prior(self) -> float:
        return sum(weight for weight, _ in self.priors.values())

    def gather(self) -> None:
        """Sort the clauses: the rules' own, heaviest first, then those of the kind of cause."""
        said = [(clause, rule.id) for rule in self.rules for clause in rule.clauses]
        said.sort(key=lambda item: -abs(item[0].weight))
        for clause, by in [*said, *((clause, self.id) for clause in KINDS[self.id].clauses)]:
            self.clauses.setdefault(place(clause.ref, self.end), []).append((clause, by))

    def speaks(self, where: tuple[str, str], state: str) -> tuple[float, str]:
        """Return the weight that a sign adds in a state, and whose clause says so."""
        for clause, by in self.clauses.get(where, ()):
            if state in clause.states:
                return clause.weight, by
        return 0.0, ""


def rank(
    dossier: Dossier, findings: tuple[Finding, ...], rules: tuple[CauseRule, ...] = CAUSE_RULES
) -> tuple[Cause, ...]:
    """Return the causes of what the rider feels, most likely first; empty without complaints.

    The first two carry the unknown sign that would tell them apart best, where there is one.
    """
    signs = read_signs(dossier, findings)
    suspects = _suspects(dossier, signs, rules)
    for suspect in suspects:
        suspect.gather()
    known = {kind: at for at, kind in enumerate(KINDS)}
    pairs = [(_cause(suspect, signs), suspect) for suspect in suspects]
    pairs.sort(key=lambda pair: (-round(pair[0].score, 6), known[pair[0].id], pair[0].end))
    listed = {cause.key for cause, _ in pairs}
    causes = [replace(cause, opposed_by=_opposed(cause, listed)) for cause, _ in pairs]
    if len(pairs) > 1:
        decide = decider(pairs[0], pairs[1], signs)
        causes[:2] = [replace(cause, decide=decide) for cause in causes[:2]]
    return tuple(causes)


def _suspects(dossier: Dossier, signs: Signs, rules: tuple[CauseRule, ...]) -> list[_Suspect]:
    told: dict[str, list[Symptom]] = {}
    for symptom in dossier.symptoms:
        told.setdefault(symptom.id, []).append(symptom)
    found: dict[tuple[str, str], _Suspect] = {}
    for rule in rules:
        if dossier.case.discipline not in rule.disciplines:
            continue
        for name in rule.symptoms:
            for symptom in told.get(name, ()):
                for end in rule.ends:
                    if _holds(rule, symptom, end, signs):
                        suspect = found.setdefault((rule.cause, end), _Suspect(rule.cause, end))
                        _hear(suspect, rule, symptom)
    return list(found.values())


def _holds(rule: CauseRule, symptom: Symptom, end: str, signs: Signs) -> bool:
    where = felt_end(symptom.id, symptom.end)
    if rule.felt == "same" and end and where not in ("", end):
        return False
    wanted = (*KINDS[rule.cause].when.items(), *rule.when.items())
    return all(signs.at(ref, end).state in states for ref, states in wanted)


def _hear(suspect: _Suspect, rule: CauseRule, symptom: Symptom) -> None:
    weight = WEIGHTS[rule.strength] + VOICE * log(rule.voices) + log(max(symptom.severity, 1) / USUAL_SEVERITY)
    before = suspect.priors.get(symptom.id)
    if before is None or weight > before[0]:
        suspect.priors[symptom.id] = (weight, rule)
    if rule not in suspect.rules:
        suspect.rules.append(rule)


def _cause(suspect: _Suspect, signs: Signs) -> Cause:
    evidence = []
    for where, said in suspect.clauses.items():
        seen = signs.at(said[0][0].ref, suspect.end)
        weight, by = suspect.speaks(where, seen.state)
        if weight:
            evidence.append(
                Evidence(where[1], where[0], seen.state, weight, _say(where, seen.state, seen.params), by)
            )
    evidence.sort(key=lambda item: -abs(item.weight))
    kind = KINDS[suspect.id]
    return Cause(
        id=suspect.id,
        end=suspect.end,
        score=suspect.prior + sum(item.weight for item in evidence),
        prior=suspect.prior,
        statements=tuple(
            Said(name, {"end": suspect.end}) for name in dict.fromkeys(rule.says for rule in suspect.rules)
        ),
        evidence_for=tuple(item for item in evidence if item.weight > 0),
        evidence_against=tuple(item for item in evidence if item.weight < 0),
        rules=tuple(rule.id for rule in suspect.rules),
        symptoms=tuple(suspect.priors),
        sources=tuple(dict.fromkeys(rule.source for rule in suspect.rules)),
        inspect=kind.inspect,
    )


def _say(where: tuple[str, str], state: str, params: Mapping[str, object]) -> Said:
    end, name = where
    return Said(f"{name.split('.')[0]}_{state}", {"end": end, **params})


def _opposed(cause: Cause, listed: set[str]) -> tuple[str, ...]:
    other = KINDS[cause.id].opposite
    key = f"{other}.{cause.end}" if cause.end else other
    return (key,) if other and key in listed else ()


def decider(first: tuple[Cause, _Suspect], second: tuple[Cause, _Suspect], signs: Signs) -> Decider | None:
    """Return the unknown sign whose possible states would most change the order of two causes; None when no state of
    any unknown sign would put the second ahead of the first."""
    lead = first[0].score - second[0].score
    best: tuple[tuple[bool, float], Decider] | None = None
    for where in dict.fromkeys([*first[1].clauses, *second[1].clauses]):
        end, name = where
        known = spec(name)
        if known is None or not known.ask or _at(where, first, second, signs) != "unknown":
            continue
        moves = {
            state: first[1].speaks(where, state)[0] - second[1].speaks(where, state)[0] for state in known.states
        }
        swing = max(moves.values()) - min(moves.values())
        turns = tuple(state for state, move in moves.items() if lead + move < 0)
        merit = (not known.ask.startswith("trial."), round(swing, 6))
        if turns and (best is None or merit > best[0]):
            between = (first[0].key, second[0].key)
            best = (merit, Decider(name, end, signs.ask(name, end), swing, turns, between))
    return best[1] if best else None


def _at(where: tuple[str, str], first: tuple[Cause, _Suspect], second: tuple[Cause, _Suspect], signs: Signs) -> str:
    """Return the state of a sign that one of the two reads."""
    for _, suspect in (first, second):
        if where in suspect.clauses:
            return signs.at(suspect.clauses[where][0][0].ref, suspect.end).state
    return SILENT[0]
