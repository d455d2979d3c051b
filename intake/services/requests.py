"""The steps a request takes: started, described, sent, taken, advised, reported on, settled."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from intake import case as cases
from intake import links
from intake.choices import Purpose, RequestState, SettingKind, Way
from intake.mailbox import queue_mail, queue_word_to_tuner
from intake.models import Adjuster, Answer, Bike, Client, Event, Round, SetupRequest, User
from intake.models.requests import WrongState
from intake.services import asking, readings
from intake.signals import request_settled
from tuning.engine.derivation import Check
from tuning.engine.safety_words import found_in
from tuning.engine.vocabulary import STOP_QUESTIONS

#: Without these nothing can be judged; one end is enough to begin with.
CORE = ("length_topped_out", "length_bike_alone", "length_rider_aboard")
#: How often a reference is drawn before a clash is taken for a fault.
_DRAWS = 5


class NotReady(ValueError):
    """A round cannot be sent yet: ``problems`` are (step, reason id) pairs; ``unanswered`` the stop questions that
    the round leaves open."""

    def __init__(self, problems: list[tuple[str, str]], unanswered: tuple[str, ...] = ()) -> None:
        super().__init__(", ".join(f"{step}: {reason}" for step, reason in problems))
        self.problems = problems
        self.unanswered = unanswered


@transaction.atomic
def start_request(*, language: str = "en", way: str = Way.WHOLE, **preferences: str) -> SetupRequest:
    """Begin a request with its client (``length_unit``, ``mass_unit``, ``paper`` …), bike and first round."""
    client = Client.objects.create(language=language, **preferences)
    request = _with_new_reference(client, way)
    Bike.objects.create(request=request)
    Round.objects.create(request=request, number=1)
    return request


def _with_new_reference(client: Client, way: str) -> SetupRequest:
    """Return a new request. With a million on record, one reference drawn in a thousand is taken already."""
    for _attempt in range(_DRAWS - 1):
        try:
            with transaction.atomic():
                return SetupRequest.objects.create(client=client, way=way)
        except IntegrityError:
            continue
    return SetupRequest.objects.create(client=client, way=way)


def describe_client(request: SetupRequest, **fields: Any) -> None:
    """Say who the client is and which units they use; a new address gets the private link by mail."""
    _change(request.client, fields)
    if fields.get("email") and request.state == RequestState.DRAFT:
        already = request.mails.filter(kind="link", to=request.client.email).exists()
        if not already:
            mail_link(request)


def take_way(request: SetupRequest, way: str) -> None:
    """Ask the first round the other way; what was typed in the one stands in the other."""
    _change(request, {"way": way})


def describe_aim(request: SetupRequest, **fields: Any) -> None:
    """Say what the client rides, wants, can do and may spend."""
    _change(request, fields)


def describe_bike(request: SetupRequest, **fields: Any) -> None:
    """Say what the bike is."""
    _change(request.bike, fields)


def _change(row: Any, fields: Mapping[str, Any]) -> None:
    for name, value in fields.items():
        setattr(row, name, value)
    if fields:
        row.save(update_fields=list(fields))


def mail_link(request: SetupRequest) -> None:
    """Mail the client their private link."""
    with translation.override(request.client.language):
        subject = _("Your private link for %(reference)s") % {"reference": request.reference}
        body = _(
            "With this link you come back to your setup request %(reference)s, from any device:\n\n%(link)s\n\n"
            "Keep it to yourself: whoever has it can read and change the request.\n\n%(shop)s"
        ) % {
            "reference": request.reference,
            "link": links.link(request, Purpose.FULL),
            "shop": settings.SHOP_NAME,
        }
        queue_mail(request, "link", subject, body)


@transaction.atomic
def renew_links(request: SetupRequest) -> None:
    """End every link of a request, mail the new one, and note that it was done."""
    links.revoke_all(request)
    Event.objects.create(request=request, kind="links_renewed", public=False)
    mail_link(request)


def stop_unanswered(round: Round) -> tuple[str, ...]:
    """Return the stop questions a round leaves open. Each round answers them anew: the bike was ridden in between."""
    given = cases.stop_answers(round)
    return tuple(question for question in STOP_QUESTIONS if question not in given)


def problems_before_sending(round: Round) -> list[tuple[str, str]]:
    """Return what is still missing before a round may be sent, as (step, reason id)."""
    request = round.request
    missing: list[tuple[str, str]] = []
    if stop_unanswered(round):
        missing.append(("safety", "stop_answers_missing"))
    if round.number == 1:
        if not request.discipline:
            missing.append(("you", "discipline_missing"))
        if request.consent_at is None:
            missing.append(("review", "consent_missing"))
    rows = cases.current_readings(round)
    if not any(row.quantity == "rider_mass" for row in rows):
        missing.append(("rider", "rider_mass_missing"))
    taken = {(row.quantity, row.end) for row in rows}
    if not any(all((quantity, end) in taken for quantity in CORE) for end in ("front", "rear")):
        missing.append(("sag", "lengths_missing"))
    return missing


@transaction.atomic
def send_round(round: Round, *, doubt_note: str = "") -> None:
    """Send a round to the shop: checks and flags are stored, the request joins the queue, the client is told.

    A round may be sent again while the shop has a question open about it, and once one was answered. Raises NotReady,
    or WrongState when it was sent before, as by a second press of the button.
    """
    # Only the request's own row is held: PostgreSQL holds no row that an outer join may not find.
    held = SetupRequest.objects.select_for_update(of=("self",))
    request = held.select_related("client", "bike").get(pk=round.request_id)
    round.request = request
    # Looked up while the request is held: whoever waited for it sees what the first one did.
    round.sent_at = Round.objects.values_list("sent_at", flat=True).get(pk=round.pk)
    asked = request.state == RequestState.QUESTION or asking.answered_since_sent(round)
    if round.sent_at is not None and not (asked and round.number == request.current_round):
        raise WrongState(f"{round} was sent already")
    missing = problems_before_sending(round)
    if missing:
        raise NotReady(missing, stop_unanswered(round))
    checks = cases.partial_checks(round)
    round.checks = [check_to_json(check) for check in checks]
    round.doubt_note = doubt_note.strip()
    round.sent_at = timezone.now()
    round.save(update_fields=["checks", "doubt_note", "sent_at"])
    raise_flags(request, round, checks)
    if request.state == RequestState.SHEET_READY:
        request.move_to(RequestState.RIDE)
    request.move_to(RequestState.RECEIVED)
    Event.objects.create(request=request, kind="sent", params={"round": round.number})
    _note_stops(round)
    _mail_received(request)
    queue_word_to_tuner(request, "report")


def _note_stops(round: Round) -> None:
    """Write down what the round told of at the stop gate, and what it says has been put right since."""
    before, given = cases.stop_gate(round)
    standing = set(before)
    # A round that is sent again, after a question, is held against what it said itself.
    kinds = ("stop_told", "stop_cleared")
    for event in Event.objects.filter(request=round.request, kind__in=kinds, params__round=round.number):
        if event.kind == "stop_told":
            standing |= set(event.params["questions"])
        else:
            standing -= set(event.params["questions"])
    told = [question for question in STOP_QUESTIONS if given.get(question) == "yes"]
    cleared = [question for question in STOP_QUESTIONS if question in standing and given.get(question) == "no"]
    for kind, questions in zip(kinds, (told, cleared), strict=True):
        if questions:
            params = {"round": round.number, "questions": questions}
            Event.objects.create(request=round.request, kind=kind, params=params)


def check_to_json(check: Check) -> dict[str, Any]:
    return {
        "id": check.id,
        "verdict": check.verdict,
        "end": check.end,
        "again": list(check.again),
        "params": dict(check.params),
    }


def check_from_json(row: Mapping[str, Any]) -> Check:
    return Check(row["id"], row["verdict"], row["end"], tuple(row["again"]), dict(row["params"]))


def must_stop(round: Round, checks: Iterable[Check]) -> bool:
    """Say whether the bike is not to be ridden: something was answered with yes, or it carries more than it may."""
    overload = any(check.id == "overload" and check.verdict == "blocks" for check in checks)
    return overload or "yes" in cases.stop_answers(round).values()


def raise_flags(request: SetupRequest, round: Round, checks: Iterable[Check]) -> None:
    """Set what the queue filters on: stop gate, blocked checks, bottoming, safety words in the client's text."""
    checks = tuple(checks)
    words = " ".join((round.words, request.aim, request.bike.service, request.bike.modifications, round.doubt_note))
    request.flag_stop = must_stop(round, checks)
    request.flag_blocked = any(check.verdict == "blocks" for check in checks)
    request.flag_bottomed = Answer.objects.filter(round=round, question="bottomed", value="yes").exists()
    request.flag_words = bool(found_in(words))
    request.save(update_fields=["flag_stop", "flag_blocked", "flag_bottomed", "flag_words"])


