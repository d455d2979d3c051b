"""What the rounds before teach, as the case page shows it: how each change went, what was foretold against what was
measured, and what was learnt of the bike."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from intake import words
from intake.presentation import UnitPrefs
from tuning.desk import sentences
from tuning.desk import words as desk_words
from tuning.judgement.model import Compared, Review, Reviewed
from tuning.judgement.rounds import put_back

_STEP_SHAPES = {
    "worked": "ok",
    "short": "doing",
    "no_effect": "todo",
    "worse": "stop",
    "overshot": "ask",
    "not_done": "todo",
    "cannot_tell": "todo",
}
#: Of these a fit may begin with nothing known: then the usual figure is no more than where it starts.
_SPRINGS = ("effective_rate", "effective_preload")
_SHAPES = {"as_foretold": "ok", "more": "ask", "less": "ask", "cannot_tell": "todo"}


@dataclass(frozen=True, slots=True)
class Chip:
    """A line with a verdict: what it is of, the verdict's word and shape, and what says so."""

    name: str
    verdict: str
    shape: str
    because: tuple[str, ...] = ()
    #: What became of a change: done as written, otherwise, not done, put back; "" when nobody said.
    done: str = ""
    foretold: str = ""
    measured: str = ""


@dataclass(frozen=True, slots=True)
class Before:
    """One earlier round: its changes and how they went, and what its sheet foretold."""

    number: int
    steps: tuple[Chip, ...]
    compared: tuple[Chip, ...]


@dataclass(frozen=True, slots=True)
class LookingBack:
    """The earlier rounds, last one first, and (name, before, now) of all that was learnt; rounds: how many taught it.
    contradicts: they do not fit one bike; suspects: the readings furthest off."""

    rounds: tuple[Before, ...] = ()
    learned: tuple[tuple[str, str, str], ...] = ()
    taught_by: int = 0
    contradicts: bool = False
    suspects: tuple[str, ...] = field(default=())


def looking_back(review: Review, prefs: UnitPrefs) -> LookingBack:
    """Return a review in words."""
    numbers = {row.round for row in review.steps} | {row.round for row in review.compared}
    found = tuple(
        Before(
            number,
            tuple(_step(row, prefs) for row in review.steps if row.round == number),
            tuple(_compared(row, prefs) for row in review.compared if row.round == number),
        )
        for number in sorted(numbers, reverse=True)
    )
    learned = review.learned
    if learned is None:
        return LookingBack(found)
    return LookingBack(
        found,
        tuple(_learned(review, prefs)),
        learned.rounds,
        learned.contradicts,
        tuple(
            sentences.SUSPECT % {"reading": desk_words.decide_text(key.replace("sag_", "length_")), "round": at}
            for at, key in learned.suspects
        ),
    )


def _step(row: Reviewed, prefs: UnitPrefs) -> Chip:
    name = desk_words.change_name(row.kind, row.end)
    if row.move:
        name = f"{name}: {_('put back') if put_back(row) else sentences.MOVES[row.move]}"
    because = tuple(desk_words.said(said, prefs) for said in row.because)
    done = ", ".join(dict.fromkeys(str(sentences.DONE[change.done]) for change in row.changes))
    return Chip(name, str(sentences.REVIEWED[row.verdict]), _STEP_SHAPES[row.verdict], because, done)


def _compared(row: Compared, prefs: UnitPrefs) -> Chip:
    measured = "–"
    if row.measured is not None:
        measured = desk_words.value_text(row.measured, row.measured_half_width, row.unit, prefs)
    return Chip(
        desk_words.derived_name(row.key),
        str(sentences.COMPARISONS[row.verdict]),
        _SHAPES[row.verdict],
        foretold=desk_words.value_text(row.foretold, row.half_width, row.unit, prefs),
        measured=measured,
    )


def _learned(review: Review, prefs: UnitPrefs) -> Iterator[tuple[str, str, str]]:
    for key, row in review.learned.parameters.items() if review.learned else ():
        name, _dot, end = key.partition(".")
        text = str(sentences.LEARNED[name])
        told = f"{text}, {words.ENDS[end]}" if end else text
        before = desk_words.value_text(row.before, row.before_half_width, row.unit, prefs)
        if name in _SPRINGS and row.before_half_width > row.before * 0.9:
            before = _("not known")
        yield told, before, desk_words.value_text(row.value, row.half_width, row.unit, prefs)
