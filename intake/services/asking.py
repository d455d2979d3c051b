"""What a tuner asks for, question by question: put, answered, or said to be beyond answering."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from intake.choices import RequestState
from intake.models import Event, Message, Question, Round, SetupRequest

#: States in which the shop still waits for what it asked. In ``ride`` the answers come with the report.
ASKING = frozenset({RequestState.QUESTION, RequestState.RECEIVED, RequestState.READING})
MOST_QUESTIONS = 20
LONGEST_QUESTION = 1000
LONGEST_REASON = 1000


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing to be asked for, in the client's language and units.

    step and fields: where the form takes the answer and the names of the fields meant; without a step a message
    answers it. key: what made the judgement or a check ask, "" for the tuner's own question.
    """

    text: str
    step: str = ""
    fields: tuple[str, ...] = ()
    key: str = ""


def put(message: Message, asks: Sequence[Ask], round_: Round) -> list[Question]:
    """Write down what a message asks for, about the round at work."""
    rows = [
        Question(
            message=message, round=round_, step=ask.step, fields=list(ask.fields), text=ask.text[:LONGEST_QUESTION],
            key=ask.key,
        )
        for ask in asks[:MOST_QUESTIONS]
    ]  # fmt: skip
    return Question.objects.bulk_create(rows)


def of_round(request: SetupRequest, number: int) -> QuerySet[Question]:
    """Return the query of all that was asked about a round, in the order asked."""
    return Question.objects.filter(round__request=request, round__number=number).order_by("pk")


def is_settled(question: Question) -> bool:
    """Say whether a question is off the list: answered, or said to be beyond answering."""
    return question.answered_at is not None


def is_open(request: SetupRequest, question: Question) -> bool:
    """Say whether the client may still answer a question, or answer it again before sending: the round it is about is
    the one at work, and the shop still reads it or has yet to get it."""
    return question.round.number == request.current_round and (
        request.state in ASKING or question.round.sent_at is None
    )


def standing(request: SetupRequest) -> list[Question]:
    """Return what the client still sees of the questions about the round at work: all that is open, and what was
    answered since the round was last sent. One query, none while there is nothing to answer."""
    if request.state in {RequestState.DRAFT, RequestState.SETTLED, RequestState.CLOSED}:
        return []
    if request.state not in ASKING:
        # The sheet is out: what was asked of the round before it is past.
        rows = of_round(request, request.current_round).filter(round__sent_at=None)
    else:
        rows = of_round(request, request.current_round)
    still_open = Q(answered_at=None)
    since = Q(round__sent_at=None) | Q(answered_at__gt=F("round__sent_at"))
    return list(rows.filter(still_open | since).select_related("round"))


def reopens(round_: Round) -> bool:
    """Say whether what the shop asked keeps a sent round open to its client: something is still to be answered, or
    was answered and not sent yet."""
    request = round_.request
    if round_.sent_at is None or request.state not in ASKING or round_.number != request.current_round:
        return False
    since = Q(answered_at=None) | Q(answered_at__gt=round_.sent_at)
    return request.state == RequestState.QUESTION or Question.objects.filter(since, round=round_).exists()


def answered_since_sent(round_: Round) -> bool:
    """Say whether something the shop asked about a sent round has been answered since."""
    return (
        round_.sent_at is not None and Question.objects.filter(round=round_, answered_at__gt=round_.sent_at).exists()
    )


@transaction.atomic
def mark_answered(question: Question) -> None:
    """Tick a question off: its step was saved with everything in it readable. The same again moves the time on."""
    Question.objects.filter(pk=question.pk).update(answered_at=timezone.now(), cannot="")


@transaction.atomic
def mark_beyond(question: Question, why: str) -> None:
    """Take down why a question cannot be answered; that, too, is an answer."""
    Question.objects.filter(pk=question.pk).update(answered_at=timezone.now(), cannot=why.strip()[:LONGEST_REASON])
    Event.objects.create(
        request=question.round.request, kind="question_beyond", params={"step": question.step}, public=False
    )


def answered_by_message(request: SetupRequest) -> None:
    """Tick off what no step of the form answers: the client has written."""
    rows = Question.objects.filter(round__request=request, step="", answered_at=None)
    rows.filter(round__number=request.current_round).update(answered_at=timezone.now())


def progress(questions: Iterable[Question]) -> tuple[int, int]:
    """Return how many of the questions are settled, and how many there are."""
    rows = list(questions)
    return sum(1 for row in rows if is_settled(row)), len(rows)


def taken_down(round_: Round, step: str, values: Mapping[str, str]) -> None:
    """Tick off what a step of the form answers, now that it was saved with everything in it readable.

    A question that names fields is answered when none of those the step has was left empty. ``values``: the step's
    text by field.
    """
    rows = Question.objects.filter(round=round_, step=step)
    done = [row.pk for row in rows if not left_empty(row, values)]
    if done:
        Question.objects.filter(pk__in=done).update(answered_at=timezone.now(), cannot="")


def left_empty(question: Question, values: Mapping[str, str]) -> list[str]:
    """Return the names of the fields meant that were left empty."""
    return [name for name in question.fields if name in values and not values[name].strip()]


def told(round_: Round, names: Collection[str]) -> None:
    """Tick off questions whose fields, all of them, came in another way than by the form: ``names`` of fields."""
    for row in Question.objects.filter(round=round_, answered_at=None):
        if row.fields and set(row.fields) <= set(names):
            mark_answered(row)
