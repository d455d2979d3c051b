"""Recording what a client measured, found and answered. Readings and settings are append-only."""

from collections.abc import Iterable

from django.db import transaction

from intake import case, typed
from intake.choices import SINCE, SettingKind
from intake.models import Adjuster, Answer, Bike, Reading, Round, Setting, Symptom
from tuning.engine.case import ADJUSTER_KINDS, ADJUSTER_UNITS
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, METHODS, QUANTITIES, Quantity
from tuning.engine.vocabulary import ANSWERS, PER_END, STOP_QUESTIONS, SYMPTOM_IDS, YES_NO

#: What each tool measures; of anything else its half-width says nothing.
TOOL_DIMENSION = {"rule": "length", "tape": "length", "caliper": "length", "ring": "length", "scale": "mass"}
#: Lengths read with nobody aboard, whatever the load the bike is set up for.
UNLOADED = frozenset({"length_topped_out", "length_bike_alone"})
MOST_REPEATS = 9
#: What a setting typed may be at all, by the adjuster's unit: canonical for mm and kPa, else a count.
SETTING_LIMITS = {"mm": (-100.0, 400.0), "kPa": (0.0, 2000.0)}
COUNT_LIMITS = (0.0, 500.0)
MOST_STEP_MM = 50.0
LONGEST_MODE = 40


class NotRecordable(ValueError):
    """Something was to be recorded that the vocabulary does not know: reason id and the value."""

    def __init__(self, reason: str, value: object) -> None:
        super().__init__(f"{reason}: {value!r}")
        self.reason = reason
        self.value = value


def reading_as_typed(
    round: Round,
    *,
    quantity: str,
    end: str = "",
    leg: str = "",
    load_state: str = "",
    approach: str = "as_is",
    repeat: int = 1,
    text: str,
    unit: str,
    method: str = "",
    least: float = 0.0,
) -> Reading:
    """Return the row that ``record_reading`` would write, unsaved. Raises what that raises."""
    spec = QUANTITIES.get(quantity)
    if spec is None:
        raise NotRecordable("unknown_quantity", quantity)
    if spec.per_end != bool(end) or (end and end not in ENDS):
        raise NotRecordable("unknown_end", end)
    if leg and (not spec.per_leg or leg not in LEGS):
        raise NotRecordable("unknown_leg", leg)
    if load_state and load_state not in LOAD_STATES:
        raise NotRecordable("unknown_load_state", load_state)
    if approach not in APPROACHES:
        raise NotRecordable("unknown_approach", approach)
    if not 1 <= repeat <= MOST_REPEATS:
        raise NotRecordable("unknown_repeat", repeat)
    if method and method not in METHODS:
        raise NotRecordable("unknown_method", method)
    number = typed.parse(text, spec.dimension, unit, (spec.low, spec.high))
    if not spec.low <= number.canonical <= spec.high:
        raise NotRecordable("out_of_limits", text)
    return Reading(
        round=round,
        quantity=quantity,
        end=end,
        leg=leg,
        load_state=load_state or _load_meant(round, quantity),
        approach=approach,
        repeat=repeat,
        text=text,
        unit=unit,
        value=number.canonical,
        half_width=max(_half_width(spec, method, number), least),
        method=method,
        parser_version=typed.PARSER_VERSION,
    )


@transaction.atomic
def record_reading(
    round: Round,
    *,
    quantity: str,
    end: str = "",
    leg: str = "",
    load_state: str = "",
    approach: str = "as_is",
    repeat: int = 1,
    text: str,
    unit: str,
    method: str = "",
    least: float = 0.0,
) -> Reading:
    """Record one reading as typed; it supersedes the one of the same key, and the same text again changes nothing.

    The half-width is the tool's, or half the last digit typed where that is coarser, or the quantity's usual one; and
    ``least`` (canonical) where whoever says the figure knows it no better.
    A length without a load state is of the bike alone, or, with the rider aboard, of the load measured so far.
    Raises ``typed.NotANumber`` for text that is no number, NotRecordable for a value outside what is possible.
    """
    fresh = reading_as_typed(
        round, quantity=quantity, end=end, leg=leg, load_state=load_state, approach=approach, repeat=repeat,
        text=text, unit=unit, method=method, least=least,
    )  # fmt: skip
    of = {name: getattr(fresh, name) for name in ("quantity", "end", "leg", "load_state", "approach", "repeat")}
    current = Reading.objects.select_for_update().filter(round=round, is_current=True, **of).first()
    if current and (current.text, current.unit, current.method) == (text, unit, method):
        return current
    if current:
        _retire(current)
    fresh.save(force_insert=True)
    if current:
        current.superseded_by = fresh
        current.save(update_fields=["superseded_by"])
    return fresh


