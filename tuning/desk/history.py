"""The rounds before one, as the judgement looks back on them: what each sheet advised, what the client set of it, and
how the ride after it went. Read in a handful of queries, however many rounds there are."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any

from intake.case import build_case, build_cases
from intake.choices import Done, SettingKind
from intake.models import Event, Followed, Round, Setting, Symptom
from intake.services import advice
from tuning.desk.models import Derivation as DerivationRow
from tuning.desk.models import Recommendation
from tuning.engine.case import Case
from tuning.engine.derivation import Derivation
from tuning.engine.derive import derive
from tuning.engine.errors import EngineInputError
from tuning.engine.serial import derivation_from_json
from tuning.judgement.history import NOT_IN_PLACE, Advised, Felt, Foretold, Past
from tuning.judgement.moves import tried_by

#: Two settings nearer than this are the same one, in the adjuster's unit: lengths are typed in inches, too.
SAME = {"mm": 0.3}
#: An adjuster of one round → where it stands, and whether the client said so.
Stands = Mapping[str, tuple[float | None, bool]]


def history_of(round: Round) -> tuple[Past, ...]:
    """Return the rounds before this one that were sent and can be derived, first to last."""
    return case_and_history(round)[1]


def case_and_history(round: Round) -> tuple[Case, tuple[Past, ...]]:
    """Return a round's case, and the rounds before it that were sent and can be derived, first to last."""
    if round.number == 1:
        return build_case(round), ()
    earlier = Round.objects.filter(request=round.request_id, number__lt=round.number, sent_at__isnull=False)
    rounds = list(earlier.order_by("number"))
    for one in rounds:
        one.request = round.request
    rows = [*rounds, round]
    cases = dict(zip((row.pk for row in rows), build_cases(rows), strict=True))
    sheets = _sheets(rounds)
    derived = _derived(rounds, sheets)
    stands, told, followed = _stands(rows), _felt(rows), advice.said_of(rows)
    standing: dict[tuple[str, str], int] = {}
    found = []
    for one, following in pairwise(rows):
        outcome = cases[following.pk].answers.get("outcome", "")
        standing = _standing(standing, told[one.pk], cases[one.pk].answers.get("outcome", ""))
        derivation = derived.get(one.pk) or _derive(cases[one.pk])
        if derivation is None:
            continue
        content = sheets[one.pk].content if one.pk in sheets else {}
        found.append(
            Past(
                number=one.number,
                case=cases[one.pk],
                derivation=derivation,
                changes=tuple(
                    _advised(row, stands[following.pk], followed[following.pk].get(row["key"]))
                    for row in content.get("changes", ())
                ),
                predictions=tuple(
                    Foretold(row["key"], row["value"], row["half_width"], row["unit"])
                    for row in content.get("predictions", ())
                ),
                outcome=outcome,
                felt=tuple(_went(standing, told[following.pk], outcome)),
                note=content.get("tuner_note", ""),
            )
        )
    return cases[round.pk], tuple(found)


def tried_in(history: tuple[Past, ...], case: Case) -> dict[str, str]:
    """Return what the last sheet changed and the client says is changed, as ``Dossier.tried``.

    Empty while the outcome says neither better nor worse, and where the sheet also asked for a part or a job, since
    the outcome then says nothing of the setting beside it.
    """
    last = next((past for past in reversed(history) if past.changes), None)
    if last is None or case.answers.get("outcome") not in ("better", "worse"):
        return {}
    if any(not change.adjuster and change.done not in NOT_IN_PLACE for change in last.changes):
        return {}
    return tried_by(
        (
            replace(change, target=change.target if change.applied is None else change.applied)
            for change in last.changes
        ),
        case,
    )


def _sheets(rounds: list[Round]) -> dict[int, Recommendation]:
    """Return each round's last approved recommendation."""
    rows = Recommendation.objects.filter(round__in=rounds, state=Recommendation.State.APPROVED)
    return {row.round_id: row for row in rows.select_related("derivation").order_by("version")}


