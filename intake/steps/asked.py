"""What is asked follows from what was answered: how the bike is built, what can be turned on it, who rides it.

What an answer rules out is left out of the page. Nothing that was told disappears by it: a field with a reading, a
setting or a saved text on record stays, with a word on why it is asked at all, until somebody empties it; and so does
one that a tuner's open question names. Within one step (``Field.only_if``) what is ruled out is taken back when the
step is saved, and its text stays with the step.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.case import current_readings, current_settings
from intake.choices import FrontArchitecture as Front
from intake.choices import RearArchitecture as Rear
from intake.choices import RequestState
from intake.models import Adjuster, Answer, Question, Reading, Setting
from intake.services import steps
from intake.steps import load
from intake.steps.base import At
from intake.steps.fields import Field, Group, Measure

#: Ends as they are built, by what they have.
WITH_FORK = frozenset({Front.COIL, Front.COIL_SPLIT, Front.AIR, Front.SEMI_ACTIVE, Front.SIDECAR})
WITH_FORK_SPRINGS = WITH_FORK - {Front.AIR}
#: A shock's rate says nothing of the wheel without its leverage, with one shock or two: the engine then leaves it out.
#: Of ends that level themselves it works out no spring at all.
WITH_LEVERAGE = frozenset({Rear.LINKAGE, Rear.DIRECT, Rear.TWIN_SHOCK, Rear.CANTILEVER})
WITH_PASSENGER = frozenset({"two_up", "two_up_luggage"})
WITH_LUGGAGE = frozenset({"solo_luggage", "two_up_luggage"})
#: Adjuster kinds that a way of building an end leaves none of.
_FRONT_WITHOUT: Mapping[str, frozenset[str]] = {
    "preload": frozenset({Front.AIR}),
    "rebound": frozenset({Front.SEMI_ACTIVE}),
    "compression": frozenset({Front.SEMI_ACTIVE}),
    "fork_position": frozenset({Front.LEADING_LINK, Front.HUB_CENTRE, Front.SIDECAR}),
}
_REAR_WITHOUT: Mapping[str, frozenset[str]] = {
    "rebound": frozenset({Rear.SEMI_ACTIVE}),
    "compression_low": frozenset({Rear.SEMI_ACTIVE}),
    "compression_high": frozenset({Rear.SEMI_ACTIVE}),
    "ride_height": frozenset({Rear.TWIN_SHOCK, Rear.SEMI_ACTIVE}),
}
#: Legs that have a kind of adjuster, by which leg of a split fork was said to hold the spring or the damping.
_LEG_QUESTION = {"preload": "spring_leg", "rebound": "damping_leg", "compression": "damping_leg"}
#: Kinds that are measured rather than turned: no tick says whether a bike has them.
MEASURED = frozenset({"fork_position"})

TOLD_BEFORE = _("A bike like this has none as a rule; it was told before. Empty it if it is wrong.")


class Told:
    """What is on record of a request and round, by name; each part is read when it is first asked for."""

    def __init__(self, at: At) -> None:
        self._at = at

    @cached_property
    def rows(self) -> list[Reading]:
        """The round's readings. One query."""
        return current_readings(self._at.round)

    @cached_property
    def readings(self) -> frozenset[tuple[str, str, str]]:
        """Quantity, end and leg of each reading."""
        return frozenset((row.quantity, row.end, row.leg) for row in self.rows)

    @cached_property
    def settings(self) -> list[Setting]:
        """Where each adjuster stands. One query."""
        return list(current_settings(self._at.round).values())

    @cached_property
    def adjusters(self) -> Mapping[str, Adjuster]:
        """The bike's, by key. One query."""
        return {row.key: row for row in self._at.request.bike.adjusters.all()}

    @cached_property
    def standing(self) -> frozenset[str]:
        """The keys of adjusters with a setting, a range, or a text in the settings step. One query more."""
        keys = {row.adjuster.key for row in self.settings}
        keys |= {key for key, row in self.adjusters.items() if row.range_counted is not None}
        draft = steps.latest_raw(self._at.round, "settings")
        for name, text in (draft.fields if draft else {}).items():
            key, _dot, what = name.rpartition(".")
            if what in {"found", "range"} and text.strip():
                keys.add(key)
        return frozenset(keys)

    @cached_property
    def wanted(self) -> frozenset[str]:
        """The names of fields that an open question means. One query, none before the round was sent."""
        if self._at.request.state == RequestState.DRAFT:
            return frozenset()
        rows = Question.objects.filter(round=self._at.round, answered_at=None).values_list("fields", flat=True)
        return frozenset(name for names in rows for name in names)

    @property
    def known(self) -> bool:
        """Whether the client said what can be turned: then nothing else is asked for."""
        return any(adjuster.place for adjuster in self.adjusters.values())

    def place(self, key: str) -> str:
        return self.adjusters[key].place if key in self.adjusters else ""


