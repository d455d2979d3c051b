"""The outbox: a row first, sent once, retried by name, taken up again when a worker died."""

import smtplib
from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail import EmailMessage
from django.utils import timezone
from kombu.exceptions import OperationalError

from intake import mailbox
from intake.models import OutboxMail
from intake.tasks import send_mail, sweep_mail
from tests.intake.rounds import started

pytestmark = pytest.mark.django_db


@pytest.fixture
def queued():
    return mailbox.queue_mail(started(), "received", "We have\nyour readings", "Here is your link.")


def age(row, **fields):
    OutboxMail.objects.filter(pk=row.pk).update(**fields)


def test_a_mail_is_a_row_and_handed_out_on_commit_only(django_capture_on_commit_callbacks, monkeypatch):
    handed = []
    monkeypatch.setattr(send_mail, "apply_async", lambda args: handed.append(args))
    with django_capture_on_commit_callbacks() as later:
        row = mailbox.queue_mail(started(), "received", "Subject", "Body")
    assert handed == []
    later[0]()
    assert handed == [(row.pk,)]


def test_a_subject_stays_on_one_line(queued):
    assert queued.subject == "We have your readings"


def test_a_client_without_an_address_gets_no_mail():
    request = started()
    request.client.email = ""
    assert mailbox.queue_mail(request, "received", "Subject", "Body") is None
    assert not OutboxMail.objects.exists()


@pytest.mark.parametrize("error", [OperationalError("no broker"), ConnectionRefusedError("no broker")])
def test_a_broker_that_is_away_leaves_the_row_for_the_sweeper(
    error, django_capture_on_commit_callbacks, monkeypatch, caplog
):
    def away(args):
        raise error

    monkeypatch.setattr(send_mail, "apply_async", away)
    with django_capture_on_commit_callbacks(execute=True):
        row = mailbox.queue_mail(started(), "received", "Subject", "Body")
    row.refresh_from_db()
    assert row.state == "queued"
    assert "left to the sweeper" in caplog.text


def test_a_mail_is_sent_once_however_often_the_task_comes(queued):
    send_mail(queued.pk)
    send_mail(queued.pk)
    (message,) = mail.outbox
    queued.refresh_from_db()
    assert (queued.state, queued.attempt) == ("sent", 1)
    assert queued.sent_at is not None
    assert message.to == ["tove@riders.example"]
    assert str(queued.message_id) in message.message()["Message-ID"]


def test_the_message_id_is_the_same_at_every_attempt(queued, settings):
    settings.DEFAULT_FROM_EMAIL = "The shop <setup@shop.example>"
    for _ in range(2):
        age(queued, state="queued", not_before=timezone.now())
        send_mail(queued.pk)
    ids = {message.message()["Message-ID"] for message in mail.outbox}
    assert ids == {f"<{queued.message_id}@shop.example>"}


@pytest.mark.parametrize("error", [smtplib.SMTPServerDisconnected("gone"), TimeoutError("slow")])
def test_a_mail_server_in_trouble_is_tried_again_later_and_later(queued, monkeypatch, error):
    def fails(self):
        raise error

    monkeypatch.setattr(EmailMessage, "send", fails)
    pauses = []
    for attempt in (1, 2):
        before = timezone.now()
        send_mail(queued.pk)
        queued.refresh_from_db()
        assert (queued.state, queued.attempt, queued.claim_token) == ("queued", attempt, None)
        assert type(error).__name__ in queued.error
        pauses.append(queued.not_before - before)
        send_mail(queued.pk)  # too early: nothing is tried
        queued.refresh_from_db()
        assert queued.attempt == attempt
        age(queued, not_before=timezone.now())
    assert timedelta(seconds=40) < pauses[0] < timedelta(seconds=80)
    assert pauses[1] > pauses[0]


def test_the_last_attempt_fails_aloud_and_for_good(queued, monkeypatch, settings):
    def fails(self):
        raise smtplib.SMTPRecipientsRefused({"tove@riders.example": (550, b"no such box")})

    monkeypatch.setattr(EmailMessage, "send", fails)
    age(queued, attempt=settings.JOB_MAX_ATTEMPTS - 1)
    with pytest.raises(smtplib.SMTPRecipientsRefused):
        send_mail(queued.pk)
    queued.refresh_from_db()
    assert queued.state == "failed"
    assert "no such box" in queued.error
    sweep_mail()
    queued.refresh_from_db()
    assert queued.state == "failed"


def test_an_error_nobody_named_is_not_swallowed(queued, monkeypatch):
    def fails(self):
        raise ZeroDivisionError

    monkeypatch.setattr(EmailMessage, "send", fails)
    with pytest.raises(ZeroDivisionError):
        send_mail(queued.pk)


def test_a_worker_that_was_given_up_cannot_write_its_outcome(queued):
    slow = mailbox.claim(queued.pk)
    age(queued, state="queued", claim_token=None)
    fast = mailbox.claim(queued.pk)
    mailbox.send(slow)
    queued.refresh_from_db()
    assert (queued.state, queued.claim_token) == ("sending", fast.claim_token)


@pytest.fixture
def handed(monkeypatch, django_capture_on_commit_callbacks):
    """Sweep, and return the mails handed to the broker."""

    def sweep():
        given = []
        monkeypatch.setattr(send_mail, "apply_async", lambda args: given.append(*args))
        with django_capture_on_commit_callbacks(execute=True):
            sweep_mail()
        return given

    return sweep


def test_the_sweeper_hands_out_what_nobody_took(queued, handed):
    assert handed() == []  # just written: its own message is on the way
    age(queued, created_at=timezone.now() - timedelta(minutes=5))
    assert handed() == [queued.pk]


def test_the_sweeper_waits_for_a_pause_to_end(queued, handed):
    age(
        queued,
        created_at=timezone.now() - timedelta(minutes=5),
        not_before=timezone.now() + timedelta(minutes=1),
    )
    assert handed() == []


def test_the_sweeper_takes_a_mail_back_from_a_dead_worker(queued, handed):
    mailbox.claim(queued.pk)
    age(queued, created_at=timezone.now() - timedelta(minutes=5))
    assert handed() == []  # its lease still runs
    age(queued, lease_until=timezone.now() - timedelta(seconds=1))
    assert handed() == [queued.pk]
    queued.refresh_from_db()
    assert (queued.state, queued.claim_token) == ("queued", None)


def test_the_sweeper_gives_up_a_mail_that_kills_every_worker(queued, handed, settings):
    mailbox.claim(queued.pk)
    age(
        queued,
        created_at=timezone.now() - timedelta(minutes=5),
        lease_until=timezone.now() - timedelta(seconds=1),
        attempt=settings.JOB_MAX_ATTEMPTS,
    )
    assert handed() == []
    queued.refresh_from_db()
    assert queued.state == "failed"
    assert queued.error
