"""What a tuner does with a round: derive, draft, edit, approve, correct, ask."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from intake.case import build_case
from intake.choices import RequestState, SettingKind
from intake.models import Adjuster, Event, Round, SetupRequest, User
from intake.models.requests import WrongState
from intake.services import advice, conversation, readings, requests
from intake.services.asking import Ask
from tuning.desk import drafting, practice, tallies, ways
from tuning.desk.freezing import freeze
from tuning.desk.history import case_and_history
from tuning.desk.models import DOCUMENT_SCHEMA, ApprovedDocument, Derivation, Recommendation
from tuning.desk.signals import recommendation_approved
from tuning.engine.derivation import ENGINE_VERSION
from tuning.engine.derive import derive
from tuning.engine.errors import EngineInputError, Fault
from tuning.engine.serial import derivation_from_json, derivation_to_json, input_hash
from tuning.judgement import draft, predict
from tuning.judgement.catalogue import CHANGE_KINDS
from tuning.judgement.gates import stops
from tuning.judgement.model import JUDGEMENT_VERSION, Dossier

#: States in which a sheet may be approved: the client is waiting, or a correction is due.
ADVISING = frozenset(
    {
        RequestState.RECEIVED,
        RequestState.READING,
        RequestState.QUESTION,
        RequestState.SHEET_READY,
        RequestState.RIDE,
    }
)


class StaleDraft(Exception):
    """Somebody saved or approved the draft meanwhile; ``current`` is how it stands now."""

    def __init__(self, current: Recommendation) -> None:
        super().__init__(f"{current} stands at lock {current.lock}")
        self.current = current

    @property
    def approved(self) -> bool:
        return self.current.state == Recommendation.State.APPROVED

    @property
    def who(self) -> str:
        """The colleague's name; "" when they have left the shop."""
        by = self.current.document.approved_by if self.approved else self.current.changed_by
        return by.signature() if by else ""

    @property
    def when(self) -> datetime:
        at: datetime = self.current.document.approved_at if self.approved else self.current.changed_at
        return at


class UnsoundDraft(EngineInputError):
    """A content that cannot stand on a sheet: every fault with path, value and reason."""


def derive_round(round: Round) -> Derivation:
    """Return the engine's word on a round, from the store when the same input was derived before.

    Raises EngineInputError listing every fault of the readings.
    """
    case = build_case(round)
    key = {"round": round, "input_hash": input_hash(case), "engine_version": ENGINE_VERSION}
    known = Derivation.objects.filter(**key).first()
    if known:
        return known
    result = derivation_to_json(derive(case))
    try:
        with transaction.atomic():
            return Derivation.objects.create(**key, result=result)
    except IntegrityError:
        return Derivation.objects.get(**key)


def dossier(round: Round, derivation: Derivation) -> Dossier:
    """Return everything that is judged of a round, the rounds before it with what became of their sheets."""
    case, history = case_and_history(round)
    return drafting.dossier_of(round, case, derivation_from_json(derivation.result), history)


@transaction.atomic
def open_draft(round: Round, by: User) -> Recommendation:
    """Return the round's open draft, or draft one.

    Raises WrongState for a round that was not sent, and for a request that is settled or closed.
    """
    if round.sent_at is None:
        raise WrongState(f"{round} was not sent yet")
    known = Recommendation.objects.filter(round=round, state=Recommendation.State.DRAFT).first()
    if known:
        return known
    _advised(round.request)
    derivation = derive_round(round)
    judged = dossier(round, derivation)
    holds = practice.current()
    made_by = practice.built(holds)
    proposal = draft(judged, made_by)
    content = ways.with_ways(drafting.content_of(proposal), judged, proposal, made_by)
    last = Recommendation.objects.filter(round=round).order_by("-version").first()
    try:
        with transaction.atomic():
            made = Recommendation.objects.create(
                round=round,
                version=last.version + 1 if last else 1,
                derivation=derivation,
                judgement_version=JUDGEMENT_VERSION,
                practice=holds,
                proposed=content,
                content=content,
                causes=tallies.causes_that_fired(judged, practice.built(holds)),
                created_by=by,
                changed_by=by,
            )
    except IntegrityError:
        return Recommendation.objects.get(round=round, state=Recommendation.State.DRAFT)
    tallies.drafted(made)
    Event.objects.create(
        request=round.request, kind="drafted", actor=by, public=False, params={"round": round.number}
    )
    return made


def correct(recommendation: Recommendation, by: User) -> Recommendation:
    """Open the next version of an approved recommendation, starting from what was approved."""
    if recommendation.state != Recommendation.State.APPROVED:
        raise WrongState(f"{recommendation} is not approved; edit it")
    fresh = open_draft(recommendation.round, by)
    if fresh.content == fresh.proposed:
        Recommendation.objects.filter(pk=fresh.pk).update(content=recommendation.content)
        fresh.content = recommendation.content
    return fresh


@transaction.atomic
def draft_anew(recommendation: Recommendation, lock: int, by: User) -> Recommendation:
    """Put a draft aside for one by the practice that holds now. The note to the client comes along, and the tuner's
    own words for every change that is proposed again; all else of the old draft is kept with it.

    Raises StaleDraft when somebody saved or approved it meanwhile, WrongState as ``open_draft`` does.
    """
    row = (
        Recommendation.objects.select_for_update(of=("self",))
        .select_related("round__request")
        .get(pk=recommendation.pk)
    )
    if row.lock != lock or row.state != Recommendation.State.DRAFT:
        raise StaleDraft(row)
    _advised(row.round.request)
    tallies.dropped(row)
    Recommendation.objects.filter(pk=row.pk).update(state=Recommendation.State.DROPPED, lock=lock + 1)
    fresh = open_draft(row.round, by)
    content = drafting.with_words_of(fresh.content, row.content)
    Recommendation.objects.filter(pk=fresh.pk).update(content=content)
    fresh.content = content
    return fresh


