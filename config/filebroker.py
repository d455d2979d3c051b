"""Kombu's file-system transport, made safe for several processes on one machine.

Kombu writes a message in place, so a reader may take half of it; names it by a clock that starts anew at boot; and
moves it through the system's shared temporary folder. Here a message is written beside its place, synced and renamed
into it; named by wall-clock time, so that order holds; and taken by a rename within one folder of our own, which only
one worker can win. What a killed worker had taken is lost all the same: the job and outbox tables bring it back.
"""

import contextlib
import os
import time
import uuid
from collections.abc import Iterator
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.exceptions import ChannelError
from kombu.transport import filesystem
from kombu.transport.filesystem import LOCK_EX, exchange_queue_t, lock, unlock
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


class Channel(filesystem.Channel):
    """A channel over ``folder``: ``messages/<queue>/``, ``taken/``, ``tables/``."""

    @property
    def folder(self) -> Path:
        return Path(self.transport_options["folder"])

    @property
    def control_folder(self) -> Path:
        return self.folder / "tables"

    def _queue_folder(self, queue: str) -> Path:
        if not self._is_valid_exchange_name(queue) or not queue:
            raise ChannelError(f"invalid queue name: {queue!r}")
        return self.folder / "messages" / queue

    def _waiting(self, queue: str) -> list[Path]:
        try:
            names = os.listdir(self._queue_folder(queue))
        except FileNotFoundError:
            return []
        return [self._queue_folder(queue) / name for name in sorted(names) if name.endswith(SUFFIX)]

    def _put(self, queue: str, payload: Any, **kwargs: Any) -> None:
        name = f"{time.time_ns():020d}-{uuid.uuid4().hex}{SUFFIX}"
        write_whole(self._queue_folder(queue) / name, str_to_bytes(dumps(payload)))

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
            lock(handle, LOCK_EX)
            try:
                yield
            finally:
                unlock(handle)

    def get_table(self, exchange: str) -> list[Any]:
        try:
            data = Path(self._exchange_file(exchange)).read_bytes()
        except FileNotFoundError:
            return []
        return [exchange_queue_t(*row) for row in loads(bytes_to_str(data))]

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str, queue: str) -> None:
        row = exchange_queue_t(routing_key or "", pattern or "", queue or "")
        if row in self.get_table(exchange):
            return
        with self._one_writer():
            rows = self.get_table(exchange)
            if row not in rows:
                write_whole(Path(self._exchange_file(exchange)), str_to_bytes(dumps([row, *rows])))

    def _delete(self, queue: str, exchange: str, routing_key: str, pattern: str, *args: Any, **kwargs: Any) -> None:
        self._purge(queue)
        row = exchange_queue_t(routing_key or "", pattern or "", queue or "")
        with self._one_writer():
            rows = self.get_table(exchange)
            if row in rows:
                rows.remove(row)
                write_whole(Path(self._exchange_file(exchange)), str_to_bytes(dumps(rows)))


class Transport(filesystem.Transport):
    """The transport behind ``farpaddock-files://``."""

    Channel = Channel
    driver_type = "farpaddock-files"
    driver_name = "farpaddock-files"
