"""Whatever is sent, it ends in a refusal beside the field, never in an error page, and leaves nothing behind."""

import random
import time
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from intake.models import Photo, SetupRequest
from intake.photos import keeping, limits
from intake.services import photos
from intake.tasks import sweep_photos
from tests.intake.photos import made
from tests.intake.photos.conftest import files

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def page_of(request: SetupRequest) -> str:
    return reverse("intake:photos", args=[request.reference, 1])


@pytest.mark.parametrize("name", made.HOSTILE)
def test_a_hostile_file_is_a_field_error(client: Client, request_: SetupRequest, store: Path, name: str) -> None:
    # In both fields, whatever the browser says it is.
    for field in ("photos", "video"):
        sent = SimpleUploadedFile("a.jpg", made.HOSTILE[name], "image/jpeg")
        assert client.post(page_of(request_), {field: sent}).status_code == 422
    assert not Photo.objects.exists()
    assert files(store) == []


def test_a_polyglot_keeps_only_its_picture(client: Client, request_: SetupRequest) -> None:
    tail = b"PK\x03\x04<script>alert(1)</script>" * 20
    client.post(page_of(request_), {"photos": made.sent(made.photo() + tail)})
    kept = Photo.objects.get().file.read()
    assert b"script" not in kept
    assert b"PK\x03\x04" not in kept


def test_photos_with_bytes_thrown_about_are_taken_or_refused(client: Client, request_: SetupRequest) -> None:
    chance = random.Random(20261125)  # noqa: S311
    wholes = [made.with_everything("JPEG"), made.with_everything("PNG"), made.with_everything("WEBP"), made.HEIC]
    for _time in range(24):
        data = bytearray(chance.choice(wholes))
        for _byte in range(chance.randint(1, 12)):
            data[chance.randrange(12, len(data))] = chance.randrange(256)
        if chance.random() < 0.3:
            del data[chance.randrange(20, len(data)) :]
        answer = client.post(page_of(request_), {"photos": made.sent(bytes(data))})
        assert answer.status_code in {302, 422}
        Photo.objects.all().delete()


def test_a_decoder_that_takes_too_long_is_ended(
    client: Client, request_: SetupRequest, monkeypatch: pytest.MonkeyPatch, store: Path
) -> None:
    real = photos._written_anew
    monkeypatch.setattr(photos, "_written_anew", lambda source, kind, patience: real(source, kind, 0.001))
    answer = client.post(page_of(request_), {"photos": made.sent(made.photo())})
    assert answer.status_code == 422
    assert files(store) == []


def test_a_form_beyond_all_limits_is_read_without_being_kept(
    client: Client, request_: SetupRequest, monkeypatch: pytest.MonkeyPatch, store: Path
) -> None:
    monkeypatch.setattr(limits, "FORM_BYTES", 3000)
    answer = client.post(page_of(request_), {"photos": made.sent(made.MP4 + b"\x00" * 5000)})
    assert answer.status_code == 422
    assert "at once, and nothing of it was kept" in answer.content.decode()
    monkeypatch.setattr(limits, "DRAINED_BYTES", 4000)
    answer = client.post(page_of(request_), {"photos": made.sent(made.MP4 + b"\x00" * 5000)})
    assert answer.status_code == 422
    assert files(store) == []


def test_a_body_that_breaks_off_leaves_nothing(client: Client, request_: SetupRequest, store: Path) -> None:
    head = b"--b\r\nContent-Disposition: form-data; name=photos; filename=a.jpg\r\nContent-Type: image/jpeg\r\n\r\n"
    kind = "multipart/form-data; boundary=b"
    answer = client.generic("POST", page_of(request_), head + made.photo()[:300], content_type=kind)
    assert answer.status_code in {302, 400, 422}
    assert not Photo.objects.exists()
    assert files(store) == []


def test_files_sent_elsewhere_are_passed_over(client: Client, store: Path, db: None) -> None:
    answer = client.post("/lost-link/", {"email": "a@riders.example", "reference": "FP", "x": made.sent(b"x" * 9)})
    assert answer.status_code == 200
    assert files(store) == []


def test_a_failing_row_takes_its_file_along(
    client: Client, request_: SetupRequest, monkeypatch: pytest.MonkeyPatch, store: Path
) -> None:
    def fail(**fields: Any) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(Photo.objects, "create", fail)
    with pytest.raises(OSError, match="disk full"):
        client.post(page_of(request_), {"photos": made.sent(made.photo())})
    assert files(store) == []


def test_the_sweeper_removes_what_no_row_speaks_of_and_nothing_else(kept: Photo, store: Path) -> None:
    orphan = store / "photos" / "ab" / "abcd.jpg"
    part = store / "incoming" / "x.part"
    for path in (orphan, part):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")
    sweep_photos()
    assert len(files(store)) == 3, "what is young may be on its way"
    assert keeping.sweep(now=time.time() + 2 * keeping.GRACE_SECONDS) == 2
    assert [str(path.relative_to(store)) for path in files(store)] == [kept.file.name]