def _half_width(spec: Quantity, method: str, number: typed.Typed) -> float:
    fits = method in METHODS and TOOL_DIMENSION.get(method, spec.dimension) == spec.dimension
    tool = METHODS[method] if fits else spec.half_width
    # A unit far too coarse ("0 m") tells no more than that the value lies within its limits.
    return min(max(tool, number.resolution if spec.half_width else 0.0), spec.high)


def _load_meant(round: Round, quantity: str) -> str:
    """Return the load state of a length that was told without one; nothing else needs one."""
    if quantity in UNLOADED:
        return "bike_alone"
    if quantity != "length_rider_aboard":
        return ""
    earlier = Reading.objects.filter(
        round__request=round.request_id, round__number__lte=round.number, is_current=True, quantity=quantity
    ).select_related("round")
    last = max((row.round.number for row in earlier), default=0)
    return case.load_state(row for row in earlier if row.round.number == last)


def _retire(reading: Reading) -> None:
    reading.is_current = False
    reading.save(update_fields=["is_current"])


@transaction.atomic
def withdraw_reading(
    round: Round,
    *,
    quantity: str,
    end: str = "",
    leg: str = "",
    load_state: str = "",
    approach: str = "as_is",
    repeat: int = 1,
) -> None:
    """Take a reading back (its field was emptied). The row stays; it is no longer current."""
    rows = Reading.objects.select_for_update().filter(
        round=round, quantity=quantity, end=end, leg=leg, load_state=load_state, approach=approach, repeat=repeat,
        is_current=True,
    )  # fmt: skip
    for reading in rows:
        _retire(reading)


def put_adjuster(
    bike: Bike,
    key: str,
    *,
    unit: str,
    counted_from: str = "closed",
    range_counted: float | None = None,
    step_mm: float | None = None,
    place: str = "",
) -> Adjuster:
    """Say that the bike has this adjuster (``front.rebound.left``), or correct what was said of it.

    Raises NotRecordable for an adjuster, unit or direction that is not known, and for a range or step of nothing.
    """
    end, _, rest = key.partition(".")
    kind, _, leg = rest.partition(".")
    if end not in ENDS or kind not in ADJUSTER_KINDS or (leg and leg not in LEGS):
        raise NotRecordable("unknown_adjuster", key)
    if unit not in ADJUSTER_UNITS:
        raise NotRecordable("unknown_unit", unit)
    if counted_from not in {"closed", "open"}:
        raise NotRecordable("unknown_direction", counted_from)
    if range_counted is not None and not 0 < range_counted <= COUNT_LIMITS[1]:
        raise NotRecordable("not_a_range", range_counted)
    if step_mm is not None and not 0 < step_mm <= MOST_STEP_MM:
        raise NotRecordable("not_a_step", step_mm)
    adjuster, _made = Adjuster.objects.update_or_create(
        bike=bike,
        key=key,
        defaults={
            "kind": kind, "end": end, "leg": leg, "place": place, "unit": unit, "counted_from": counted_from,
            "range_counted": range_counted, "step_mm": step_mm,
        },
    )  # fmt: skip
    return adjuster


