"""A copy of everything, everything erased, and new links for old: as owner and stranger, whole and half-done."""

import io
import json
import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core import mail
from django.test import Client

from intake import links, mailbox
from intake.document import accept
from intake.models import Client as Rider
from intake.models import Event, OutboxMail, Photo, Question, SetupRequest, User
from intake.personal import PERSONAL, STAFF
from intake.services import advice, asking, conversation, photos, requests, steps
from intake.services.asking import Ask
from intake.services.lost_link import find_and_mail
from reports.models import Job, Sheet
from reports.own import erase, export, rows
from reports.tasks import erase_request, render_sheet, sweep_erasures
from tests.api.conftest import example
from tests.intake.photos import made
from tuning.desk import casefile, services, similar
from tuning.desk.models import ApprovedDocument, SettledCase

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
SECRETS = ("Tove", "tove@", "Corvane", "squeaks at home")


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    return Path(settings.MEDIA_ROOT)


@pytest.fixture
def tuner() -> User:
    return User.objects.create_user("sanne", display_name="Sanne Okeld")


def full(tuner: User) -> SetupRequest:
    """Return a request with all there can be: photos, messages, mails, a sheet, and settled."""
    document = example() | {"send": False}
    document["client"] = document["client"] | {"name": "Tove Lindqvaern", "email": "tove@riders.example"}
    document["bike"] = document["bike"] | {"name": "Corvane Tessel 690"}
    request = accept(document)
    round_ = request.round()
    round_.request = request
    steps.save_raw(round_, "behaviour", {"words": "It squeaks at home"}, 0)
    photos.add(round_, made.arrived(made.photo()), "Tove's leak")
    photos.add(round_, made.arrived(made.MP4), "the settle test")
    round_ = request.round()
    round_.words = "It squeaks at home"
    round_.save()
    requests.send_round(round_)
    request.refresh_from_db()
    conversation.post_message(request, body="I am Tove")
    asks = [Ask("Does the seal leak, Tove?", "safety", ("leak",))]
    conversation.post_message(request, body="Please look again.", author=tuner, question=True, asks=asks)
    asking.mark_beyond(Question.objects.get(), "Tove is away")
    requests.send_round(request.round())
    request.refresh_from_db()
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    services.approve(draft, draft.lock, tuner)
    fresh = request.rounds.get(number=2)
    advice.follow(fresh, advice.advised(fresh)[0]["key"], "otherwise", "half of it, said Tove")
    render_sheet(Job.objects.get().pk)
    request.refresh_from_db()
    requests.settle(request, tuner)
    similar.keep(request)
    request.refresh_from_db()
    return request


def browser(request: SetupRequest) -> Client:
    client = Client()
    client.get("/" + links.link(request, "full").split("/", 3)[3])
    return client


def own(request: SetupRequest, page: str = "") -> str:
    return f"/requests/{request.reference}/{page}"


def everything() -> str:
    """Return every value of every record of ours."""
    told = []
    for label in ("intake", "desk", "reports"):
        for model in apps.get_app_config(label).get_models():
            told += [repr(row) for row in model.objects.values()]
    return "\n".join(told)


def files(store: Path) -> list[Path]:
    return [path for path in store.rglob("*") if path.is_file()]


def test_every_registered_field_is_in_the_copy(tuner: User) -> None:
    request = full(tuner)
    told = export.document(request)
    assert set(told["personal"]) == {name for name, entry in PERSONAL.items() if entry is not STAFF}
    unfilled = {"intake.OutboxMail.error"}
    assert {name for name, values in told["personal"].items() if not values} <= unfilled
    assert told["personal"]["intake.Client.name"] == ["Tove Lindqvaern"]
    assert told["personal"]["intake.Message.body"] == ["I am Tove", "Please look again."]
    words = json.dumps(told["records"], default=str)
    assert "Front: stroke" in words or "stroke" in words
    assert all(row["in words"] for row in told["records"]["Readings"])


def test_the_zip_holds_sheets_and_photos(tuner: User) -> None:
    request = full(tuner)
    answer = browser(request).get(own(request, "data/"))
    assert answer["Content-Disposition"] == f'attachment; filename="{request.reference}.zip"'
    archive = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert archive.testzip() is None
    names = archive.namelist()
    assert {"request.json", "README.txt"} <= set(names)
    assert sum(name.startswith("photos/") for name in names) == 2
    sheet = next(name for name in names if name.startswith("sheets/"))
    assert archive.read(sheet).startswith(b"%PDF")
    listed = json.loads(archive.read("request.json"))["personal"]["reports.Sheet.file"]
    assert listed == [sheet]


