"""The shop's practice at the desk: who may set it, what is refused, its history, and what rests on which version."""

import json
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from rest_framework.test import APIClient

from intake.choices import Role
from intake.models import SetupRequest, User
from tests.desk.conftest import PASSWORD
from tuning.desk import casefile, practice, services, tallies
from tuning.desk.models import Frozen, PracticeVersion, Recommendation
from tuning.engine.errors import EngineInputError

TOURING = "targets.touring.sag_rider_aboard.front"
STEPS = {"steps": {"damping_share": 0.10}}
OWN_WORDS = {"texts": {"en": {"nothing_to_change": "All is well here."}}}


@pytest.fixture
def lead() -> User:
    return User.objects.create_user("marta", password=PASSWORD, display_name="Marta Lund", role=Role.LEAD)


@pytest.fixture
def page(lead: User) -> Client:
    client = Client()
    client.force_login(lead)
    return client


def address(name: str, *args: Any) -> str:
    return reverse(f"desk:{name}", args=args)


TABLE = "/desk/practice/targets/?group=touring"


@pytest.mark.parametrize(
    ("path", "posts"),
    [
        ("/desk/practice/", False),
        (TABLE, True),
        ("/desk/practice/steps/", True),
        ("/desk/practice/rules/?group=gate.safe", True),
        ("/desk/practice/texts/?group=why", True),
        ("/desk/practice/history/", False),
        ("/desk/practice/history/0/", False),
        ("/desk/practice/import/", True),
        ("/desk/practice/export.json", False),
    ],
)
def test_tuners_read_leads_write_strangers_neither(
    path: str, posts: bool, desk: Client, page: Client, tuner: User
) -> None:
    assert Client().get(path).status_code == 302
    for reader in (desk, page):
        assert reader.get(path).status_code == 200
    if posts:
        assert Client().post(path, {}).status_code == 302
        assert desk.post(path, {"base": "0", "why": "x", "text": "{}"}).status_code == 403
        assert page.post(path, {"base": "0", "why": "x", "text": "{}"}).status_code == 422
        User.objects.filter(pk=tuner.pk).update(is_superuser=True)
        assert desk.post(path, {"base": "0", "why": "x", "text": "{}"}).status_code == 422
    assert not PracticeVersion.objects.exists()


@pytest.mark.parametrize("path", ["/desk/practice/colours/", "/desk/practice/targets/?group=drag",
                                  "/desk/practice/texts/?language=xx", "/desk/practice/history/7/",
                                  "/desk/practice/history/99999999999999999999/"])  # fmt: skip
def test_what_is_not_there(page: Client, path: str) -> None:
    assert page.get(path).status_code == 404


def test_a_save_is_a_new_version_that_never_changes(page: Client, lead: User) -> None:
    typed = {"base": "0", "why": "Two up.", f"{TOURING}.low": "34,5", f"{TOURING}.high": "42"}
    assert page.post(TABLE, typed).status_code == 302
    made = PracticeVersion.objects.get()
    assert (made.number, made.by, made.why) == (1, lead, "Two up.")
    assert made.content == {"targets": {"touring": {"sag_rider_aboard.front": {"low": 34.5, "high": 42.0}}}}
    made.why = "other"
    with pytest.raises(Frozen):
        made.save()
    with pytest.raises(Frozen):
        made.delete()
    answer = page.get(TABLE)
    assert 'value="34.5"' in answer.content.decode()
    emptied = {"base": "1", "why": "Back.", f"{TOURING}.low": "", f"{TOURING}.high": ""}
    assert page.post(TABLE, emptied).status_code == 302
    assert practice.content_of(practice.current()) == {}