def _derived(rounds: list[Round], sheets: Mapping[int, Recommendation]) -> dict[int, Derivation]:
    """Return what was derived of each round: what its sheet rests on, else what was derived last."""
    found = {pk: sheet.derivation for pk, sheet in sheets.items()}
    if any(round.pk not in found for round in rounds):
        last = DerivationRow.objects.filter(round__in=rounds).order_by("pk")
        found = {row.round_id: row for row in last} | found
    return {pk: derivation_from_json(row.result) for pk, row in found.items()}


def _derive(case: Case) -> Derivation | None:
    try:
        return derive(case)
    except EngineInputError:
        return None


def _stands(rounds: list[Round]) -> dict[int, Stands]:
    kinds = [SettingKind.FOUND, SettingKind.APPLIED]
    rows = Setting.objects.filter(round__in=rounds, is_current=True, kind__in=kinds).select_related("adjuster")
    found: dict[int, dict[str, tuple[float | None, bool]]] = {round.pk: {} for round in rounds}
    for row in sorted(rows, key=lambda row: row.kind == SettingKind.APPLIED):
        found[row.round_id][row.adjuster.key] = (row.value, row.kind == SettingKind.APPLIED)
    return dict(found)


def _advised(change: Mapping[str, Any], stands: Stands, told: Followed | None = None) -> Advised:
    """Return a recommended change with what the next round says of it: the client's word on it, else where its
    adjuster stands."""
    applied, said = stands.get(change["adjuster"], (None, False))
    start, target = change["start"], change["target"]
    same = SAME.get(change["unit"], 0.05)
    if told is not None and (told.done != Done.OTHERWISE or not change["adjuster"]):
        done = told.done
        applied = None
        if change["adjuster"]:
            applied = target if done == Done.AS_TOLD else start
    elif not change["adjuster"] or applied is None or target is None or (told is not None and not said):
        applied, done = None, "unknown"
    elif not said:
        done = "assumed"
    elif abs(applied - target) <= same:
        applied, done = target, "as_told"
    elif start is not None and abs(applied - start) <= same:
        applied, done = start, "not_done"
    else:
        done = "otherwise"
    return Advised(
        change["kind"],
        change["end"],
        change["adjuster"],
        start,
        target,
        change["unit"],
        change["rule"],
        applied,
        done,
        told is not None,
    )


def _felt(rounds: list[Round]) -> dict[int, list[Symptom]]:
    found: dict[int, list[Symptom]] = {round.pk: [] for round in rounds}
    for row in Symptom.objects.filter(round__in=rounds).order_by("symptom", "end"):
        found[row.round_id].append(row)
    return found


def _standing(
    before: Mapping[tuple[str, str], int], told: Iterable[Symptom], outcome: str
) -> dict[tuple[str, str], int]:
    """Return the complaints that stand after a round with their severities: those told, and those of before that were
    not said to be gone. Whoever finds all better and names one no more is rid of it."""
    found = {} if outcome == "better" else dict(before)
    for row in told:
        found[row.symptom, row.end] = row.severity
        if row.change == "gone":
            del found[row.symptom, row.end]
    return found


def _went(before: Mapping[tuple[str, str], int], told: Iterable[Symptom], outcome: str) -> Iterable[Felt]:
    """Yield how each complaint went: as the client says; told again without a word, by its severity; told no more
    while all is better, gone; told for the first time, new."""
    now = {(row.symptom, row.end): row for row in told}
    for (symptom, end), severity in before.items():
        row = now.get((symptom, end))
        if row is None:
            yield Felt(symptom, end, severity, "gone" if outcome == "better" else "")
        elif row.change:
            yield Felt(symptom, end, severity, row.change)
        else:
            went = "worse" if row.severity > severity else "better" if row.severity < severity else "same"
            yield Felt(symptom, end, severity, went)
    for (symptom, end), row in now.items():
        if (symptom, end) not in before and row.change in ("", "worse"):
            yield Felt(symptom, end, row.severity, "new")


def sent_again(round: Round) -> bool:
    """Return whether the client sent a round again, as after a question of the shop's."""
    return Event.objects.filter(request=round.request_id, kind="sent", params__round=round.number).count() > 1
