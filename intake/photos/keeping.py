"""Where photos and videos are kept: outside the web root, under names nobody can guess or choose."""

import hashlib
import os
import secrets
import shutil
import time
from pathlib import Path
from typing import IO

from django.conf import settings
from django.http import FileResponse

from intake.models import Photo
from intake.photos.receiving import incoming

FOLDER = "photos"
#: A file no row speaks of is left alone for so long: its row may be about to be written.
GRACE_SECONDS = 3600
#: What a fetched file may do in a browser: nothing.
POLICY = "default-src 'none'; frame-ancestors 'none'; sandbox"


def digest_of(file: IO[bytes]) -> tuple[str, int]:
    """Return SHA-256 and length of an open file, read in pieces."""
    file.seek(0)
    digest, size = hashlib.sha256(), 0
    while piece := file.read(1 << 20):
        digest.update(piece)
        size += len(piece)
    return digest.hexdigest(), size


def keep(file: IO[bytes], ending: str) -> str:
    """Write an open file into the store, flushed to the disk before it has its name; return the name.

    The name is a hash over random bytes, so that it tells nothing, not even that two clients sent the same.
    """
    code = hashlib.sha256(secrets.token_bytes(32)).hexdigest()
    name = f"{FOLDER}/{code[:2]}/{code}.{ending}"
    target = Path(settings.MEDIA_ROOT) / name
    target.parent.mkdir(parents=True, exist_ok=True)
    growing = incoming() / f"{code}.part"
    try:
        file.seek(0)
        with growing.open("xb") as out:
            shutil.copyfileobj(file, out, 1 << 20)
            out.flush()
            os.fsync(out.fileno())
        growing.replace(target)
    except BaseException:
        growing.unlink(missing_ok=True)
        raise
    for folder in (target.parent, target.parent.parent):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    return name


def discard(name: str) -> None:
    """Remove a file, if it is there."""
    (Path(settings.MEDIA_ROOT) / name).unlink(missing_ok=True)


def answer(photo: Photo) -> FileResponse:
    """Return a photo to be shown, or a video only to be downloaded. Raises FileNotFoundError when it is gone."""
    told = "photo" if photo.kind == Photo.Kind.PHOTO else "video"
    ending = str(photo.file.name).rpartition(".")[2]
    response = FileResponse(
        photo.file.open("rb"),
        as_attachment=photo.is_video,
        filename=f"{told}-{photo.pk}.{ending}",
        content_type=photo.content_type,
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = POLICY
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    return response


def sweep(now: float | None = None) -> int:
    """Remove what an interrupted upload left and files that no row speaks of; return how many."""
    before = (time.time() if now is None else now) - GRACE_SECONDS
    root = Path(settings.MEDIA_ROOT)
    removed = 0
    for path in [*(root / "incoming").glob("*"), *(root / FOLDER).glob("*/*")]:
        try:
            if not path.is_file() or path.stat().st_mtime > before:
                continue
            if Photo.objects.filter(file=str(path.relative_to(root))).exists():
                continue
            path.unlink()
            removed += 1
        except FileNotFoundError:  # removed by somebody else meanwhile
            continue
    return removed