def test_a_draft_of_the_tuners_is_not_in_the_copy(tuner: User) -> None:
    request = accept(example())
    services.open_draft(casefile.sent_rounds(request)[0], tuner)
    assert export.document(request)["personal"]["desk.Recommendation.content"] == []


def test_strangers_get_neither_copy_nor_erasure_nor_links(tuner: User) -> None:
    request, other = accept(example()), accept(example())
    reporter = Client()
    reporter.get("/" + links.link(request, "report").split("/", 3)[3])
    logged_in = Client()
    logged_in.force_login(tuner)
    before = links.link(request, "full")
    for guest in (Client(), browser(other), reporter, logged_in):
        assert guest.get(own(request, "data/")).status_code == 404
        assert guest.get(own(request, "erase/")).status_code == 404
        assert guest.post(own(request, "erase/"), {"reference": request.reference}).status_code == 404
        assert guest.post(own(request, "links/")).status_code == 404
    request.refresh_from_db()
    assert request.erase_asked_at is None
    assert links.link(request, "full") == before


def test_the_reference_is_asked_for(tuner: User) -> None:
    request = accept(example())
    client = browser(request)
    assert "That there was a request" in client.get(own(request, "erase/")).content.decode()
    for typed in ("", "FP-0000-00", "yes"):
        assert client.post(own(request, "erase/"), {"reference": typed}).status_code == 422
    request.refresh_from_db()
    assert request.erase_asked_at is None


