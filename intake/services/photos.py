"""Photos and video of a round: added, described, removed, until the round is sent."""

import contextlib
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any, cast

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from intake.choices import RequestState
from intake.models import Photo, Round, SetupRequest
from intake.models.requests import WrongState
from intake.photos import keeping, kinds, limits, reencode
from intake.photos.receiving import incoming
from intake.photos.refusals import Refused

#: Seconds on the clock that one photo may take, however busy the machine is: together with ``limits.FORM_SECONDS``
#: less than a web process is given for an answer.
PATIENCE = 12.0


def is_open(round_: Round) -> bool:
    """Say whether the client may add to a round or take from it: the one at work, until it is sent or asked about."""
    request = round_.request
    if request.current_round != round_.number:
        return False
    return round_.sent_at is None or request.state == RequestState.QUESTION


def add(round_: Round, sent: "UploadedFile[Any]", alt: str = "", *, patience: float = PATIENCE) -> Photo:
    """Keep a photo or video with a round; the same one sent again is the one already there.

    Raises Refused with the reason, or WrongState when the round is not open (any more).
    """
    if not is_open(round_):
        raise WrongState(f"{round_} is not open")
    source = cast("IO[bytes]", sent.file)
    size = int(sent.size or 0)
    source.seek(0)
    head = source.read(kinds.LOOKED_AT)
    source.seek(0)
    if not head:
        raise Refused("empty")
    kind = kinds.kind_of(head)
    if kind is None:
        raise Refused("unknown_kind")
    if kind.video:
        if size > limits.VIDEO_BYTES:
            raise Refused("video_too_large")
        _room(round_, video=True)
        return _store(round_, source, kind.ending, kind.content_type, alt, None)
    if size > limits.PHOTO_BYTES:
        raise Refused("photo_too_large")
    _room(round_, video=False)
    with _written_anew(source, kind.name, patience) as (plain, pixels):
        return _store(round_, plain, kinds.JPEG.ending, kinds.JPEG.content_type, alt, pixels)


@contextlib.contextmanager
def _written_anew(source: IO[bytes], decoder: str, patience: float) -> Iterator[tuple[IO[bytes], tuple[int, int]]]:
    """Give the photo as a process of its own wrote it, with its pixels' width and height. Raises Refused."""
    program = str(Path(reencode.__file__).resolve())
    with tempfile.TemporaryFile(dir=incoming(), prefix="part-") as plain:
        # Python's own place in a file need not be the system's, which is where the other process begins to read.
        os.lseek(source.fileno(), 0, os.SEEK_SET)
        try:
            done = subprocess.run(  # noqa: S603  (our own program, no shell, nothing of the client's in it)
                [sys.executable, "-I", program, decoder],
                stdin=source,
                stdout=plain,
                stderr=subprocess.PIPE,
                env={},
                timeout=patience,
                check=False,
            )
        except subprocess.TimeoutExpired as error:
            raise Refused("out_of_time") from error
        told = done.stderr.decode("utf-8", "replace").strip().rpartition("\n")[2]
        if done.returncode == reencode.REFUSED and told in {"too_many_pixels", "not_readable"}:
            raise Refused(told)
        width, _x, height = told.partition("x")
        if done.returncode != 0 or not (width.isdigit() and height.isdigit()):
            # The decoder was ended: by a fault of its own, or by what it may take of memory and time.
            raise Refused("not_readable")
        yield plain, (int(width), int(height))


def _room(round_: Round, *, video: bool) -> None:
    """Raise Refused when as many are there as may be."""
    kind, most = (Photo.Kind.VIDEO, limits.MOST_VIDEOS) if video else (Photo.Kind.PHOTO, limits.MOST_PHOTOS)
    if Photo.objects.filter(round=round_, kind=kind).count() >= most:
        raise Refused("too_many_videos" if video else "too_many_photos")


def _store(
    round_: Round, file: IO[bytes], ending: str, content_type: str, alt: str, pixels: tuple[int, int] | None
) -> Photo:
    """Keep the file, then the row; a file without a row is the sweeper's."""
    digest, size = keeping.digest_of(file)
    if not size:
        raise Refused("empty")
    name = keeping.keep(file, ending)
    try:
        with transaction.atomic():
            # The request is held: two uploads at once cannot both be the eighth, nor one slip in after sending.
            held = SetupRequest.objects.select_for_update(of=("self",)).get(pk=round_.request_id)
            fresh = Round.objects.get(pk=round_.pk)
            fresh.request = held
            if not is_open(fresh):
                raise WrongState(f"{round_} is not open")
            photo = Photo.objects.filter(round=round_, sha256=digest).first()
            if photo is None:
                _room(round_, video=pixels is None)
                photo = Photo.objects.create(
                    round=round_,
                    kind=Photo.Kind.VIDEO if pixels is None else Photo.Kind.PHOTO,
                    file=name,
                    content_type=content_type,
                    sha256=digest,
                    size=size,
                    width=pixels[0] if pixels else None,
                    height=pixels[1] if pixels else None,
                    alt=tidy(alt),
                )
    except BaseException:
        keeping.discard(name)
        raise
    if photo.file.name != name:
        keeping.discard(name)
    return photo


def tidy(alt: str) -> str:
    return " ".join(alt.replace("\x00", "").split())[: limits.LONGEST_ALT]


def describe(photo: Photo, alt: str) -> None:
    """Say what is to be seen."""
    text = tidy(alt)
    if text != photo.alt:
        photo.alt = text
        Photo.objects.filter(pk=photo.pk).update(alt=text)


def remove(photo: Photo) -> None:
    """Take a photo back: the row first, the file once that is certain. Raises WrongState when the round was sent."""
    if not is_open(photo.round):
        raise WrongState(f"{photo.round} is not open")
    name = str(photo.file.name)
    with transaction.atomic():
        Photo.objects.filter(pk=photo.pk).delete()
        transaction.on_commit(lambda: keeping.discard(name))
