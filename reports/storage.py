"""Keeps finished sheets: on disk for good before any row speaks of them."""

import os
from pathlib import Path

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage


def save_durably(name: str, data: bytes) -> str:
    """Write ``data`` under ``name`` in the media folder and return the name it got. Raises OSError.

    File and folders are flushed to the disk where the storage is a folder, so that a power cut after the
    transaction cannot leave a row whose file is empty.
    """
    saved = default_storage.save(name, ContentFile(data))
    path = Path(default_storage.path(saved))
    for target in (path, path.parent, path.parent.parent):
        handle = os.open(target, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    return saved


def leftovers(folder: str, starting: str) -> list[str]:
    """Return the names in ``folder`` of files that start so; none when there is no such folder."""
    if not default_storage.exists(folder):
        return []
    return [f"{folder}/{name}" for name in default_storage.listdir(folder)[1] if name.startswith(starting)]


def delete(name: str) -> None:
    """Remove a file that no row speaks of."""
    default_storage.delete(name)