def adjusters_of(round: Round) -> dict[str, Adjuster]:
    return {row.key: row for row in Adjuster.objects.filter(bike__request=round.request_id)}


def save_draft(recommendation: Recommendation, content: Mapping[str, Any], lock: int, by: User) -> Recommendation:
    """Save an edited draft under the lock it was read with.

    Raises StaleDraft when somebody saved meanwhile, UnsoundDraft listing every fault of the content.
    """
    whole = {**content, "stop": recommendation.content["stop"]}
    known = [change for change in whole["changes"] if change["kind"] in CHANGE_KINDS]
    if len(known) == len(whole["changes"]):
        whole["changes"] = [drafting.with_critical(change) for change in known]
    faults = list(drafting.faults_of(whole, adjusters_of(recommendation.round)))
    if faults:
        raise UnsoundDraft(faults)
    # What the next readings should show follows from the numbers as the tuner has them now.
    judged = dossier(recommendation.round, recommendation.derivation)
    whole["predictions"] = drafting.predictions_of(predict(judged, drafting.changes_of(whole)))
    whole = ways.saved(whole, recommendation.content, judged, practice.built(recommendation.practice))
    saved = Recommendation.objects.filter(pk=recommendation.pk, lock=lock, state=Recommendation.State.DRAFT).update(
        content=whole, lock=lock + 1, changed_at=timezone.now(), changed_by=by
    )
    recommendation.refresh_from_db()
    if not saved:
        raise StaleDraft(recommendation)
    return recommendation


def _advised(request: SetupRequest) -> None:
    """Raise WrongState for a request whose client no longer waits for advice."""
    if request.state not in ADVISING:
        raise WrongState(f"{request.reference} is {request.state}; nothing can be sent to the client now")


@transaction.atomic
def approve(recommendation: Recommendation, lock: int, by: User) -> ApprovedDocument:
    """Approve a draft: freeze it, write its settings as recommended, open the next round, hand it to the printer.

    All in one transaction. Raises StaleDraft, UnsoundDraft, WrongState, and of that Taken while a colleague has the
    request.
    """
    row = (
        Recommendation.objects.select_for_update(of=("self", "round__request"))
        .select_related("round__request__client", "round__request__bike", "derivation")
        .get(pk=recommendation.pk)
    )
    if row.lock != lock or row.state != Recommendation.State.DRAFT:
        raise StaleDraft(row)
    request = row.round.request
    requests.held_for(request, by)
    _advised(request)
    faults = [*drafting.faults_of(row.content, adjusters_of(row.round)), *_unfit(row)]
    if faults:
        raise UnsoundDraft(faults)
    now = timezone.now()
    content = freeze(row, by=by, at=now)
    document = ApprovedDocument.objects.create(
        recommendation=row,
        schema_version=DOCUMENT_SCHEMA,
        text=ApprovedDocument.canonical(content),
        approved_by=by,
        approved_at=now,
    )
    Recommendation.objects.filter(pk=row.pk).update(state=Recommendation.State.APPROVED, lock=lock + 1)
    tallies.approved(row)
    _write_recommended(row, content)
    request.move_to(RequestState.SHEET_READY)
    Event.objects.create(
        request=request, kind="approved", actor=by, params={"number": content["number"], "round": row.round.number}
    )
    recommendation_approved.send(sender=ApprovedDocument, document=document)
    recommendation.refresh_from_db()
    return document


def _unfit(recommendation: Recommendation) -> Iterator[Fault]:
    """Yield why a draft may not go out: tuning advice past an open stop gate, or nothing to say at all."""
    content = recommendation.content
    open_stops = stops(dossier(recommendation.round, recommendation.derivation))
    if content["changes"] and (content["stop"] or open_stops):
        yield Fault("changes", len(content["changes"]), "stop_open")
    if not (content["changes"] or content["stop"] or content["notes"]):
        yield Fault("changes", 0, "nothing_to_say")


def _write_recommended(recommendation: Recommendation, content: Mapping[str, Any]) -> None:
    adjusters = adjusters_of(recommendation.round)
    wanted: list[tuple[str, float | None, str]] = []
    for change in recommendation.content["changes"]:
        adjuster = adjusters.get(change["adjuster"])
        if adjuster is None or change["target"] is None:
            continue
        text = requests.plain(change["target"])
        readings.record_setting(
            recommendation.round, adjuster, SettingKind.RECOMMENDED, value=change["target"], text=text
        )
        wanted.append((adjuster.key, change["target"], ""))
    fresh = requests.open_next_round(recommendation.round.request, wanted)
    advice.tell(fresh, [_told(change, at, recommendation) for at, change in enumerate(content["changes"], 1)])


def _told(change: Mapping[str, Any], number: int, recommendation: Recommendation) -> advice.Told:
    """Return a change of the frozen document as the next round asks about it."""
    return advice.Told(
        key=change["key"],
        name=f"{recommendation.version}.{number}",
        number=number,
        kind=change["kind"],
        end=change["end"],
        adjuster=change["adjuster"],
        start=change["start"],
        target=change["target"],
        unit=change["unit"],
        title=change["title"],
        from_text=change["from_text"],
        to_text=change["to_text"],
        turn_text=change["turn_text"],
    )


def ask_client(request: SetupRequest, by: User, body: str, *steps: str) -> None:
    """Ask the client something; with steps, the question leads to just those parts of the form."""
    asks = [Ask(body, step) for step in dict.fromkeys(steps) if step]
    conversation.post_message(request, body=body, author=by, question=True, asks=asks)
