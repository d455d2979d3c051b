"""The ranked causes of a round in words: for the case page and, the same, for the API."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from intake import words
from intake.choices import Step
from intake.models import Round, SetupRequest
from intake.presentation import UnitPrefs
from intake.steps import LATER_ROUNDS
from tuning.desk import evidence_words, rule_words
from tuning.judgement import assess, rank
from tuning.judgement.causebook import WEIGHTS
from tuning.judgement.model import JUDGEMENT_VERSION, Cause, Decider, Dossier, Evidence, Said
from tuning.judgement.practice import SHIPPED, Practice

#: How many stand open; the rest is folded.
OPEN = 5
#: (at most this far behind the first on the scale of the score, level of the bar, words): one, two, … clauses behind.
STANDINGS = (
    (WEIGHTS["weak"], 4, gettext_lazy("as likely as the first")),
    (WEIGHTS["strong"], 3, gettext_lazy("close behind")),
    (2 * WEIGHTS["strong"], 2, gettext_lazy("behind")),
)
LEADS = (5, gettext_lazy("most likely"))
TRAILS = (1, gettext_lazy("far behind"))
FULL = 5
_STRENGTHS = {
    WEIGHTS["weak"]: gettext_lazy("weak"),
    WEIGHTS["fair"]: gettext_lazy("fair"),
    WEIGHTS["strong"]: gettext_lazy("strong"),
}
#: The step of the form that asks for what would decide. A sign that is not here is asked in words only.
STEP_OF_SIGN: Mapping[str, Step] = {
    **dict.fromkeys(("rider_sag", "alone_sag", "rate", "attitude", "friction"), Step.SAG),
    **dict.fromkeys(("reserve", "ride", "settle", "terrain"), Step.TRAVEL),
    **dict.fromkeys(
        (
            "rebound_at",
            "compression_at",
            "high_compression_at",
            "room_more",
            "room_less",
            "sides",
            "legs",
            "fork_legs",
        ),
        Step.SETTINGS,
    ),
    **dict.fromkeys(("fluid", "tyre_pressure", "tyre_age", "trail", "gross"), Step.BIKE),
    **dict.fromkeys(("play", "leak", "damage", "crash", "worn_tyres", "lamp", "wobble"), Step.SAFETY),
    **dict.fromkeys(("outcome", "chain", "steering_damper"), Step.BEHAVIOUR),
}


@dataclass(frozen=True, slots=True)
class Spoken:
    """One piece of evidence in words, with the rule that listens to it."""

    evidence: Evidence
    text: str
    strength: str
    rule: str


@dataclass(frozen=True, slots=True)
class Stated:
    """How a cause makes what is felt, with (source in words, key) of each rule that says so."""

    id: str
    text: str
    voices: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Shown:
    """One cause as it is shown: its place in the ranking (1 first), its standing in words and as a bar of five."""

    cause: Cause
    rank: int
    name: str
    level: int
    standing: str
    contrary: bool
    statements: tuple[Stated, ...]
    explains: tuple[str, ...]
    evidence_for: tuple[Spoken, ...]
    evidence_against: tuple[Spoken, ...]
    opposed: tuple[str, ...]

    @property
    def bar(self) -> list[tuple[int, bool]]:
        """The cells of the bar: where each begins and whether it is filled."""
        return [(14 * at, at < self.level) for at in range(FULL)]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is shown together: one cause, or two that are each other's opposite. ``disagree``: both for the same
    complaint, so that print disagrees; else the complaints pull apart."""

    causes: tuple[Shown, ...]
    disagree: bool = False


@dataclass(frozen=True, slots=True)
class Decision:
    """What would put the second cause ahead of the first: in words, the states that would, and how to ask for it."""

    decider: Decider
    text: str
    turns: tuple[str, ...]
    first: str
    second: str
    #: The question to the client, in their language; "" for what has to be tried on the road.
    question: str
    step: str

    @property
    def step_name(self) -> str:
        return str(Step(self.step).label) if self.step else ""


def shown(causes: tuple[Cause, ...], prefs: UnitPrefs) -> tuple[Shown, ...]:
    """Return the causes in words, in order."""
    names = {cause.key: evidence_words.cause_text(cause) for cause in causes}
    best = causes[0].score if causes else 0.0
    return tuple(_shown(cause, at, best, names, prefs) for at, cause in enumerate(causes, 1))


def _shown(cause: Cause, place: int, best: float, names: Mapping[str, str], prefs: UnitPrefs) -> Shown:
    level, standing = standing_of(place, best - cause.score)
    contrary = bool(cause.evidence_against) and cause.score < cause.prior
    return Shown(
        cause=cause,
        rank=place,
        name=names[cause.key],
        level=level,
        standing=standing,
        contrary=contrary,
        statements=tuple(_stated(said, cause) for said in cause.statements),
        explains=tuple(str(words.symptom_name(symptom)) for symptom in cause.symptoms),
        evidence_for=tuple(_spoken(cause.evidence_for, prefs)),
        evidence_against=tuple(_spoken(cause.evidence_against, prefs)),
        opposed=tuple(names[key] for key in cause.opposed_by),
    )


