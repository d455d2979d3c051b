"""The case page shows a round's photos with the client's words, and offers the video only as a download."""

from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from intake.document import accept
from intake.models import User
from intake.services import photos, requests
from tests.api.conftest import example
from tests.intake.photos import made

pytestmark = pytest.mark.django_db


def test_photos_stand_beside_what_the_client_says(client: Client, settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    request = accept(example() | {"send": False})
    round_ = request.round()
    round_.request = request
    told = photos.add(round_, made.arrived(made.photo()), 'the "leak" <b>')
    plain = photos.add(round_, made.arrived(made.photo(size=(30, 30))))
    video = photos.add(round_, made.arrived(made.MP4), "the settle test")
    requests.send_round(round_)
    client.force_login(User.objects.create_user("sanne"))
    page = client.get(f"/desk/requests/{request.reference}/").content.decode()
    assert f'<img src="/desk/photos/{told.pk}/"' in page
    assert 'alt="the &quot;leak&quot; &lt;b&gt;"' in page
    assert f'<img src="/desk/photos/{plain.pk}/"' in page
    assert "Photo 2, not described by the client" in page
    assert f'<a class="button plain small" href="/desk/photos/{video.pk}/"' in page
    assert "<video" not in page
    answer = client.get(f"/desk/photos/{video.pk}/")
    assert answer["Content-Disposition"].startswith("attachment")
