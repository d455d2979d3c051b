"""What the judgement takes and gives: ids and parameters only; the words are templates of the faces."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.learn import Learned
from tuning.judgement.history import Advised, Past

#: Bumped whenever the same case could be judged otherwise; stored with every recommendation.
JUDGEMENT_VERSION = "3"

#: The order of work. A case stands at the first gate that is not passed.
GATES = ("safe", "trust", "sag", "damping", "reserve", "geometry")
GATE_STATES = ("passed", "stands_here", "waiting")

SKILLS = ("adjusters", "hand_tools", "home_workshop", "specialist")
BUDGETS = ("none", "springs", "springs_and_internals")


@dataclass(frozen=True, slots=True)
class Symptom:
    """One complaint: id of the vocabulary, the end it is felt at ("" when unknown), severity 1 (a little) to 3."""

    id: str
    end: str = ""
    severity: int = 2


@dataclass(frozen=True, slots=True)
class Agreed:
    """Which way settled cases like this one moved a setting: ``count`` of the ``of`` that tell."""

    move: str
    count: int
    of: int


@dataclass(frozen=True, slots=True)
class Dossier:
    """Everything judged at once: the case, what the engine derived, and what the client wants and can do."""

    case: Case
    derivation: Derivation
    #: Stop-gate answers: question id → "yes" | "no" | "unsure". A missing answer is not a no.
    stop_answers: Mapping[str, str]
    symptoms: tuple[Symptom, ...] = ()
    skill: str = "hand_tools"
    budget: str = "none"
    #: Free text of the client, searched for safety words.
    words: str = ""
    #: What the last round changed, ``end.kind`` → "more" | "less"; the answer ``outcome`` says how that went.
    tried: Mapping[str, str] = field(default_factory=dict)
    #: What settled cases like this one agree on, by ``end.kind``.
    settled: Mapping[str, Agreed] = field(default_factory=dict)
    #: The rounds before this one that a sheet was written for, first to last.
    history: tuple[Past, ...] = ()
    #: The client has sent this round again after a question: what was in doubt has been looked at once more.
    sent_again: bool = False


@dataclass(frozen=True, slots=True)
class Target:
    """The band wanted for a derived value, with where it comes from."""

    key: str
    low: float
    high: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Finding:
    """A derived value held against its target.

    verdict: "in_band", "below", "above" or "cannot_tell" (the 95 % interval straddles an edge, or there is no
    number). certain: the whole 95 % interval lies on one side. worth_acting: more likely than not outside.
    decide: the reading that would decide a cannot_tell, as ``quantity.end``.
    """

    key: str
    target: Target
    verdict: str
    certain: bool
    worth_acting: bool
    decide: str = ""


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate of the pathway and why it is where it is: reasons are ids with parameters."""

    id: str
    state: str
    reasons: tuple["Said", ...] = ()


@dataclass(frozen=True, slots=True)
class Said:
    """One thing to say: the id of a sentence and its parameters. Lengths etc. in canonical units, as
    ``{"sag": 34.2}``; the sentence's template knows each parameter's dimension by its name."""

    id: str
    params: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Evidence:
    """One sign that spoke for (weight above zero) or against a cause: its name, the end it was read at ("" for the
    whole bike), the state it showed, and the sentence that says so with the value that spoke. by: id of the rule, or
    of the kind of cause, whose clause it is."""

    sign: str
    end: str
    state: str
    weight: float
    said: Said
    by: str