def test_what_is_refused_keeps_all_that_was_typed_and_says_the_way_out(page: Client) -> None:
    typed = {"base": "0", "why": "", f"{TOURING}.low": "50", f"{TOURING}.high": "40",
             "targets.touring.sag_bike_alone.rear.low": "about ten"}  # fmt: skip
    answer = page.post(TABLE, typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    for kept in ('value="50"', 'value="40"', 'value="about ten"'):
        assert kept in text
    assert "Lower it, or raise the other." in text
    assert "Write in a few words why" in text
    assert text.count('aria-invalid="true"') == 2
    assert not PracticeVersion.objects.exists()


def test_a_sentence_has_to_keep_what_it_names(page: Client) -> None:
    path = "/desk/practice/texts/?group=why"
    own = "It ran out of travel <b>there</b>."
    answer = page.post(path, {"base": "0", "why": "Ours.", "texts.en.bottomed": own})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Missing: %(end)s." in text
    assert "&lt;b&gt;there&lt;/b&gt;" in text
    told = {"base": "0", "why": "Ours.", "texts.en.bottomed": "The %(end)s ran out of travel."}
    assert page.post(path, told).status_code == 302


def test_nothing_new_is_not_saved(page: Client) -> None:
    assert (
        page.post("/desk/practice/steps/", {"base": "0", "why": "None.", "steps.height_mm": "3"}).status_code == 422
    )
    assert not PracticeVersion.objects.exists()


def test_who_comes_second_sees_what_was_changed_and_loses_nothing(page: Client, lead: User) -> None:
    practice.save(STEPS, 0, "First.", lead)
    typed = {"base": "0", "why": "Second.", f"{TOURING}.low": "34", f"{TOURING}.high": "42"}
    answer = page.post(TABLE, typed)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "Marta Lund saved a version meanwhile" in text
    assert "12.5" in text
    assert 'name="base" value="1"' in text
    assert 'value="34"' in text
    assert "Second." in text
    assert page.post(TABLE, typed | {"base": "1"}).status_code == 302
    assert practice.content_of(practice.current()) == STEPS | {
        "targets": {"touring": {"sag_rider_aboard.front": {"low": 34.0, "high": 42.0}}}
    }


def test_a_save_rests_on_the_last_version_only(lead: User) -> None:
    practice.save(STEPS, 0, "x", lead)
    for base in (0, 2):
        with pytest.raises(practice.StalePractice):
            practice.save(OWN_WORDS, base, "x", lead)


def test_of_two_at_once_one_wins(lead: User, monkeypatch: pytest.MonkeyPatch) -> None:
    # Both looked before either wrote: both saw that there was no version yet.
    monkeypatch.setattr(practice, "current", lambda: None)
    practice.save(STEPS, 0, "At once.", lead)
    with pytest.raises(practice.StalePractice):
        practice.save(OWN_WORDS, 0, "At once.", lead)
    assert PracticeVersion.objects.count() == 1


def test_history_tells_what_changed_and_leads_back(page: Client, desk: Client, lead: User) -> None:
    practice.save(STEPS, 0, "Smaller steps.", lead)
    practice.save(STEPS | OWN_WORDS, 1, "Our words.", lead)
    listed = page.get(address("practice_history")).content.decode()
    for line in ("Smaller steps.", "Our words.", "Marta Lund", "1 entry changed"):
        assert line in listed
    second = page.get(address("practice_version", 2)).content.decode()
    assert "All is well here." in second
    assert "says the same as what holds" in second
    assert desk.post(address("practice_back", 1), {"base": "2", "why": "x"}).status_code == 403
    assert page.post(address("practice_back", 1), {"base": "2", "why": ""}).status_code == 422
    assert page.post(address("practice_back", 1), {"base": "1", "why": "Plainer."}).status_code == 409
    assert page.post(address("practice_back", 2), {"base": "2", "why": "Same."}).status_code == 422
    assert page.post(address("practice_back", 1), {"base": "2", "why": "Plainer."}).status_code == 302
    last = practice.current()
    assert last is not None
    assert (last.number, last.restores, last.content) == (3, 1, STEPS)
    assert page.post(address("practice_back", 0), {"base": "3", "why": "As shipped."}).status_code == 302
    assert practice.content_of(practice.current()) == {}


def test_export_and_import(page: Client, lead: User) -> None:
    practice.save(STEPS | OWN_WORDS, 0, "x", lead)
    file = page.get(address("practice_export"))
    assert 'filename="practice-1.json"' in file["Content-Disposition"]
    practice.save({}, 1, "Empty.", lead)
    told = {"base": "2", "why": "From the file.", "text": file.content.decode()}
    assert page.post(address("practice_import"), told).status_code == 302
    assert practice.content_of(practice.current()) == STEPS | OWN_WORDS


MISFITS = {"steps": {"height_mm": 40, "leap": 2}, "rules": {"draft.none": {}}}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "not JSON"),
        ('{"schema": 1}', "missing"),
        ('{"schema": 9, "practice": {}}', "not read here"),
        ('{"schema": 1, "practice": {"steps": {"height_mm": NaN}}}', "not JSON"),
        (json.dumps({"schema": 1, "practice": MISFITS}), "steps.leap"),
        ("[" * 5000, "not JSON"),
    ],
)  # fmt: skip
def test_an_import_names_every_row_that_does_not_fit(page: Client, text: str, said: str) -> None:
    answer = page.post(address("practice_import"), {"base": "0", "why": "In.", "text": text})
    assert answer.status_code == 422
    shown = answer.content.decode()
    assert said in shown
    if "leap" in text:
        for path in ("steps.height_mm", "steps.leap", "rules.draft.none"):
            assert f"<code>{path}</code>" in shown
    assert not PracticeVersion.objects.exists()


