"""From records to what the engine takes: one round of one bike, in canonical numbers."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from intake import doubts
from intake.choices import Discipline, FrontArchitecture, RearArchitecture, SettingKind
from intake.models import Adjuster as AdjusterRow
from intake.models import Answer, Reading, Round, Setting
from intake.models import Symptom as SymptomRow
from tuning.engine.case import Adjuster, Case
from tuning.engine.case import Reading as EngineReading
from tuning.engine.checks import check
from tuning.engine.derivation import Check
from tuning.engine.quantities import ENDS, QUANTITIES
from tuning.engine.vocabulary import HELD, STOP_QUESTIONS

#: Figures that hold until somebody types another: the bike's standing ones, and who rides with what.
_CARRIED = frozenset(q.id for q in QUANTITIES.values() if q.standing) | {
    "rider_mass",
    "passenger_mass",
    "luggage_mass",
}


@dataclass(frozen=True)
class Unsaved:
    """What stands in the fields of a page and is not on record yet, to be laid over what is.

    readings: by (quantity, end, leg, load state, approach, repeat); None takes the reading back.
    adjusters: by key, unsaved rows; settings: where each stands, None taken back.
    answers: by ``question`` or ``question.end``; "" takes the answer back.
    described: discipline, front, rear, front_tyre, rear_tyre, as far as the page asks for them.
    load_state: said on the page, or "".
    """

    readings: Mapping[tuple[object, ...], Reading | None] = field(default_factory=dict)
    adjusters: Mapping[str, AdjusterRow] = field(default_factory=dict)
    settings: Mapping[str, float | None] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)
    described: Mapping[str, str] = field(default_factory=dict)
    load_state: str = ""


NOTHING_UNSAVED = Unsaved()


def current_readings(round: Round) -> list[Reading]:
    """Return the round's current readings and those that earlier rounds carry into it, latest first come."""
    rows = Reading.objects.filter(
        round__request=round.request_id, round__number__lte=round.number, is_current=True
    ).select_related("round")
    return _carried_into(round.number, rows)


def _carried_into(number: int, rows: Iterable[Reading]) -> list[Reading]:
    kept: dict[tuple[object, ...], Reading] = {}
    for row in sorted(rows, key=lambda r: (-r.round.number, r.pk)):
        if row.round.number > number or (row.round.number != number and row.quantity not in _CARRIED):
            continue
        kept.setdefault(key_of(row), row)
    return sorted(kept.values(), key=lambda r: r.pk)


def key_of(row: Reading) -> tuple[object, ...]:
    """Return what a reading is of."""
    return (row.quantity, row.end, row.leg, row.load_state, row.approach, row.repeat)


def current_settings(round: Round) -> dict[int, Setting]:
    """Return where each adjuster stands in this round, by adjuster: as applied, else as found."""
    rows = Setting.objects.filter(
        round=round, is_current=True, kind__in=[SettingKind.FOUND, SettingKind.APPLIED]
    ).select_related("adjuster")
    return _standing(rows)


def _standing(rows: Iterable[Setting]) -> dict[int, Setting]:
    standing: dict[int, Setting] = {}
    for row in sorted(rows, key=lambda r: r.kind == SettingKind.FOUND):
        standing.setdefault(row.adjuster_id, row)
    return standing


def _adjusters(rows: Iterable[AdjusterRow], settings: Mapping[int, Setting]) -> tuple[Adjuster, ...]:
    rows = list(rows)
    stood = {row.key: settings[row.pk].value for row in rows if row.pk in settings}
    return _stand({row.key: row for row in rows}, stood)


def _stand(rows: Mapping[str, AdjusterRow], stood: Mapping[str, float | None]) -> tuple[Adjuster, ...]:
    return tuple(
        Adjuster(
            key=key,
            kind=row.kind,
            end=row.end,
            unit=row.unit,
            leg=row.leg,
            found=stood.get(key),
            half_width=0.5 if row.unit == "mm" else 0.0,
            range_counted=row.range_counted,
            counted_from=row.counted_from,
            step_mm=row.step_mm,
        )
        for key, row in sorted(rows.items())
    )


def load_state(readings: Iterable[Reading]) -> str:
    """Return the load the rider-aboard lengths were read with; "solo" when there are none."""
    states = Counter(r.load_state for r in readings if r.quantity == "length_rider_aboard" and r.load_state)
    return states.most_common(1)[0][0] if states else "solo"


def build_case(round: Round) -> Case:
    """Return what the engine derives from for this round."""
    adjusters = _adjusters(round.request.bike.adjusters.order_by("key"), current_settings(round))
    return _case(round, current_readings(round), adjusters, answers(round))


def case_with(round: Round, unsaved: Unsaved) -> tuple[Case, list[Reading]]:
    """Return the case as it would be once ``unsaved`` were saved, and its readings; nothing is written."""
    readings = {key_of(row): row for row in current_readings(round)}
    if unsaved.load_state:
        # Lengths taken under another load are of something else now.
        readings = {
            key: row
            for key, row in readings.items()
            if row.quantity != "length_rider_aboard" or row.load_state == unsaved.load_state
        }
    for key, typed in unsaved.readings.items():
        if typed is None:
            readings.pop(key, None)
        else:
            readings[key] = typed
    rows = {row.key: row for row in round.request.bike.adjusters.order_by("key")}
    stood = {row.adjuster.key: row.value for row in current_settings(round).values()}
    adjusters = _stand({**rows, **unsaved.adjusters}, {**stood, **unsaved.settings})
    given = {question: value for question, value in {**answers(round), **unsaved.answers}.items() if value}
    found = list(readings.values())
    return _case(round, found, adjusters, given, unsaved.described), found


