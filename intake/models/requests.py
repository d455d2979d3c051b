"""Setup requests and their rounds."""

from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from intake.choices import Budget, Discipline, Pace, RequestState, Skill, Way
from intake.models.people import Client
from intake.reference import new_reference


class WrongState(Exception):
    """A step was asked for that the request's state does not allow."""


class SetupRequest(models.Model):
    """What a client sends, over all its rounds.

    State:  draft → received → reading ⇄ question → sheet_ready → ride → received (next round) … → settled
            any state but draft → closed; settled → received when the client reports again.
    """

    MOVES: ClassVar[dict[str, frozenset[str]]] = {
        RequestState.DRAFT: frozenset({RequestState.RECEIVED}),
        RequestState.RECEIVED: frozenset(
            {
                RequestState.READING,
                RequestState.QUESTION,
                RequestState.CLOSED,
                RequestState.SHEET_READY,
                RequestState.SETTLED,
            }
        ),
        RequestState.READING: frozenset(
            {
                RequestState.RECEIVED,
                RequestState.QUESTION,
                RequestState.SHEET_READY,
                RequestState.SETTLED,
                RequestState.CLOSED,
            }
        ),
        RequestState.QUESTION: frozenset(
            {RequestState.RECEIVED, RequestState.READING, RequestState.SHEET_READY, RequestState.CLOSED}
        ),
        RequestState.SHEET_READY: frozenset(
            {
                RequestState.RIDE,
                RequestState.RECEIVED,
                RequestState.QUESTION,
                RequestState.SETTLED,
                RequestState.CLOSED,
            }
        ),
        RequestState.RIDE: frozenset(
            {
                RequestState.RECEIVED,
                RequestState.SHEET_READY,
                RequestState.QUESTION,
                RequestState.SETTLED,
                RequestState.CLOSED,
            }
        ),
        RequestState.SETTLED: frozenset({RequestState.RECEIVED, RequestState.CLOSED}),
        RequestState.CLOSED: frozenset({RequestState.RECEIVED}),
    }

    reference = models.CharField(max_length=12, unique=True, default=new_reference, editable=False)
    client = models.OneToOneField(Client, on_delete=models.PROTECT, related_name="request")
    state = models.CharField(max_length=12, choices=RequestState.choices, default=RequestState.DRAFT)
    tuner = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="requests"
    )

    # Which form the first round is asked with; what comes by the API says what it has, like the whole form.
    way = models.CharField(max_length=5, choices=Way.choices, default=Way.WHOLE)
    discipline = models.CharField(max_length=12, choices=Discipline.choices, blank=True)
    pace = models.CharField(max_length=8, choices=Pace.choices, blank=True)
    aim = models.TextField(blank=True, max_length=2000)
    skill = models.CharField(max_length=16, choices=Skill.choices, default=Skill.ADJUSTERS)
    budget = models.CharField(max_length=24, choices=Budget.choices, default=Budget.NONE)
    event_date = models.DateField(null=True, blank=True)
    consent_at = models.DateTimeField(null=True, blank=True)

    # Raised to revoke every link of that purpose that was ever mailed or printed.
    link_generation = models.PositiveIntegerField(default=1)
    report_generation = models.PositiveIntegerField(default=1)

    created_at = models.DateTimeField(auto_now_add=True)
    state_changed_at = models.DateTimeField(default=timezone.now)
    # Since when the shop owes an answer; what the queue is sorted by. Null while the client is at work.
    waiting_since = models.DateTimeField(null=True, blank=True)
    current_round = models.PositiveSmallIntegerField(default=1)
    # The client has asked for everything to be erased, and it has been: from the first on, no link opens any more.
    erase_asked_at = models.DateTimeField(null=True, blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)

    # What the queue filters on, kept as columns; intake.services.flags says how they are found.
    flag_stop = models.BooleanField(default=False)
    flag_blocked = models.BooleanField(default=False)
    flag_bottomed = models.BooleanField(default=False)
    flag_words = models.BooleanField(default=False)

    class Meta:
        indexes: ClassVar = [
            models.Index(fields=["-flag_stop", "waiting_since", "id"], name="request_queue"),
            models.Index(fields=["state", "waiting_since", "id"], name="request_state_queue"),
            models.Index(fields=["tuner", "waiting_since", "id"], name="request_tuner_queue"),
            models.Index(
                fields=["id"],
                condition=Q(erase_asked_at__isnull=False, erased_at__isnull=True),
                name="request_to_be_erased",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def move_to(self, state: str) -> None:
        """Move to ``state`` if the table of moves allows it; conditional on the state read, so that two people
        acting at once cannot both succeed. Raises WrongState."""
        if state == self.state:
            return
        if state not in self.MOVES[self.state]:
            raise WrongState(f"{self.reference} is {self.state}; it cannot become {state}")
        now = timezone.now()
        owes = state in {RequestState.RECEIVED, RequestState.READING}
        waiting = (self.waiting_since or now) if owes else None
        changed = SetupRequest.objects.filter(pk=self.pk, state=self.state).update(
            state=state, state_changed_at=now, waiting_since=waiting
        )
        if not changed:
            raise WrongState(f"{self.reference} was changed by somebody else meanwhile")
        self.state, self.state_changed_at, self.waiting_since = state, now, waiting

    def round(self) -> "Round":
        """Return the round at work."""
        return self.rounds.get(number=self.current_round)


class Round(models.Model):
    """One turn of measure → recommend → apply → ride. Open until the client sends it."""

    request = models.ForeignKey(SetupRequest, on_delete=models.CASCADE, related_name="rounds")
    number = models.PositiveSmallIntegerField()
    opened_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    # Said by the client when sending although a check asked for a second look.
    doubt_note = models.TextField(blank=True, max_length=2000)
    # In the client's own words: how it behaves (round 1) or how it went (later rounds).
    words = models.TextField(blank=True, max_length=4000)
    # The checks as they stood when the round was sent: [{id, verdict, end, again, params}].
    checks = models.JSONField(default=list, blank=True)
    # What the sheet before this round told the client to change, in their words and units: the keys of
    # ``intake.services.advice.Told``.
    advised = models.JSONField(default=list, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["request", "number"], name="one_round_per_number"),
            models.CheckConstraint(condition=Q(number__gte=1), name="rounds_count_from_one"),
        ]

    def __str__(self) -> str:
        return f"{self.request} round {self.number}"
