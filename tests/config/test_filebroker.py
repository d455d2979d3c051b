"""The broker made of files, between real processes."""

import multiprocessing
from pathlib import Path
from queue import Empty
from typing import Any

import pytest
from django.db import connection as database
from kombu import Connection

from config import filebroker
from config.celery import app  # registers the transport's name
from config.dispatch import dispatch

pytestmark = pytest.mark.slow

WRITERS, EACH, READERS = 3, 40, 3
SPAWN = multiprocessing.get_context("spawn")


def connected(folder: str) -> Connection:
    return Connection("farpaddock-files://localhost", transport_options={"folder": folder})


def write(folder: str, writer: int) -> None:
    with connected(folder) as connection, connection.SimpleQueue("work") as queue:
        for number in range(EACH):
            queue.put({"writer": writer, "number": number, "filling": "x" * 5000})


def read(folder: str, found: Any) -> None:
    with connected(folder) as connection, connection.SimpleQueue("work") as queue:
        while True:
            try:
                message = queue.get(timeout=4)
            except Empty:
                return
            message.ack()
            found.put((message.payload["writer"], message.payload["number"], len(message.payload["filling"])))


def test_many_writers_and_readers_lose_nothing_and_take_nothing_twice(tmp_path: Path) -> None:
    found = SPAWN.Queue()
    writers = [SPAWN.Process(target=write, args=(str(tmp_path), number)) for number in range(WRITERS)]
    readers = [SPAWN.Process(target=read, args=(str(tmp_path), found)) for _ in range(READERS)]
    for process in (*writers, *readers):
        process.start()
    taken = [found.get(timeout=60) for _ in range(WRITERS * EACH)]
    for process in (*writers, *readers):
        process.join(60)
        assert process.exitcode == 0
    assert found.empty()
    assert sorted(taken) == [(writer, number, 5000) for writer in range(WRITERS) for number in range(EACH)]
    assert not [path for path in (tmp_path / "messages").rglob("*") if path.is_file()]


def test_messages_come_in_the_order_of_the_wall_clock(tmp_path: Path) -> None:
    write(str(tmp_path), 0)
    with connected(str(tmp_path)) as connection, connection.SimpleQueue("work") as queue:
        assert [queue.get(timeout=1).payload["number"] for _ in range(EACH)] == list(range(EACH))


def test_a_half_written_message_is_never_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "messages" / "work" / "1.msg"
    monkeypatch.setattr(filebroker.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        filebroker.write_whole(target, b"half")
    assert list(target.parent.iterdir()) == []


@pytest.mark.django_db(transaction=True)
def test_a_folder_that_cannot_be_written_fails_nobody(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "broker").write_text("a file where the folder should be", encoding="utf-8")

    @app.task(name="tests.nothing")
    def nothing() -> None: ...

    def publish(args: tuple[object, ...]) -> None:
        with connected(str(tmp_path / "broker")) as connection, connection.SimpleQueue("work") as queue:
            queue.put({})

    monkeypatch.setattr(nothing, "apply_async", publish)
    assert database.in_atomic_block is False
    dispatch(nothing)
    assert "left to the sweeper" in caplog.text