@dataclass(frozen=True, slots=True)
class Decider:
    """The unknown sign that would tell two causes apart best.

    ask: what to read, answer, set or try, as ``quantity.end``, ``answer.…``, ``setting.…``, ``stop.…`` or
    ``trial.…``. swing: how far its possible states move the lead of the first cause over the second. turns: the
    states that would put the second ahead of the first. between: keys of the two causes.
    """

    sign: str
    end: str
    ask: str
    swing: float
    turns: tuple[str, ...]
    between: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause of what the rider feels, with all that speaks for and against it.

    id: kind of cause; score: prior plus the weights of the evidence, on a scale of natural logarithms of odds, to
    be compared with the other causes of the same case only; statements: how it makes what is felt, one for each
    rule; rules and symptoms: which spoke; sources: who says so in print; opposed_by: keys of listed causes that say
    the very opposite (print disagrees; both are shown); inspect: to be looked at before anything is adjusted; decide:
    at the first two, what would put the second ahead of the first, where anything unknown could.
    """

    id: str
    end: str
    score: float
    prior: float
    statements: tuple[Said, ...]
    evidence_for: tuple[Evidence, ...]
    evidence_against: tuple[Evidence, ...]
    rules: tuple[str, ...]
    symptoms: tuple[str, ...]
    sources: tuple[str, ...]
    opposed_by: tuple[str, ...] = ()
    inspect: bool = False
    decide: Decider | None = None

    @property
    def key(self) -> str:
        return f"{self.id}.{self.end}" if self.end else self.id


@dataclass(frozen=True, slots=True)
class Change:
    """One adjustment.

    key: stable within the draft; adjuster: key of the case's adjuster, or "" for a part or a job (spring, oil,
    service); start/target in ``unit`` (None where there is no number); why: reasons; how: procedure ids in
    order; verify: what to check; cautions: ids, the critical ones listed again in ``critical``; skill: level
    needed; have_it_done: the level is above the client's; rule: the rule that proposed it; together: key of the
    change it belongs with; compromise: stands in for a proper fix that the budget rules out.
    """

    key: str
    kind: str
    end: str
    adjuster: str
    start: float | None
    target: float | None
    unit: str
    why: tuple[Said, ...]
    how: tuple[str, ...]
    verify: tuple[str, ...]
    cautions: tuple[str, ...]
    critical: tuple[str, ...]
    skill: str
    have_it_done: bool
    rule: str
    leg: str = ""
    together: str = ""
    compromise: bool = False


@dataclass(frozen=True, slots=True)
class Prediction:
    """What a next reading should show once the changes are made: derived key, value and 95 % half-width."""

    key: str
    value: float
    half_width: float
    unit: str


#: How an earlier change went. short: the right way, not far enough; cannot_tell: nothing was said that would tell.
VERDICTS = ("worked", "short", "no_effect", "worse", "overshot", "not_done", "cannot_tell")
#: What was measured against what was foretold.
COMPARISONS = ("as_foretold", "more", "less", "cannot_tell")


@dataclass(frozen=True, slots=True)
class Reviewed:
    """One change of an earlier round, both legs together, and how it went. move: the way its adjuster went ("" for a
    part or a job); because: what says so."""

    round: int
    kind: str
    end: str
    move: str
    changes: tuple[Advised, ...]
    verdict: str
    because: tuple[Said, ...] = ()


@dataclass(frozen=True, slots=True)
class Compared:
    """What a round's sheet foretold against what the next round measured.

    verdict: inside both 95 % intervals taken together it is as foretold, else it moved more or less. confirmed: the
    client said how all of it was set.
    """

    round: int
    key: str
    unit: str
    foretold: float
    half_width: float
    measured: float | None
    measured_half_width: float | None
    verdict: str
    confirmed: bool


@dataclass(frozen=True, slots=True)
class Bar:
    """A change not to be tried again. rule: just that rule, "" for any rule that goes that way; said: why not."""

    end: str
    change: str
    move: str
    rule: str
    said: Said


@dataclass(frozen=True, slots=True)
class Review:
    """What the rounds before teach: how each change went, what was foretold, what was learnt of the bike (None with
    fewer than two rounds that can be fitted), what to read again before going on, and what not to try again."""

    steps: tuple[Reviewed, ...] = ()
    compared: tuple[Compared, ...] = ()
    learned: Learned | None = None
    questions: tuple[Said, ...] = ()
    barred: tuple[Bar, ...] = ()
    #: Complaints that are left, those told better counted one less.
    left: tuple[Symptom, ...] = ()


@dataclass(frozen=True, slots=True)
class Assessment:
    """Gates and findings, and what the rounds before teach: what the case says before anything is proposed."""

    gates: tuple[Gate, ...]
    findings: tuple[Finding, ...]
    review: Review = field(default_factory=Review)

    @property
    def stands_at(self) -> str:
        """Id of the gate the case stands at, or "" when all are passed."""
        return next((gate.id for gate in self.gates if gate.state == "stands_here"), "")


@dataclass(frozen=True, slots=True)
class Draft:
    """A proposed recommendation: ordered changes, what they should show, and what to ask instead of guessing.

    stop: reasons not to ride or tune at all (then there are no changes). questions: to the client. notes: for
    the sheet (what a change does not do; what was left alone and why). ride_test: ids in order. settled: why nothing
    is left to do, when the request may be closed; proposed only, the tuner says so.
    """

    changes: tuple[Change, ...]
    predictions: tuple[Prediction, ...]
    stop: tuple[Said, ...]
    questions: tuple[Said, ...]
    notes: tuple[Said, ...]
    ride_test: tuple[str, ...]
    judgement_version: str = JUDGEMENT_VERSION
    settled: tuple[Said, ...] = ()
