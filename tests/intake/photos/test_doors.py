"""Who may fetch a photo: the holder of the private link, and tuners once it was sent; nobody else."""

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from intake import links
from intake.models import Photo, Round, SetupRequest, User
from intake.services import photos
from tests.intake.at_form import begin
from tests.intake.photos import made
from tests.intake.test_form_doors import path_of

pytestmark = pytest.mark.django_db


def own(photo: Photo) -> str:
    return reverse("intake:photo", args=[photo.round.request.reference, photo.pk])


def desk(photo: Photo) -> str:
    return reverse("intake:desk_photo", args=[photo.pk])


def body(answer) -> bytes:
    return b"".join(answer.streaming_content)


def test_the_owner_gets_the_photo_shut_in(client: Client, kept: Photo) -> None:
    answer = client.get(own(kept))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "no-store" in answer["Cache-Control"]
    assert body(answer).startswith(b"\xff\xd8\xff")


def test_a_video_is_a_download_and_nothing_else(client: Client, round_: Round) -> None:
    video = photos.add(round_, made.arrived(made.MP4))
    answer = client.get(own(video))
    assert answer["Content-Disposition"].startswith("attachment")
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert body(answer) == made.MP4


def test_nobody_else_gets_it(client: Client, kept: Photo, request_: SetupRequest) -> None:
    other = Client()
    theirs = begin(other)
    page = reverse("intake:photos", args=[request_.reference, 1])
    reporter = Client()
    reporter.get(path_of(request_, "report"))
    for guest in (Client(), other, reporter):
        assert guest.get(own(kept)).status_code == 404
        assert guest.get(page).status_code == 404
        assert guest.post(page, {"remove": str(kept.pk)}).status_code == 404
        assert guest.get(desk(kept)).status_code == 302
    # By one's own address with another's number: neither seen, nor described, nor removed.
    assert other.get(reverse("intake:photo", args=[theirs.reference, kept.pk])).status_code == 404
    other.post(reverse("intake:photos", args=[theirs.reference, 1]), {"remove": str(kept.pk), f"alt.{kept.pk}": "x"})
    kept.refresh_from_db()
    assert kept.alt == "the ring on the leg"


def test_a_link_that_was_revoked_opens_no_photo(client: Client, kept: Photo, request_: SetupRequest) -> None:
    links.revoke(request_, "full")
    assert client.get(own(kept)).status_code == 404
    assert client.get(reverse("intake:photos", args=[request_.reference, 1])).status_code == 404


def test_a_tuner_gets_it_once_it_was_sent(kept: Photo, round_: Round) -> None:
    tuner = Client()
    tuner.force_login(User.objects.create_user("sanne"))
    assert tuner.get(desk(kept)).status_code == 404
    Round.objects.filter(pk=round_.pk).update(sent_at=timezone.now())
    assert tuner.get(desk(kept)).status_code == 200
    assert tuner.get(own(kept)).status_code == 404


def test_a_photo_whose_file_is_gone_is_not_found(client: Client, kept: Photo) -> None:
    kept.file.storage.delete(kept.file.name)
    assert client.get(own(kept)).status_code == 404