def told(at: At) -> Told:
    """Return what is on record, the same for one ``At`` until ``forget``."""
    found: Told = at.memory.setdefault("told", Told(at))
    return found


def forget(at: At) -> None:
    """Forget what was read, as a step has been stored since."""
    at.memory.clear()


def aboard(at: At) -> str:
    """Return the load the round is measured with, read once."""
    if "load_state" not in at.memory:
        at.memory["load_state"] = load.of(at)
    return str(at.memory["load_state"])


def keep_told(at: At, groups: Sequence[Group]) -> list[Group]:
    """Return a step's groups; what the answers on record rule out although it is told, or asked for by a tuner,
    hangs on nothing any more and says why it is there."""
    return [replace(group, fields=[_kept(at, spec) for spec in group.fields]) for group in groups]


def _kept(at: At, spec: Field) -> Field:
    if spec.only_if is None or spec.is_asked({spec.only_if[0]: _said(at, spec.only_if[0])}):
        return spec
    if isinstance(spec, Measure) and (spec.quantity, spec.end, spec.leg) in told(at).readings:
        return replace(spec, only_if=None, hint=TOLD_BEFORE)
    return replace(spec, only_if=None) if spec.name in told(at).wanted else spec


def _said(at: At, name: str) -> str:
    """Return the answer on record that fields of its own step hang on."""
    return aboard(at) if name == "load_state" else str(getattr(at.request.bike, name))


# --- Adjusters ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Turned:
    """An adjuster to ask for: at which leg ("" none), where it sits ("" not told), and a word on why, or ""."""

    leg: str
    place: str = ""
    why: Any = ""


def has_none(at: At, end: str, kind: str) -> bool:
    """Say whether an end as it is built has no adjuster of a kind."""
    bike = at.request.bike
    rule, built = (_FRONT_WITHOUT, bike.front) if end == "front" else (_REAR_WITHOUT, bike.rear)
    return built in rule.get(kind, ())


def turned(at: At, end: str, kind: str, legs: Iterable[str]) -> list[Turned]:
    """Return which adjusters of a kind are asked for, leg by leg; ``legs``: those of a bike with all of them."""
    known = told(at)
    if end == "front" and at.request.bike.front == Front.HUB_CENTRE:
        legs = ("",)
    found = []
    for leg in legs:
        key = ".".join(part for part in (end, kind, leg) if part)
        fits = _fits(at, known, end, kind, leg, key)
        if fits or key in known.standing or known.wanted & {f"{key}.found", f"{key}.range"}:
            why = TOLD_BEFORE if key in known.standing and not fits else ""
            found.append(Turned(leg, known.place(key), why))
    return found


def _fits(at: At, known: Told, end: str, kind: str, leg: str, key: str) -> bool:
    if known.place(key):
        return True
    if has_none(at, end, kind):
        return False
    # Only forks have ticks in front: at a leading link or a hub, ticks at the rear say nothing.
    if known.known and kind not in MEASURED and (end == "rear" or at.request.bike.front in WITH_FORK):
        return False
    return not leg or _has_leg(at, kind, leg)


def _has_leg(at: At, kind: str, leg: str) -> bool:
    """Say whether a leg of a split fork may have an adjuster of a kind; any leg of any other fork may."""
    question = _LEG_QUESTION.get(kind)
    if at.request.bike.front != Front.COIL_SPLIT or question is None:
        return True
    answer = legs_said(at).get(question, "")
    return answer not in {"left", "right"} or answer == leg


def legs_said(at: At) -> dict[str, str]:
    """Return which leg of a split fork holds the spring, and which the damping, as last said. One query."""
    if "legs" not in at.memory:
        rows = Answer.objects.filter(
            round__request=at.request, round__number__lte=at.round.number, question__in=set(_LEG_QUESTION.values())
        )
        at.memory["legs"] = dict(rows.order_by("round__number").values_list("question", "value"))
    found: dict[str, str] = at.memory["legs"]
    return found


def has_modes(at: At, end: str) -> bool:
    """Say whether an end is asked for its mode: electronic ones, and whatever was ticked or told to have one."""
    key = f"{end}.mode"
    known = told(at)
    electronic = getattr(at.request.bike, end) == "semi_active"
    return electronic or key in known.adjusters or key in known.standing or f"{key}.found" in known.wanted
