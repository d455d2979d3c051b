"""What passes between shop and client: messages, mails on their way, and the trail of events."""

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.utils import timezone

from intake.choices import Step
from intake.models.requests import Round, SetupRequest


class Message(models.Model):
    """A line in the conversation; ``author`` is null when the client wrote it."""

    request = models.ForeignKey(SetupRequest, on_delete=models.CASCADE, related_name="messages")
    author = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    from_client = models.BooleanField()
    body = models.TextField(max_length=4000)
    # A question that leads to one step of the form.
    step = models.CharField(max_length=12, choices=Step.choices, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering: ClassVar = ["created_at", "id"]

    def __str__(self) -> str:
        return self.body[:60]


class Question(models.Model):
    """One thing a tuner's message asks for, and whether it was answered.

    step and fields: the step of the form that answers it and the fields meant ("length_rider_aboard.rear");
    without a step a message answers it. key: what the judgement or a check asked, "" for the tuner's own question.
    cannot: why the client cannot answer it; it is then no longer open.
    """

    message = models.ForeignKey(Message, on_delete=models.CASCADE, related_name="questions")
    round = models.ForeignKey(Round, on_delete=models.CASCADE, related_name="questions")
    step = models.CharField(max_length=12, choices=Step.choices, blank=True)
    fields = models.JSONField(default=list, blank=True)
    text = models.TextField(max_length=1000)
    key = models.CharField(max_length=120, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    cannot = models.TextField(blank=True, max_length=1000)

    class Meta:
        ordering: ClassVar = ["id"]

    def __str__(self) -> str:
        return self.text[:60]


class Event(models.Model):
    """Who did what and when: the client's timeline and the shop's audit trail. Append-only."""

    request = models.ForeignKey(SetupRequest, on_delete=models.CASCADE, related_name="events")
    at = models.DateTimeField(default=timezone.now)
    kind = models.CharField(max_length=40)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    params = models.JSONField(default=dict, blank=True)
    # Shown on the client's status page, or kept for the shop.
    public = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["at", "id"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.kind}"


class OutboxMail(models.Model):
    """A mail to be sent, written in the same transaction as what it tells of.

    State: queued → sending (claimed, with a lease) → sent; back to queued on a named transient error; failed
    after the last attempt. The Message-ID is fixed when the row is written, so that a mail sent twice by a
    crash between sending and saving is recognised as one by mail programs.
    """

    class State(models.TextChoices):
        QUEUED = "queued"
        SENDING = "sending"
        SENT = "sent"
        FAILED = "failed"

    request = models.ForeignKey(SetupRequest, on_delete=models.CASCADE, related_name="mails", null=True, blank=True)
    message_id = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=20)
    to = models.EmailField()
    subject = models.CharField(max_length=200)
    body = models.TextField()
    state = models.CharField(max_length=8, choices=State.choices, default=State.QUEUED)
    attempt = models.PositiveSmallIntegerField(default=0)
    claim_token = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    not_before = models.DateTimeField(default=timezone.now)
    error = models.CharField(max_length=500, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes: ClassVar = [models.Index(fields=["state", "not_before"], name="outbox_due")]

    def __str__(self) -> str:
        return f"{self.kind} to {self.to}: {self.state}"