def test_everything_is_erased(
    tuner: User, store: Path, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    request = full(tuner)
    fingerprint = Sheet.objects.get().sha256
    client = browser(request)
    old = links.link(request, "full")
    typed = request.reference.lower().replace("-", " ")
    answer = client.post(own(request, "erase/"), {"reference": typed})
    assert answer.status_code == 200
    assert "far-access-full" in answer.cookies
    # From now on nothing opens, whether the worker has come to it or not.
    assert client.get(own(request)).status_code == 404
    assert Client().get("/" + old.split("/", 3)[3]).status_code == 404
    with django_capture_on_commit_callbacks(execute=False):
        erase_request(request.pk)
    assert files(store) == []
    last = OutboxMail.objects.get()
    assert (last.to, last.request_id) == ("tove@riders.example", None)
    mail.outbox.clear()
    claimed = mailbox.claim(last.pk)
    assert claimed
    mailbox.send(claimed)
    assert "everything is erased" in mail.outbox[0].subject
    left = everything()
    assert not [secret for secret in SECRETS if secret in left]
    for label in rows.dependents_first():
        if label not in rows.KEPT:
            assert not rows.of_request(label, request).exists(), label
    assert not ApprovedDocument.objects.exists()
    assert SettledCase.objects.get().request is None
    assert Event.objects.get(kind="erased").params["sheets"][0]["sha256"] == fingerprint
    request.refresh_from_db()
    assert request.erased_at
    assert request.state == "closed"
    desk = Client()
    desk.force_login(tuner)
    page = desk.get(f"/desk/requests/{request.reference}/").content.decode()
    assert "Erased by the client on" in page
    assert fingerprint in page
    assert desk.get("/desk/?q=FP").status_code == 200
    assert desk.post(f"/desk/requests/{request.reference}/take/").status_code == 404


def test_every_registered_field_is_erased_by_what_the_register_says() -> None:
    for name, entry in PERSONAL.items():
        label = name.rpartition(".")[0]
        if entry is STAFF:
            continue
        assert label in rows.ways(), name
        assert entry.on_erasure == ("blank" if label in rows.KEPT else "drop"), name


def test_a_kept_row_keeps_no_personal_field() -> None:
    for label, keeps in erase._ROW_KEEPS.items():
        assert not {f"{label}.{name}" for name in keeps} & set(PERSONAL)
        columns = {field.name for field in apps.get_model(label)._meta.concrete_fields}
        assert keeps <= columns


def test_erasure_is_done_once_and_taken_up_where_it_broke_off(
    tuner: User, store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    request = full(tuner)
    erase.ask(request)
    asked = request.erase_asked_at
    erase.ask(request)
    assert request.erase_asked_at == asked

    def broken(request: SetupRequest) -> None:
        raise OSError("the worker dies here")

    with monkeypatch.context() as patched:
        patched.setattr(erase, "_tell", broken)
        with pytest.raises(OSError, match="dies here"):
            erase.erase(request.pk)
    request.refresh_from_db()
    assert request.erased_at is None
    assert request.rounds.exists()
    assert erase.left_over() == [request.pk]
    handed: list[Any] = []
    monkeypatch.setattr("reports.tasks.dispatch", lambda task, pk: handed.append(pk))
    sweep_erasures()
    assert handed == [request.pk]
    assert erase.erase(request.pk) is True
    assert erase.erase(request.pk) is False
    assert erase.left_over() == []
    assert OutboxMail.objects.filter(kind=mailbox.LAST).count() == 1


def test_a_request_that_was_never_sent_leaves_nothing(tuner: User) -> None:
    request = accept(example() | {"send": False})
    erase.ask(request)
    erase.erase(request.pk)
    assert not SetupRequest.objects.exists()
    assert not Rider.objects.exists()


def test_only_the_one_request_is_erased(tuner: User) -> None:
    mine, other = full(tuner), accept(example())
    erase.ask(mine)
    erase.erase(mine.pk)
    other.refresh_from_db()
    assert other.erased_at is None
    assert other.rounds.get().readings.exists()
    assert not Photo.objects.exists()


def test_a_last_mail_that_cannot_be_sent_keeps_no_address(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    mailbox.queue_last_mail("tove@riders.example", "a", "b")
    OutboxMail.objects.update(attempt=settings.JOB_MAX_ATTEMPTS - 1)

    def away(self: Any) -> None:
        raise OSError("no server")

    monkeypatch.setattr("intake.mailbox.EmailMessage.send", away)
    claimed = mailbox.claim(OutboxMail.objects.get().pk)
    assert claimed
    with pytest.raises(OSError, match="no server"):
        mailbox.send(claimed)
    assert not OutboxMail.objects.exists()


def test_new_links_end_the_old_ones_everywhere(tuner: User) -> None:
    request = accept(example())
    here, elsewhere = browser(request), browser(request)
    old_report = links.link(request, "report")
    answer = here.post(own(request, "links/"))
    assert answer.status_code == 302
    request.refresh_from_db()
    new = links.link(request, "full")
    page = here.get(own(request)).content.decode()
    assert new in page
    assert elsewhere.get(own(request)).status_code == 404
    assert Client().get("/" + old_report.split("/", 3)[3]).status_code == 404
    assert new in OutboxMail.objects.filter(kind="link").latest("pk").body
    assert here.get(own(request, "links/")).status_code == 405


def test_a_lost_link_costs_the_same_whether_it_fits_or_not(django_assert_num_queries: Any) -> None:
    request = accept(example())
    email = request.client.email
    cases = {
        "fits": (email, request.reference),
        "wrong address": ("other@riders.example", request.reference),
        "wrong reference": (email, "FP-0000-00"),
    }
    find_and_mail("warm@riders.example", "FP-1111-11")
    for who, reference in cases.values():
        before = OutboxMail.objects.count()
        with django_assert_num_queries(2):
            find_and_mail(who, reference)
        assert OutboxMail.objects.count() == before + 1
    assert OutboxMail.objects.filter(kind="link", to=email).count() == 1
    nobody = OutboxMail.objects.filter(kind=mailbox.NOTHING).first()
    assert nobody
    claimed = mailbox.claim(nobody.pk)
    assert claimed
    mailbox.send(claimed)
    assert mail.outbox == []
    assert not OutboxMail.objects.filter(pk=nobody.pk).exists()


def test_a_reference_is_mailed_a_few_times_an_hour_at_most(settings: Any) -> None:
    settings.THROTTLE_RATES = {**settings.THROTTLE_RATES, "lost-link": "2/hour"}
    request = accept(example())
    OutboxMail.objects.all().delete()
    for _time in range(4):
        find_and_mail(request.client.email, request.reference)
    assert OutboxMail.objects.filter(kind="link").count() == 2
