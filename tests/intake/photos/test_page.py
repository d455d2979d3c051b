"""The page of photos: adding, describing, removing, refusing, with and without the script."""

from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse

from intake.models import Photo, Round, SetupRequest
from intake.photos import limits
from intake.photos.refusals import REFUSALS, Refused
from tests.intake.at_form import fill, save
from tests.intake.filled import FILLED
from tests.intake.photos import made
from tests.intake.photos.conftest import files

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def page_of(request: SetupRequest, n: int = 1) -> str:
    return reverse("intake:photos", args=[request.reference, n])


def test_photos_and_a_video_are_kept_under_names_of_our_own(
    client: Client, request_: SetupRequest, store: Path
) -> None:
    sent = {
        "photos": [
            made.sent(made.photo(), "../../etc/passwd.jpg"),
            made.sent(made.photo("PNG", (30, 30)), "Tove.png"),
        ],
        "video": made.sent(made.MP4, "home.exe", "text/html"),
    }
    answer = client.post(page_of(request_), sent)
    assert answer.status_code == 302
    assert answer["Location"] == page_of(request_)
    rows = list(Photo.objects.all())
    assert [(row.kind, row.content_type) for row in rows] == [("photo", "image/jpeg")] * 2 + [("video", "video/mp4")]
    assert len(files(store)) == 3
    for row in rows:
        assert row.file.name.startswith("photos/")
        assert not any(word in row.file.name for word in ("passwd", "Tove", "home", request_.reference))
    shown = client.get(page_of(request_)).content.decode()
    assert shown.count("<img ") == 2
    assert "Photo 1, not described" in shown


def test_the_video_is_kept_byte_for_byte(client: Client, request_: SetupRequest) -> None:
    client.post(page_of(request_), {"video": made.sent(made.WEBM)})
    assert Photo.objects.get().file.read() == made.WEBM


def test_words_are_kept_and_a_photo_is_removed_with_its_file(
    client: Client, request_: SetupRequest, kept: Photo, store: Path, django_capture_on_commit_callbacks
) -> None:
    client.post(page_of(request_), {f"alt.{kept.pk}": "  the leak\x00 at  the seal "})
    kept.refresh_from_db()
    assert kept.alt == "the leak at the seal"
    assert 'alt="the leak at the seal"' in client.get(page_of(request_)).content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        client.post(page_of(request_), {f"alt.{kept.pk}": kept.alt, "remove": str(kept.pk)})
    assert not Photo.objects.exists()
    assert files(store) == []


def test_words_are_escaped(client: Client, request_: SetupRequest, kept: Photo) -> None:
    client.post(page_of(request_), {f"alt.{kept.pk}": '"><script>alert(1)</script>'})
    assert "<script>alert" not in client.get(page_of(request_)).content.decode()


def test_the_same_photo_twice_is_kept_once(client: Client, request_: SetupRequest, store: Path) -> None:
    for _time in range(2):
        assert client.post(page_of(request_), {"photos": made.sent(made.photo())}).status_code == 302
    assert Photo.objects.count() == 1
    assert len(files(store)) == 1


def test_the_ninth_photo_and_the_second_video_are_refused_with_the_way_out(
    client: Client, request_: SetupRequest, store: Path
) -> None:
    many = [made.sent(made.photo(size=(20 + n, 20))) for n in range(9)]
    answer = client.post(page_of(request_), {"photos": many, "video": [made.sent(made.MP4), made.sent(made.MOV)]})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "File 9: There are 8 photos already, which is the most. Remove one to add another." in text
    assert "There is a video already. Remove it to send another." in text
    assert "9 other files were taken." in text
    assert Photo.objects.filter(kind="photo").count() == limits.MOST_PHOTOS
    assert len(files(store)) == 9


@pytest.mark.parametrize("limit", ["PHOTO_BYTES", "VIDEO_BYTES"])
def test_a_file_too_large_names_the_limit(
    client: Client, request_: SetupRequest, monkeypatch: pytest.MonkeyPatch, limit: str
) -> None:
    monkeypatch.setattr(limits, limit, 100)
    answer = client.post(page_of(request_), {"photos": made.sent(made.photo()), "video": made.sent(made.MP4)})
    assert answer.status_code == 422
    assert "larger than" in answer.content.decode()
    assert Photo.objects.count() == 1


def test_the_words_of_every_refusal_can_be_said() -> None:
    for reason in REFUSALS:
        assert "%" not in Refused(reason).words().replace("720p", "")
    assert "40 MB" in Refused("video_too_large").words()
    assert "15 MB" in Refused("photo_too_large").words()
    assert "50 million" in Refused("too_many_pixels").words()


def test_what_a_busy_machine_has_no_time_for_is_asked_for_again(
    client: Client, request_: SetupRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(limits, "FORM_SECONDS", -1.0)
    two = [made.sent(made.photo()), made.sent(made.photo(size=(33, 33)))]
    answer = client.post(page_of(request_), {"photos": two})
    assert answer.status_code == 422
    assert "File 2: There was no time left" in answer.content.decode()
    assert Photo.objects.count() == 1


def test_the_script_is_answered_in_json(client: Client, request_: SetupRequest) -> None:
    good = client.post(page_of(request_), {"photos": made.sent(made.photo())}, HTTP_ACCEPT="application/json")
    assert (good.status_code, good.json()) == (200, {"added": 1, "refused": []})
    bad = client.post(page_of(request_), {"photos": made.sent(made.SVG)}, HTTP_ACCEPT="application/json")
    assert bad.status_code == 422
    assert "neither a photo" in bad.json()["refused"][0]


def test_the_behaviour_step_saves_what_was_typed_before_it_leads_here(client: Client, request_: SetupRequest) -> None:
    fill(client, request_, upto="travel")
    answer = save(client, request_, "behaviour", FILLED["behaviour"], to_photos="1")
    assert answer["Location"] == page_of(request_)
    assert request_.round().words == "Dives at the roundabout."
    assert client.post(page_of(request_), {"on": "1"})["Location"].endswith("/review/")


def test_once_sent_nothing_is_added_or_removed(
    client: Client, request_: SetupRequest, kept: Photo, store: Path
) -> None:
    fill(client, request_)
    save(client, request_, "review", {"consent": "on"})
    for data in ({"photos": made.sent(made.photo(size=(9, 9)))}, {"remove": str(kept.pk)}):
        answer = client.post(page_of(request_), data)
        assert answer["Location"] == f"/requests/{request_.reference}/"
    late = client.post(page_of(request_), {"photos": made.sent(made.photo())}, HTTP_ACCEPT="application/json")
    assert late.status_code == 409
    assert Photo.objects.get() == kept
    assert len(files(store)) == 1
    shown = client.get(page_of(request_)).content.decode()
    assert "Remove" not in shown
    assert "the ring on the leg" in shown


def test_words_are_not_changed_once_sent(client: Client, request_: SetupRequest, kept: Photo, round_: Round) -> None:
    fill(client, request_)
    save(client, request_, "review", {"consent": "on"})
    client.post(page_of(request_), {f"alt.{kept.pk}": "something else"})
    kept.refresh_from_db()
    assert kept.alt == "the ring on the leg"


def test_a_token_is_needed(request_: SetupRequest, client: Client) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    assert strict.post(page_of(request_), {"photos": made.sent(made.photo())}).status_code == 403
    assert not Photo.objects.exists()
