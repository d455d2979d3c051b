"""What can be asked of a client with one press: the draft's own questions and what the checks want taken again.

Each is in the client's language and units, with the step and the fields of the form that answer it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from intake import words
from intake.choices import Step
from intake.models import Question, Round, SetupRequest, User
from intake.presentation import UnitPrefs
from intake.services import conversation
from intake.services.asking import Ask
from intake.services.requests import check_from_json
from intake.steps import PAGES, At
from intake.steps.fields import Choice, Field, LongText, Number
from intake.steps.questions import step_of
from tuning.desk import practice
from tuning.desk import words as desk_words
from tuning.desk.models import Recommendation
from tuning.engine.derivation import Check

#: Questions that one step answers, with the fields meant where they have no reading of their own. ``{end}`` and
#: ``{adjuster}`` stand for what the question names.
_PLACES: Mapping[str, tuple[Step, tuple[str, ...]]] = {
    "ask_unsure": (Step.SAFETY, ("{question}",)),
    "ask_unanswered": (Step.SAFETY, ("{question}",)),
    "ask_words": (Step.SAFETY, ("{question}",)),
    "ask_setting": (Step.SETTINGS, ("{adjuster}.found", "{adjuster}.left.found", "{adjuster}.right.found")),
    "ask_range": (Step.SETTINGS, ("{adjuster}.range",)),
    "ask_preload_step": (Step.SETTINGS, ("{end_of_adjuster}.preload.step",)),
    "ask_symptoms_disagree": (Step.BEHAVIOUR, ("words",)),
    "ask_gentle_ride": (Step.TRAVEL, ("ride_hardness",)),
    "ask_settle": (Step.TRAVEL, ("settle.{end}",)),
    "ask_fluid_age": (Step.BIKE, ("fluid_age",)),
    "ask_levelling": (Step.SAG, ("levelling_done",)),
    "ask_architecture": (Step.BIKE, ("front",)),
}
_FRICTION = tuple(
    f"{length}.{{end}}.{way}"
    for length in ("length_bike_alone", "length_rider_aboard")
    for way in ("from_below", "from_above")
)


@dataclass(frozen=True, slots=True)
class Proposed:
    """A question that may be asked: what is put, where it leads in the tuner's words, whether it was put before."""

    ask: Ask
    step_name: str
    fields: tuple[str, ...]
    asked: bool


@dataclass(frozen=True, slots=True)
class Askable:
    """A step of the form and what can be asked for in it: (field's name, its label under its group's)."""

    step: str
    name: str
    fields: tuple[tuple[str, str], ...]


class Form:
    """The form as the client has it in the round at work: which step asks for what."""

    def __init__(self, request: SetupRequest) -> None:
        at = At(request, request.round())
        self.at = at
        self.groups = {step: page.groups(at) for step, page in PAGES.items() if step != Step.REVIEW}
        self.specs: dict[str, dict[str, Field]] = {
            step: {spec.name: spec for group in groups for spec in group.fields}
            for step, groups in self.groups.items()
        }

    def place_of(self, key: str, step: str = "") -> tuple[str, tuple[str, ...]]:
        """Return step and fields that take a reading or an answer by its key; ("", ()) where none does."""
        known, _dot, end = key.partition(".")
        if known == "friction":
            names: tuple[str, ...] = tuple(name.format(end=end) for name in _FRICTION)
            return Step.SAG.value, tuple(name for name in names if name in self.specs[Step.SAG])
        if known == "setting":
            return self.place_of(f"{end}.found", Step.SETTINGS)
        for one, specs in self.specs.items():
            if step and one != step:
                continue
            found = [key] if key in specs else [name for name in specs if name.startswith(f"{key}.")]
            if found:
                return one, tuple(found)
        return step, ()

    def label(self, step: str, name: str) -> str:
        for group in self.groups[step]:
            for spec in group.fields:
                if spec.name == name:
                    return f"{group.legend}: {spec.label}"
        return name

    def askable(self) -> list[Askable]:
        """Return all that can be asked for, step by step, as the tuner picks it."""
        return [
            Askable(
                step,
                str(PAGES[step].title(self.at)),
                tuple(
                    (spec.name, f"{group.legend}: {spec.label}")
                    for group in groups
                    for spec in group.fields
                    if isinstance(spec, (Number, Choice, LongText)) and not spec.name.endswith(".counted_in")
                ),
            )
            for step, groups in self.groups.items()
        ]


