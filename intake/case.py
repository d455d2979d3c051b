"""From records to what the engine takes: one round of one bike, in canonical numbers."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from intake.choices import Discipline, FrontArchitecture, RearArchitecture, SettingKind
from intake.models import Adjuster as AdjusterRow
from intake.models import Answer, Reading, Round, Setting
from intake.models import Symptom as SymptomRow
from tuning.engine.case import Adjuster, Case
from tuning.engine.case import Reading as EngineReading
from tuning.engine.checks import check
from tuning.engine.derivation import Check
from tuning.engine.quantities import QUANTITIES
from tuning.engine.vocabulary import HELD, STOP_QUESTIONS

#: Figures that hold until somebody types another: the bike's standing ones, and who rides with what.
_CARRIED = frozenset(q.id for q in QUANTITIES.values() if q.standing) | {
    "rider_mass",
    "passenger_mass",
    "luggage_mass",
}


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
        key = (row.quantity, row.end, row.leg, row.load_state, row.approach, row.repeat)
        kept.setdefault(key, row)
    return sorted(kept.values(), key=lambda r: r.pk)


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
    found = []
    for row in rows:
        setting = settings.get(row.pk)
        found.append(
            Adjuster(
                key=row.key,
                kind=row.kind,
                end=row.end,
                unit=row.unit,
                leg=row.leg,
                found=setting.value if setting else None,
                half_width=0.5 if row.unit == "mm" else 0.0,
                range_counted=row.range_counted,
                counted_from=row.counted_from,
                step_mm=row.step_mm,
            )
        )
    return tuple(found)


def load_state(readings: Iterable[Reading]) -> str:
    """Return the load the rider-aboard lengths were read with; "solo" when there are none."""
    states = Counter(r.load_state for r in readings if r.quantity == "length_rider_aboard" and r.load_state)
    return states.most_common(1)[0][0] if states else "solo"


def build_case(round: Round) -> Case:
    """Return what the engine derives from for this round."""
    adjusters = _adjusters(round.request.bike.adjusters.order_by("key"), current_settings(round))
    return _case(round, current_readings(round), adjusters, answers(round))


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


def _case(round: Round, readings: list[Reading], adjusters: tuple[Adjuster, ...], answers: Mapping[str, str]) -> Case:
    bike = round.request.bike
    tyres = {end: size for end, size in (("front", bike.front_tyre), ("rear", bike.rear_tyre)) if size}
    return Case(
        discipline=round.request.discipline or Discipline.ROAD_SPORT.value,
        front_architecture=bike.front or FrontArchitecture.COIL.value,
        rear_architecture=bike.rear or RearArchitecture.LINKAGE.value,
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


def partial_checks(round: Round) -> tuple[Check, ...]:
    """Return what the checks say of the readings so far, however few."""
    return check(build_case(round))