def move_adjuster(adjuster: Adjuster, place: str) -> None:
    """Say where on the bike an adjuster sits; "" when it is not there after all. Then it goes, unless a setting or a
    range of it is on record."""
    if not place and adjuster.range_counted is None and not adjuster.settings.exists():
        adjuster.delete()
        return
    adjuster.place = place
    adjuster.save(update_fields=["place"])


@transaction.atomic
def record_setting(
    round: Round,
    adjuster: Adjuster,
    kind: str,
    *,
    text: str = "",
    value: float | None = None,
    mode: str = "",
) -> Setting:
    """Record where an adjuster stood (found), should stand (recommended) or was put (applied).

    ``text`` is read in the adjuster's unit; ``value`` may be given instead (canonical for mm and kPa, else a count).
    For an adjuster that has modes the text is the mode's name. Raises ``typed.NotANumber``, or NotRecordable for a
    text that no adjuster can stand at.
    """
    if kind not in SettingKind.values:
        raise NotRecordable("unknown_setting_kind", kind)
    if adjuster.unit == "mode":
        mode = mode or text.strip()
        if len(mode) > LONGEST_MODE:
            raise NotRecordable("too_long", mode)
    elif text and value is None:
        value = parse_setting(text, adjuster.unit)
        low, high = SETTING_LIMITS.get(adjuster.unit, COUNT_LIMITS)
        if not low <= value <= high:
            raise NotRecordable("out_of_limits", text)
    rows = Setting.objects.select_for_update().filter(round=round, adjuster=adjuster, kind=kind, is_current=True)
    current = rows.first()
    if current and (current.value, current.mode, current.text) == (value, mode, text):
        return current
    if current:
        current.is_current = False
        current.save(update_fields=["is_current"])
    fresh = Setting.objects.create(round=round, adjuster=adjuster, kind=kind, value=value, mode=mode, text=text)
    if current:
        current.superseded_by = fresh
        current.save(update_fields=["superseded_by"])
    return fresh


def parse_setting(text: str, unit: str) -> float:
    """Return a setting as typed, in the adjuster's unit. Raises ``typed.NotANumber``."""
    dimension = {"mm": "length", "kPa": "pressure"}.get(unit, "count")
    return typed.parse(text, dimension, unit, SETTING_LIMITS.get(unit, COUNT_LIMITS)).canonical


def withdraw_setting(round: Round, adjuster: Adjuster, kind: str) -> None:
    """Take a setting back (its field was emptied)."""
    Setting.objects.filter(round=round, adjuster=adjuster, kind=kind, is_current=True).update(is_current=False)


def answer(round: Round, question: str, end: str, value: str) -> None:
    """Record an answer by choice; an empty value takes it back. Raises NotRecordable for an unknown one."""
    allowed = YES_NO if question in STOP_QUESTIONS else ANSWERS.get(question)
    if allowed is None:
        raise NotRecordable("unknown_question", question)
    if (question in PER_END) != bool(end) or (end and end not in ENDS):
        raise NotRecordable("unknown_end", end)
    if not value:
        Answer.objects.filter(round=round, question=question, end=end).delete()
        return
    if value not in allowed:
        raise NotRecordable("unknown_answer", value)
    Answer.objects.update_or_create(round=round, question=question, end=end, defaults={"value": value})


@transaction.atomic
def put_symptoms(round: Round, symptoms: Iterable[tuple[str, str, int, str]]) -> None:
    """Set the round's symptoms: (id, end, severity 1…3, change "" or one of SINCE)."""
    rows = []
    for symptom, end, severity, change in symptoms:
        if symptom not in SYMPTOM_IDS:
            raise NotRecordable("unknown_symptom", symptom)
        if end and end not in ENDS:
            raise NotRecordable("unknown_end", end)
        if severity not in {1, 2, 3}:
            raise NotRecordable("unknown_severity", severity)
        if change not in {"", *SINCE}:
            raise NotRecordable("unknown_answer", change)
        rows.append(Symptom(round=round, symptom=symptom, end=end, severity=severity, change=change))
    Symptom.objects.filter(round=round).delete()
    Symptom.objects.bulk_create({(row.symptom, row.end): row for row in rows}.values())