def _mail_received(request: SetupRequest) -> None:
    with translation.override(request.client.language):
        if request.flag_stop:
            subject = _("%(reference)s: please do not ride yet")
            body = _(
                "We have your request %(reference)s. Something you answered has to be seen to by a qualified "
                "mechanic before the bike is ridden again. Please do not ride until then; a tuner will read it "
                "first.\n\n"
                "%(link)s\n\n%(shop)s"
            )
        else:
            subject = _("%(reference)s: we have your readings")
            body = _(
                "We have your request %(reference)s. A tuner will answer within %(hours)s hours. You can follow it, "
                "write to us and come back at any time here:\n\n%(link)s\n\n%(shop)s"
            )
        told = {
            "reference": request.reference,
            "hours": settings.PROMISED_REPLY_HOURS,
            "link": links.link(request, Purpose.FULL),
            "shop": settings.SHOP_NAME,
        }
        queue_mail(request, "received", subject % told, body % told)


@transaction.atomic
def open_next_round(request: SetupRequest, recommended: Iterable[tuple[str, float | None, str]]) -> Round:
    """Open the next round, its settings starting as recommended: (adjuster key, value, mode) per change.

    A round that is open already, because an earlier sheet was corrected, is used again.
    """
    last = request.rounds.order_by("-number")[0]
    is_open = last.sent_at is None
    fresh = last if is_open else Round.objects.create(request=request, number=last.number + 1)
    request.current_round = fresh.number
    request.save(update_fields=["current_round"])
    advised = request.rounds.get(number=last.number - 1) if is_open else last
    changed = {key: (value, mode) for key, value, mode in recommended}
    standing = cases.current_settings(advised)
    adjusters = {row.pk: row for row in Adjuster.objects.filter(bike=request.bike)}
    for pk, adjuster in adjusters.items():
        before = standing.get(pk)
        if adjuster.key in changed:
            value, mode = changed[adjuster.key]
            readings.record_setting(
                fresh, adjuster, SettingKind.FOUND, value=value, mode=mode, text=plain(value, mode)
            )
        elif before is not None:
            readings.record_setting(
                fresh, adjuster, SettingKind.FOUND, value=before.value, mode=before.mode, text=before.text
            )
    return fresh