def _stated(said: Said, cause: Cause) -> Stated:
    rules = [rule for rule in cause.rules if rule_words.RULES[rule].says == said.id]
    voices = tuple((rule_words.source_text(rule_words.RULES[rule].source), f"cause.{rule}") for rule in rules)
    return Stated(said.id, evidence_words.statement_text(said), voices)


def standing_of(place: int, behind: float) -> tuple[int, str]:
    """Return (level of the bar, words) of a cause that stands ``behind`` the first."""
    if place == 1:
        return LEADS[0], str(LEADS[1])
    level, standing = next(((level, said) for far, level, said in STANDINGS if behind <= far + 1e-6), TRAILS)
    return level, str(standing)


def _spoken(rows: tuple[Evidence, ...], prefs: UnitPrefs) -> Iterator[Spoken]:
    for row in rows:
        text = evidence_words.evidence_text(row.said, prefs)
        yield Spoken(row, text, str(_STRENGTHS[abs(row.weight)]), rule_words.key_of(row.by))


def entries(causes: tuple[Shown, ...]) -> list[Entry]:
    """Return the causes in order, each opposite drawn up beside the cause it contradicts."""
    found: list[Entry] = []
    by_key = {one.cause.key: one for one in causes}
    seen: set[str] = set()
    for one in causes:
        if one.cause.key in seen:
            continue
        others = [by_key[key] for key in one.cause.opposed_by if key not in seen]
        seen |= {one.cause.key, *(other.cause.key for other in others)}
        same = any(set(one.cause.symptoms) & set(other.cause.symptoms) for other in others)
        found.append(Entry((one, *others), disagree=same))
    return found


def folded(rows: list[Entry]) -> tuple[list[Entry], list[Entry]]:
    """Return (what stands open, what is folded away): the first five causes are open, and what stands beside them."""
    return [row for row in rows if row.causes[0].rank <= OPEN], [row for row in rows if row.causes[0].rank > OPEN]


def decision(causes: tuple[Shown, ...], request: SetupRequest) -> Decision | None:
    """Return what would decide between the first two causes, if anything could."""
    decider = causes[0].cause.decide if causes else None
    if decider is None:
        return None
    turns = (rule_words.evidence_in_general(f"{decider.sign}_{state}", decider.end) for state in decider.turns)
    trial = decider.ask.startswith("trial.")
    return Decision(
        decider=decider,
        text=evidence_words.decide_text(decider),
        turns=tuple(turns),
        first=causes[0].name,
        second=causes[1].name,
        question="" if trial else _question(decider, request.client.language),
        step=step_for(decider.sign, request),
    )


def step_for(sign: str, request: SetupRequest) -> str:
    """Return the step of the client's present round that asks for a sign, or "" when none does."""
    step = STEP_OF_SIGN.get(sign)
    return step.value if step and (request.current_round == 1 or step in LATER_ROUNDS) else ""


def _question(decider: Decider, language: str) -> str:
    with translation.override(language):
        told = {"what": evidence_words.decide_text(decider)}
        return _("One thing would tell what to change first: %(what)s. Please read or look, and let us know.") % told


def document(round: Round, dossier: Dossier, practice: Practice = SHIPPED) -> dict[str, Any]:
    """Return the causes of a round as ids and words, as the API answers them."""
    findings = assess(dossier, practice).findings
    ranked = shown(rank(dossier, findings, practice.cause_rules), UnitPrefs.metric())
    return {
        "reference": round.request.reference,
        "round": round.number,
        "judgement_version": JUDGEMENT_VERSION,
        "causes": [as_json(one) for one in ranked],
        "decide": decision_json(decision(ranked, round.request)),
    }


def as_json(one: Shown) -> dict[str, Any]:
    """Return a cause as ids and words."""
    cause = one.cause
    return {
        "key": cause.key,
        "id": cause.id,
        "end": cause.end,
        "rank": one.rank,
        "score": round(cause.score, 3),
        "prior": round(cause.prior, 3),
        "standing": one.level,
        "inspect": cause.inspect,
        "name": one.name,
        "standing_text": one.standing,
        "statements": [{"id": said.id, "text": said.text} for said in one.statements],
        "symptoms": list(cause.symptoms),
        "evidence_for": [_evidence_json(row) for row in one.evidence_for],
        "evidence_against": [_evidence_json(row) for row in one.evidence_against],
        "rules": [f"cause.{rule}" for rule in cause.rules],
        "sources": list(cause.sources),
        "opposed_by": list(cause.opposed_by),
    }


def _evidence_json(row: Spoken) -> dict[str, Any]:
    found = row.evidence
    return {
        "sign": found.sign,
        "end": found.end,
        "state": found.state,
        "weight": found.weight,
        "rule": row.rule,
        "text": row.text,
    }


def decision_json(found: Decision | None) -> dict[str, Any] | None:
    """Return what would decide as ids and words; None where nothing could."""
    if found is None:
        return None
    decider = found.decider
    return {
        "sign": decider.sign,
        "end": decider.end,
        "ask": decider.ask,
        "swing": round(decider.swing, 3),
        "turns": list(decider.turns),
        "between": list(decider.between),
        "step": found.step,
        "text": found.text,
        "turns_text": list(found.turns),
    }