def build_cases(rounds: Sequence[Round]) -> list[Case]:
    """Return the case of each of one request's rounds, in their order, with as many queries as for one."""
    if not rounds:
        return []
    request, last = rounds[0].request, max(round.number for round in rounds)
    upto = {"round__request": request.pk, "round__number__lte": last}
    read = list(Reading.objects.filter(**upto, is_current=True).select_related("round"))
    kinds = [SettingKind.FOUND, SettingKind.APPLIED]
    settings = list(Setting.objects.filter(round__in=rounds, is_current=True, kind__in=kinds))
    rows = list(request.bike.adjusters.order_by("key"))
    given = list(Answer.objects.filter(**upto).exclude(question__in=STOP_QUESTIONS).select_related("round"))
    found = []
    for round in rounds:
        standing = _standing(row for row in settings if row.round_id == round.pk)
        own = {_asked(row): row.value for row in given if row.round_id == round.pk}
        for row in sorted(given, key=lambda row: -row.round.number):
            if row.question in HELD and row.round.number < round.number:
                own.setdefault(row.question, row.value)
        found.append(_case(round, _carried_into(round.number, read), _adjusters(rows, standing), own))
    return found


def _case(
    round: Round,
    readings: list[Reading],
    adjusters: tuple[Adjuster, ...],
    answers: Mapping[str, str],
    unsaved: Mapping[str, str] | None = None,
) -> Case:
    bike, typed = round.request.bike, unsaved or {}
    sizes = {end: typed.get(f"{end}_tyre", getattr(bike, f"{end}_tyre")) for end in ENDS}
    tyres = {end: size for end, size in sizes.items() if size}
    return Case(
        discipline=typed.get("discipline") or round.request.discipline or Discipline.ROAD_SPORT.value,
        front_architecture=typed.get("front") or bike.front or FrontArchitecture.COIL.value,
        rear_architecture=typed.get("rear") or bike.rear or RearArchitecture.LINKAGE.value,
        readings=tuple(
            EngineReading(r.quantity, r.value, r.half_width, r.end, r.leg, r.load_state, r.approach, r.repeat)
            for r in readings
        ),
        adjusters=adjusters,
        answers=answers,
        load_state=load_state(readings),
        tyre_size=tyres,
    )


def answers(round: Round) -> dict[str, str]:
    """Return the round's answers other than the stop gate's, as ``question`` or ``question.end``."""
    rows = Answer.objects.filter(round=round).exclude(question__in=STOP_QUESTIONS)
    given = {_asked(row): row.value for row in rows}
    if round.number > 1 and set(HELD) - set(given):
        earlier = Answer.objects.filter(
            round__request=round.request_id, round__number__lt=round.number, question__in=HELD
        )
        for question, value in earlier.order_by("-round__number").values_list("question", "value"):
            given.setdefault(question, value)
    return given


def _asked(row: Answer) -> str:
    return f"{row.question}.{row.end}" if row.end else row.question


def stop_answers(round: Round) -> dict[str, str]:
    """Return the stop gate's answers of this round alone: what it leaves open is unanswered, whatever came before.

    Only a "no" lifts a "yes" of an earlier round; an "unsure" leaves it standing.
    """
    return stop_gate(round)[1]


def stops_before(round: Round) -> frozenset[str]:
    """Return the stop questions that earlier rounds answered with yes, and none of them with no since."""
    return stop_gate(round)[0]


def stop_gate(round: Round) -> tuple[frozenset[str], dict[str, str]]:
    """Return what ``stops_before`` and ``stop_answers`` do, at once."""
    rows = Answer.objects.filter(
        round__request=round.request_id, round__number__lte=round.number, question__in=STOP_QUESTIONS
    ).order_by("round__number")
    earlier: dict[str, str] = {}
    own: dict[str, str] = {}
    for row in rows:
        if row.round_id == round.pk:
            own[row.question] = row.value
        elif row.value != "unsure":
            earlier[row.question] = row.value
    before = frozenset(question for question, value in earlier.items() if value == "yes")
    return before, {q: "yes" if value == "unsure" and q in before else value for q, value in own.items()}


def symptoms(round: Round) -> list[SymptomRow]:
    return list(SymptomRow.objects.filter(round=round).order_by("-severity", "symptom", "end"))


def partial_checks(round: Round, unsaved: Unsaved = NOTHING_UNSAVED) -> tuple[Check, ...]:
    """Return what the checks say of the readings so far, however few, with what is typed but not saved laid over."""
    case, readings = case_with(round, unsaved)
    return with_doubts(check(case), readings)


def with_doubts(checks: Iterable[Check], readings: Iterable[Reading]) -> tuple[Check, ...]:
    """Return the engine's checks and the doubts about how numbers were typed; a number is asked about once only."""
    found = tuple(doubts.of(readings))
    doubted = {key for doubt in found if doubt.id == "other_unit" for key in doubt.again}
    return tuple(c for c in checks if c.id != "unusual_value" or not doubted & set(c.again)) + found