def plain(value: float | None, mode: str = "") -> str:
    """Return a setting as a person would type it."""
    return mode if value is None else f"{value:g}"


class Taken(WrongState):
    """A colleague, ``holder``, has the request; it is taken over first."""

    def __init__(self, reference: str, holder: User) -> None:
        super().__init__(_("%(holder)s has taken %(reference)s; take it over first") % {
            "holder": holder.signature(), "reference": reference
        })  # fmt: skip
        self.holder = holder


def held_for(request: SetupRequest, by: User) -> SetupRequest:
    """Return the request, locked until the transaction ends. Raises Taken when a colleague has it."""
    held = SetupRequest.objects.select_for_update(of=("self",)).select_related("tuner").get(pk=request.pk)
    if held.tuner is not None and held.tuner != by:
        raise Taken(held.reference, held.tuner)
    return held


@transaction.atomic
def take(request: SetupRequest, by: User, *, over: bool = False) -> None:
    """Take a request from the queue. One that a colleague has is taken ``over`` only when that is meant, and the
    event names them. Raises Taken."""
    former = None
    try:
        held_for(request, by)
    except Taken as taken:
        if not over:
            raise
        former = taken.holder
    request.tuner = by
    request.save(update_fields=["tuner"])
    if request.state == RequestState.RECEIVED:
        request.move_to(RequestState.READING)
    params = {"from": former.signature()} if former else {}
    Event.objects.create(
        request=request, kind="taken_over" if former else "taken", actor=by, public=False, params=params
    )


@transaction.atomic
def release(request: SetupRequest, by: User) -> None:
    """Put a request back in the queue for anyone. Raises Taken when it is a colleague's to put back."""
    held_for(request, by)
    request.tuner = None
    request.save(update_fields=["tuner"])
    if request.state == RequestState.READING:
        request.move_to(RequestState.RECEIVED)
    Event.objects.create(request=request, kind="released", actor=by, public=False)


@transaction.atomic
def settle(request: SetupRequest, by: User) -> None:
    """Say that the bike is right."""
    request.move_to(RequestState.SETTLED)
    Event.objects.create(request=request, kind="settled", actor=by)
    request_settled.send(sender=SetupRequest, request=request)