def test_a_draft_remembers_its_practice_and_offers_to_be_made_anew(
    desk: Client, tuner: User, lead: User, setup_request: SetupRequest
) -> None:
    round_ = casefile.sent_rounds(setup_request)[0]
    draft = services.open_draft(round_, tuner)
    place = address("draft", setup_request.reference, draft.pk)
    assert draft.practice is None
    assert "Drafted by the data as shipped" in desk.get(place).content.decode()
    edited = {**draft.content, "tuner_note": "Mind the cold."}
    draft = services.save_draft(draft, edited, draft.lock, tuner)
    made = practice.save(STEPS, 0, "Smaller steps.", lead)
    shown = desk.get(place).content.decode()
    assert "Drafted by an older practice" in shown
    assert "Smaller steps." in shown
    old = address("anew", setup_request.reference, draft.pk)
    assert desk.post(old, {"lock": draft.lock - 1})["Location"] == place
    assert Recommendation.objects.count() == 1
    counted, rounds = tallies.counts()
    answer = desk.post(old, {"lock": draft.lock})
    fresh = Recommendation.objects.get(state="draft")
    assert answer["Location"] == address("draft", setup_request.reference, fresh.pk)
    assert (fresh.practice, fresh.version, fresh.content["tuner_note"]) == (made, 2, "Mind the cold.")
    draft.refresh_from_db()
    assert (draft.state, draft.content["tuner_note"]) == ("dropped", "Mind the cold.")
    again = {key: row.fired for key, row in tallies.counts()[0].items() if row.fired}
    assert (again, tallies.counts()[1]) == ({key: row.fired for key, row in counted.items() if row.fired}, rounds)
    assert tallies.recount() == rounds
    document = services.approve(fresh, fresh.lock, tuner).content()
    assert (document["practice_version"], document["judgement_version"]) == (1, fresh.judgement_version)


def test_the_shops_words_stand_on_sheets_drafted_with_them(
    tuner: User, lead: User, setup_request: SetupRequest, desk: Client
) -> None:
    round_ = casefile.sent_rounds(setup_request)[0]
    draft = services.open_draft(round_, tuner)
    asked = [row["id"] for row in (*draft.content["questions"], *draft.content["notes"])]
    name = next(one for one in asked if not one.startswith("stop_"))
    needed = sorted(practice.wordings().needed[name])
    words = "Ours: " + " ".join(f"%({one})s" for one in needed)
    practice.save({"texts": {"en": {name: words}}}, 0, "Ours.", lead)
    fresh = services.draft_anew(draft, draft.lock, tuner)
    assert "Ours: " in desk.get(address("draft", setup_request.reference, fresh.pk)).content.decode()
    frozen = services.approve(fresh, fresh.lock, tuner).content()
    assert any(line.startswith("Ours: ") for line in (*frozen["questions_text"], *frozen["notes_text"]))


def test_the_api_reads_sets_and_refuses(tuner: User, lead: User) -> None:
    api = APIClient()
    place = "/api/v1/desk/practice/"
    assert api.get(place).status_code == 401
    api.force_authenticate(tuner)
    assert api.get(place).json()["version"] == 0
    body = {"base": 0, "why": "Steps.", "practice": STEPS}
    assert api.put(place, body, format="json").status_code == 403
    api.force_authenticate(lead)
    bad = api.put(place, body | {"practice": {"steps": {"height_mm": 90}}}, format="json")
    assert bad.status_code == 400
    assert bad.json()["faults"][0]["path"] == "practice.steps.height_mm"
    assert "From 1 mm to 5 mm" in bad.json()["faults"][0]["message"]
    assert api.put(place, body, format="json").json()["practice"] == STEPS
    assert api.put(place, body, format="json").status_code == 409
    assert api.put(place, body | {"base": 1}, format="json").json()["faults"][0]["reason"] == "nothing_new"
    assert [row["why"] for row in api.get(f"{place}versions/").json()] == ["Steps."]


def test_pages_cost_a_handful_of_queries(page: Client, lead: User) -> None:
    for number in range(8):
        practice.save({"steps": {"height_mm": 1.0 + number / 4}}, number, f"{number}", lead)
    for path in ("/desk/practice/", TABLE, "/desk/practice/history/", "/desk/practice/history/3/"):
        with CaptureQueriesContext(connection) as queries:
            assert page.get(path).status_code == 200
        assert len(queries) <= 5, path


def test_what_an_export_holds_is_taken_as_it_is(lead: User) -> None:
    made = practice.save(STEPS | OWN_WORDS, 0, "x", lead)
    assert practice.imported(json.dumps(practice.exported(made))) == made.content
    with pytest.raises(EngineInputError):
        practice.imported("null")
