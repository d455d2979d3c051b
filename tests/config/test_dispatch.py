"""Tasks go out when the transaction is through; a broker that is away is logged, a fault of ours is not swallowed."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import transaction
from kombu.exceptions import OperationalError

from config.dispatch import dispatch

pytestmark = pytest.mark.django_db


class Task:
    """Stands in for a Celery task: notes what it was called with, or fails as a broker does."""

    name = "tests.task"

    def __init__(self, error: Exception | None = None) -> None:
        self.error = error
        self.calls: list[tuple[object, ...]] = []

    def apply_async(self, args: tuple[object, ...]) -> None:
        if self.error:
            raise self.error
        self.calls.append(args)


def test_a_task_goes_out_on_commit_and_not_before(django_capture_on_commit_callbacks: Callable[..., Any]) -> None:
    task = Task()
    with django_capture_on_commit_callbacks(execute=True):
        dispatch(task, 7, "a")
        assert task.calls == []
    assert task.calls == [(7, "a")]


def dispatched_and_then_failed(task: Task) -> None:
    with transaction.atomic():
        dispatch(task, 7)
        raise ZeroDivisionError


def test_what_is_rolled_back_sends_nothing(django_capture_on_commit_callbacks: Callable[..., Any]) -> None:
    task = Task()
    with django_capture_on_commit_callbacks(execute=True), pytest.raises(ZeroDivisionError):
        dispatched_and_then_failed(task)
    assert task.calls == []


@pytest.mark.parametrize(
    "error", [OperationalError("refused"), ConnectionRefusedError("refused"), OSError(28, "full")]
)
def test_a_broker_that_is_away_is_logged_with_what_was_to_be_done(
    error: Exception, django_capture_on_commit_callbacks: Callable[..., Any], caplog: pytest.LogCaptureFixture
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        dispatch(Task(error), 7)
    assert [record.levelname for record in caplog.records] == ["WARNING"]
    assert "tests.task(7,)" in caplog.text


def test_a_fault_of_ours_is_raised(django_capture_on_commit_callbacks: Callable[..., Any]) -> None:
    with pytest.raises(TypeError), django_capture_on_commit_callbacks(execute=True):
        dispatch(Task(TypeError("no such argument")), 7)