def proposals(round_: Round, recommendation: Recommendation | None) -> list[Proposed]:
    """Return what the draft asks and what the round's checks want taken again, nothing twice."""
    request = round_.request
    form = Form(request)
    put = set(Question.objects.filter(round__request=request, round=form.at.round).values_list("key", flat=True))
    found: dict[str, Ask] = {}
    with translation.override(request.client.language):
        for ask in (*_of_draft(form, recommendation, round_), *_of_checks(form, round_)):
            found.setdefault(ask.key, ask)
    # A check that the draft asks about in its own words is not asked about twice.
    seen: set[tuple[str, ...]] = set()
    rows = []
    for ask in found.values():
        if ask.fields and ask.key.startswith("check:") and ask.fields in seen:
            continue
        seen.add(ask.fields)
        name = str(PAGES[ask.step].title(form.at)) if ask.step else ""
        labels = tuple(form.label(ask.step, field) for field in ask.fields)
        rows.append(Proposed(ask, name, labels, ask.key in put))
    return rows


def _of_draft(form: Form, recommendation: Recommendation | None, round_: Round) -> Iterator[Ask]:
    if recommendation is None:
        return
    client = round_.request.client
    own = practice.words_of(recommendation.practice, client.language)
    for row in recommendation.content["questions"]:
        step, fields = place(form, row["id"], row.get("params", {}), round_)
        told = ".".join(str(value) for value in row.get("params", {}).values() if isinstance(value, str))
        text = desk_words.said(row, UnitPrefs.of(client), own)
        yield Ask(text, step, fields, f"{row['id']}:{told}"[:120])


def place(form: Form, name: str, params: Mapping[str, Any], round_: Round) -> tuple[str, tuple[str, ...]]:
    """Return the step and the fields that answer a question of the judgement; ("", ()) where only words can."""
    if name in {"ask_again", "ask_second_look"}:
        for row in round_.checks:
            if row["id"] == params["check"] and row["end"] == params["end"]:
                return _of_check(form, check_from_json(row))
        return "", ()
    if "reading" in params:
        return form.place_of(str(params["reading"]))
    if name == "ask_air_pressure":
        return form.place_of("air_pressure.front")
    if name not in _PLACES:
        return "", ()
    step, wanted = _PLACES[name]
    told = {key: str(value) for key, value in params.items()}
    told["end_of_adjuster"] = told.get("adjuster", "").split(".")[0]
    names = [one.format_map({**dict.fromkeys(("question", "adjuster", "end"), ""), **told}) for one in wanted]
    return step.value, tuple(one for one in names if one in form.specs[step])


def _of_checks(form: Form, round_: Round) -> Iterator[Ask]:
    prefs = UnitPrefs.of(round_.request.client)
    for row in round_.checks:
        if row["verdict"] == "passes" or row["id"] == "missing_core":
            continue
        check = check_from_json(row)
        step, fields = _of_check(form, check)
        key = ".".join(part for part in (f"check:{check.id}", check.end) if part)
        yield Ask(str(words.check_text(check, prefs)), step, fields, key)


def _of_check(form: Form, check: Check) -> tuple[str, tuple[str, ...]]:
    fields = [name for key in check.again for name in form.place_of(key, step_of(check))[1]]
    return step_of(check), tuple(dict.fromkeys(fields))


def opening(request: SetupRequest) -> str:
    """Return the line over a list of questions, in the client's language."""
    with translation.override(request.client.language):
        return _("Before I can go on, I need this from you:")


def own_asks(body: str, steps: Sequence[str], fields: Sequence[str], form: Form) -> list[Ask]:
    """Return a tuner's own question as one for each step it leads to; ``fields`` as ``step:name``. What the form does
    not have is left out."""
    chosen: dict[str, list[str]] = {step: [] for step in steps if step in form.specs}
    for row in fields:
        step, _colon, name = row.partition(":")
        if name in form.specs.get(step, {}):
            chosen.setdefault(step, []).append(name)
    return [Ask(body, step, tuple(names)) for step, names in chosen.items()]


def ask(request: SetupRequest, by: User, body: str, asks: Sequence[Ask]) -> None:
    """Put questions to a client. Raises WrongState where nothing can be asked."""
    first = next((one.step for one in asks if one.step), "")
    conversation.post_message(request, body=body, author=by, step=first, question=True, asks=asks)
