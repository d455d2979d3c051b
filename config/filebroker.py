"""Kombu's file-system transport, made safe for several processes on one machine.

Kombu writes a message in place, so a reader may take half of it; names it by a clock that starts anew at boot; and
moves it through the system's shared temporary folder. Here a message is written beside its place, synced and renamed
into it; named by wall-clock time, so that order holds; and taken by a rename within one folder of our own, which only
one worker can win. What a killed worker had taken is lost all the same: the job and outbox tables bring it back.
"""

import contextlib
import fcntl
import os
import re
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import virtual
from kombu.utils.encoding import bytes_to_str, str_to_bytes
from kombu.utils.json import dumps, loads

SUFFIX = ".msg"


def write_whole(path: Path, data: bytes) -> None:
    """Put a file in place whole or not at all. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.parent / f".{uuid.uuid4().hex}.part"
    try:
        with beside.open("xb") as handle:
            handle.write(data)
            handle.flush()
            os.fsync(handle.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


#: A row of an exchange's table: routing key, pattern, queue.
Row = tuple[str, str, str]
_NAME = re.compile(r"^[A-Za-z0-9_@-][A-Za-z0-9._@-]*$")


def _safe(name: str) -> str:
    """Return a queue's or exchange's name if it can be a file's. Raises ChannelError."""
    if not _NAME.match(name):
        raise ChannelError(f"invalid name for a queue or exchange: {name!r}")
    return name


class Channel(virtual.Channel):
    """A channel over ``folder``: ``messages/<queue>/``, ``taken/``, ``tables/``."""

    supports_fanout = True

    @property
    def folder(self) -> Path:
        options: dict[str, str] = self.connection.client.transport_options  # type: ignore[union-attr, assignment]
        return Path(options["folder"])

    @property
    def control_folder(self) -> Path:
        return self.folder / "tables"

    def _queue_folder(self, queue: str) -> Path:
        return self.folder / "messages" / _safe(queue)

    def _waiting(self, queue: str) -> list[Path]:
        try:
            found = sorted(self._queue_folder(queue).iterdir())
        except FileNotFoundError:
            return []
        return [path for path in found if path.suffix == SUFFIX]

    def _put(self, queue: str, message: Any, **kwargs: Any) -> None:
        name = f"{time.time_ns():020d}-{uuid.uuid4().hex}{SUFFIX}"
        write_whole(self._queue_folder(queue) / name, str_to_bytes(dumps(message)))

    def _get(self, queue: str, timeout: float | None = None) -> Any:
        taken_folder = self.folder / "taken"
        for path in self._waiting(queue):
            taken_folder.mkdir(parents=True, exist_ok=True)
            taken = taken_folder / path.name
            try:
                path.rename(taken)
            except FileNotFoundError:
                continue  # another worker was quicker
            data = taken.read_bytes()
            taken.unlink()
            return loads(bytes_to_str(data))
        raise Empty

    def _size(self, queue: str) -> int:
        return len(self._waiting(queue))

    def _purge(self, queue: str) -> int:
        gone = 0
        for path in self._waiting(queue):
            with contextlib.suppress(FileNotFoundError):
                path.unlink()
                gone += 1
        return gone

    # --- exchange tables: read whole, written whole, one writer at a time -----------------------------------------

    @contextlib.contextmanager
    def _one_writer(self) -> Iterator[None]:
        self.control_folder.mkdir(parents=True, exist_ok=True)
        with (self.control_folder / ".lock").open("ab") as handle:
            fcntl.flock(handle, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(handle, fcntl.LOCK_UN)

    def _table_file(self, exchange: str) -> Path:
        return self.control_folder / f"{_safe(exchange)}.json"

    def get_table(self, exchange: str) -> list[Row]:
        try:
            data = self._table_file(exchange).read_bytes()
        except FileNotFoundError:
            return []
        return [(row[0], row[1], row[2]) for row in loads(bytes_to_str(data))]

    def _put_fanout(self, exchange: str, message: Any, routing_key: str, **kwargs: Any) -> None:
        for _key, _pattern, queue in self.get_table(exchange):
            self._put(queue, message)

    def _queue_bind(self, exchange: str, routing_key: str | None, pattern: str | None, queue: str) -> None:
        row = (routing_key or "", pattern or "", queue)
        if row in self.get_table(exchange):
            return
        with self._one_writer():
            rows = self.get_table(exchange)
            if row not in rows:
                write_whole(self._table_file(exchange), str_to_bytes(dumps([row, *rows])))

    def _delete(self, queue: str, exchange: str, routing_key: str, pattern: str, *args: Any, **kwargs: Any) -> None:
        self._purge(queue)
        row = (routing_key or "", pattern or "", queue)
        with self._one_writer():
            rows = self.get_table(exchange)
            if row in rows:
                rows.remove(row)
                write_whole(self._table_file(exchange), str_to_bytes(dumps(rows)))


class Transport(virtual.Transport):
    """The transport behind ``farpaddock-files://``."""

    Channel = Channel
    global_state = virtual.BrokerState()
    default_port = 0
    #: Seconds between looks at the folder: a message waits no longer than this for an idle worker.
    polling_interval = 0.2
    driver_type = "farpaddock-files"
    driver_name = "farpaddock-files"

    implements = virtual.Transport.implements.extend(
        asynchronous=False, exchange_type=frozenset(["direct", "topic", "fanout"])
    )

    def driver_version(self) -> str:
        return "1"
