"""Editing, saving, approving and correcting a draft."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from intake.case import current_settings
from intake.models import Adjuster, Round, SetupRequest, User
from intake.services import requests
from reports.models import Job
from tuning.desk import casefile, drafting, editing, services
from tuning.desk.models import ApprovedDocument, Frozen, Recommendation
from tuning.engine.vocabulary import STOP_QUESTIONS
from tuning.judgement.rulebook import PROCEDURES

pytestmark = pytest.mark.slow


def own_change(draft: Recommendation) -> dict[str, Any]:
    adjuster = Adjuster.objects.filter(bike__request=draft.round.request, kind="rebound").order_by("key")[0]
    return drafting.blank_change(adjuster, 2.0)


def with_change(draft: Recommendation, by: User) -> Recommendation:
    return services.save_draft(draft, {**draft.content, "changes": [own_change(draft)]}, draft.lock, by)


def form_of(draft: Recommendation, **changed: str) -> dict[str, str]:
    fields = {
        "lock": str(draft.lock),
        "order": ",".join(one["key"] for one in draft.content["changes"]),
        "tuner_note": draft.content["tuner_note"],
        "action": "save",
    }
    for one in draft.content["changes"]:
        if one["adjuster"]:
            fields |= {f"{one['key']}:start": f"{one['start']:g}", f"{one['key']}:target": f"{one['target']:g}"}
    return fields | changed


def address(draft: Recommendation, name: str = "draft") -> str:
    return reverse(f"desk:{name}", args=[draft.round.request.reference, draft.pk])


def test_edit_numbers_words_and_note(desk: Client, tuner: User, draft: Recommendation) -> None:
    with_change(draft, tuner)
    key = draft.content["changes"][0]["key"]
    fields = form_of(
        draft, tuner_note="Slowly.", **{f"{key}:target": "4", f"{key}:title": "Mine", f"{key}:how": "a\nb"}
    )
    assert desk.post(address(draft), fields).status_code == 302
    draft.refresh_from_db()
    change = draft.content["changes"][0]
    assert (change["target"], change["text"]["title"], change["text"]["how"]) == (4.0, "Mine", "a\nb")
    assert draft.content["tuner_note"] == "Slowly."
    assert draft.lock == 3


def test_a_target_beyond_the_range_names_field_value_and_range(
    desk: Client, tuner: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    change = draft.content["changes"][0]
    Adjuster.objects.filter(key=change["adjuster"]).update(range_counted=20)
    answer = desk.post(address(draft), form_of(draft, tuner_note="kept", **{f"{change['key']}:target": "31"}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "31 clicks is not possible; 0 to 20 clicks is." in page
    assert "kept" in page
    assert 'value="31"' in page
    assert Recommendation.objects.get(pk=draft.pk).lock == 2


@pytest.mark.parametrize("typed", ["", "x", "1 2 3", "1e999"])
def test_what_is_no_number_is_kept_and_questioned(
    desk: Client, tuner: User, draft: Recommendation, typed: str
) -> None:
    with_change(draft, tuner)
    key = draft.content["changes"][0]["key"]
    answer = desk.post(address(draft), form_of(draft, **{f"{key}:target": typed}))
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.content.decode()


def test_add_move_and_drop(desk: Client, draft: Recommendation) -> None:
    keys = [one.key for one in Adjuster.objects.filter(bike__request=draft.round.request).order_by("key")][:2]
    before = len(draft.content["changes"])
    added = []
    for key in keys:
        if any(one["adjuster"] == key for one in draft.content["changes"]):
            continue
        desk.post(address(draft), form_of(draft, action="add", adjuster=key))
        draft.refresh_from_db()
        added.append(f"own.{key}")
    assert added
    order = [one["key"] for one in draft.content["changes"]]
    assert len(order) == before + len(added)
    assert order[-1] == added[-1]
    if len(order) > 1:
        desk.post(address(draft), form_of(draft, action=f"up:{order[-1]}"))
        draft.refresh_from_db()
        moved = [one["key"] for one in draft.content["changes"]]
        assert moved == [*order[:-2], order[-1], order[-2]]
    desk.post(address(draft), form_of(draft, action=f"drop:{added[-1]}"))
    draft.refresh_from_db()
    assert added[-1] not in [one["key"] for one in draft.content["changes"]]


def test_critical_cautions_cannot_be_removed(tuner: User, draft: Recommendation) -> None:
    request = draft.round.request
    leg = Adjuster.objects.filter(bike__request=request, kind="fork_position").first() or Adjuster.objects.create(
        bike=request.bike, key="front.fork_position.left", kind="fork_position", end="front", leg="left", unit="mm"
    )
    change = drafting.blank_change(leg, 4.0) | {"cautions": [], "critical": []}
    saved = services.save_draft(draft, {**draft.content, "changes": [change]}, draft.lock, tuner)
    # Common practice: a stand under the fork feet and two loose legs drop the bike.
    assert {"stand_not_under_fork", "never_both_loose"} <= set(saved.content["changes"][0]["critical"])
    assert set(PROCEDURES["fork_position"].critical) <= set(saved.content["changes"][0]["cautions"])


def test_a_second_save_shows_what_differs_and_keeps_what_was_typed(
    desk: Client, other: User, tuner: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    mine = form_of(draft, tuner_note="mine")
    services.save_draft(
        Recommendation.objects.get(pk=draft.pk), {**draft.content, "tuner_note": "theirs"}, draft.lock, other
    )
    answer = desk.post(address(draft), mine)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Imre Vadas saved this draft meanwhile" in page
    assert f"On {timezone.now():%-d %B %Y}, " in page
    assert answer.context["differs"] == [editing.Difference("Your note on the sheet", "mine", "theirs")]
    assert '<dd class="typed">mine</dd>' in page
    assert '<dd class="typed">theirs</dd>' in page
    assert ">mine</textarea>" in page
    again = desk.post(address(draft), mine | {"lock": str(answer.context["lock"])})
    assert again.status_code == 302
    assert Recommendation.objects.get(pk=draft.pk).content["tuner_note"] == "mine"


def test_a_stale_page_shows_both_texts_of_all_that_differs(
    desk: Client, other: User, tuner: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    key = draft.content["changes"][0]["key"]
    mine = form_of(draft, **{f"{key}:target": "4", f"{key}:why": "My reason.", f"{key}:how": "a\nb"})
    theirs = Recommendation.objects.get(pk=draft.pk)
    change = theirs.content["changes"][0]
    spare = Adjuster.objects.filter(bike__request=draft.round.request).exclude(key=change["adjuster"]).first()
    assert spare is not None
    added = drafting.blank_change(spare, 1.0) | {"text": {"title": "", "why": "", "how": "Theirs alone."}}
    edited = change | {"target": 6.0, "text": change["text"] | {"why": "Their reason."}}
    services.save_draft(theirs, {**theirs.content, "changes": [edited, added]}, theirs.lock, other)
    differs = desk.post(address(draft), mine).context["differs"]
    title = "Front rebound damping, left leg"
    assert {(one.what, one.mine, one.theirs) for one in differs[:-1]} == {
        (f"{title}, “to”", "4 clicks", "6 clicks"),
        (f"{title}, “Why”", "My reason.", "Their reason."),
        (f"{title}, “How, one step a line”", "a\nb", ""),
    }
    assert differs[-1].mine == ""
    assert differs[-1].theirs.endswith("Theirs alone.")


def test_what_was_typed_into_a_draft_that_was_approved_meanwhile_is_not_lost(
    desk: Client, other: User, tuner: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    key = draft.content["changes"][0]["key"]
    mine = form_of(draft, tuner_note="Half an hour's work.", **{f"{key}:target": "4 or so"})
    services.approve(Recommendation.objects.get(pk=draft.pk), draft.lock, other)
    answer = desk.post(address(draft), mine)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Imre Vadas approved this draft meanwhile" in page
    assert "Half an hour&#x27;s work.</textarea>" in page
    assert {one.mine for one in answer.context["differs"]} == {"Half an hour's work.", "4 or so"}
    assert address(draft, "correct") in page
    assert address(draft, "approve") not in page
    assert 'value="save"' not in page
    assert Recommendation.objects.get().content["tuner_note"] == ""


def test_a_stale_approval_says_who_saved_meanwhile(
    desk: Client, other: User, tuner: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    lock = draft.lock
    services.save_draft(Recommendation.objects.get(pk=draft.pk), {**draft.content, "tuner_note": "x"}, lock, other)
    answer = desk.post(address(draft, "approve"), {"lock": str(lock)}, follow=True)
    assert "Imre Vadas saved this draft at" in answer.content.decode()
    assert not ApprovedDocument.objects.exists()


def test_a_change_of_the_version_before_is_kept_though_a_colleague_dropped_it(
    desk: Client, other: User, tuner: User, draft: Recommendation
) -> None:
    judged = {**own_change(draft), "key": "judged.before"}
    services.save_draft(draft, {**draft.content, "changes": [judged]}, draft.lock, tuner)
    services.approve(draft, draft.lock, tuner)
    fresh = services.correct(draft, tuner)
    mine = form_of(fresh, **{"judged.before:target": "5", "judged.before:why": "Because."})
    services.save_draft(Recommendation.objects.get(pk=fresh.pk), {**fresh.content, "changes": []}, fresh.lock, other)
    answer = desk.post(address(fresh), mine)
    assert answer.status_code == 409
    assert "Because." in answer.context["differs"][0].mine
    assert answer.context["differs"][0].theirs == ""
    assert ">Because.</textarea>" in answer.content.decode()


def test_approving_freezes_writes_settings_and_opens_the_next_round(
    desk: Client, tuner: User, draft: Recommendation, django_capture_on_commit_callbacks: Any
) -> None:
    change = own_change(draft) | {"target": 4.0}
    services.save_draft(draft, {**draft.content, "changes": [change]}, draft.lock, tuner)
    answer = desk.post(address(draft, "approve"), {"lock": str(draft.lock)})
    assert answer["Location"] == reverse("desk:case", args=[draft.round.request.reference])
    document = ApprovedDocument.objects.get()
    content = document.content()
    request = SetupRequest.objects.get()
    assert content["number"] == f"{request.reference}/1.1"
    assert content["tuner"] == "Sanne Okeld"
    assert content["changes"][0]["to_text"].startswith("4\u00a0clicks out")
    assert request.state == "sheet_ready"
    assert request.current_round == 2
    fresh = Round.objects.get(request=request, number=2)
    standing = {row.adjuster.key: row.value for row in current_settings(fresh).values()}
    assert standing[change["adjuster"]] == 4.0
    assert Job.objects.filter(document=document).count() == 1
    with pytest.raises(Frozen):
        document.save()
    assert desk.get(reverse("desk:case", args=[request.reference])).status_code == 200


def test_a_colleagues_request_is_taken_over_before_it_is_approved(
    desk: Client, tuner: User, other: User, draft: Recommendation
) -> None:
    with_change(draft, tuner)
    reference = draft.round.request.reference
    requests.take(draft.round.request, other)
    page = desk.get(address(draft)).content.decode()
    assert "Imre Vadas has taken this request" in page
    assert address(draft, "approve") not in page
    answer = desk.post(address(draft, "approve"), {"lock": str(draft.lock)}, follow=True)
    assert "Imre Vadas has taken" in answer.content.decode()
    assert not ApprovedDocument.objects.exists()
    over = reverse("desk:take_over", args=[reference])
    assert over in page
    assert desk.get(over).status_code == 405
    assert desk.post(over, {"draft": str(draft.pk)})["Location"] == address(draft)
    assert (
        "Taken over by Sanne Okeld from Imre Vadas"
        in desk.get(reverse("desk:case", args=[reference])).content.decode()
    )
    desk.post(address(draft, "approve"), {"lock": str(draft.lock)})
    assert ApprovedDocument.objects.get().approved_by == tuner


def test_the_case_says_who_has_it_and_offers_to_take_over(
    desk: Client, tuner: User, other: User, setup_request: SetupRequest
) -> None:
    case = reverse("desk:case", args=[setup_request.reference])
    over = reverse("desk:take_over", args=[setup_request.reference])
    assert over not in desk.get(case).content.decode()
    requests.take(setup_request, other)
    page = desk.get(case).content.decode()
    assert "Take over from Imre Vadas" in page
    # A page drawn before the colleague took it: pressing Take does not take it from them unseen.
    answer = desk.post(reverse("desk:take", args=[setup_request.reference]), follow=True)
    assert "Imre Vadas has taken" in answer.content.decode()
    assert SetupRequest.objects.get().tuner == other
    assert desk.post(over)["Location"] == case
    assert SetupRequest.objects.get().tuner == tuner


@pytest.mark.parametrize("state", ["settled", "closed"])
def test_nothing_is_drafted_or_approved_once_it_is_over(
    desk: Client, tuner: User, draft: Recommendation, state: str
) -> None:
    with_change(draft, tuner)
    case = reverse("desk:case", args=[draft.round.request.reference])
    SetupRequest.objects.update(state=state)
    assert address(draft, "approve") not in desk.get(address(draft)).content.decode()
    desk.post(address(draft, "approve"), {"lock": str(draft.lock)})
    assert not ApprovedDocument.objects.exists()
    Recommendation.objects.all().delete()
    start = reverse("desk:start_draft", args=[draft.round.request.reference])
    assert start not in desk.get(case).content.decode()
    answer = desk.post(start, follow=True)
    assert "cannot be done now" in answer.content.decode()
    assert not Recommendation.objects.exists()


def test_two_approvals_make_one_sheet(desk: Client, tuner: User, draft: Recommendation) -> None:
    with_change(draft, tuner)
    for _ in range(2):
        desk.post(address(draft, "approve"), {"lock": str(draft.lock)})
    assert ApprovedDocument.objects.count() == 1


def test_a_correction_is_a_new_version(desk: Client, tuner: User, draft: Recommendation) -> None:
    with_change(draft, tuner)
    first = services.approve(draft, draft.lock, tuner)
    before = first.text
    answer = desk.post(address(draft, "correct"))
    fresh = Recommendation.objects.get(state="draft")
    assert answer["Location"] == address(fresh)
    assert fresh.version == 2
    assert fresh.content == draft.content
    second = services.approve(fresh, fresh.lock, tuner)
    assert second.content()["number"].endswith("/1.2")
    assert ApprovedDocument.objects.get(pk=first.pk).text == before
    assert SetupRequest.objects.get().rounds.count() == 2


def test_a_stop_gate_allows_a_do_not_ride_sheet_only(make: Callable[..., SetupRequest], tuner: User) -> None:
    stop = dict.fromkeys(STOP_QUESTIONS, "no") | {"leak": "yes"}
    request = make(stop=stop)
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    assert [row["id"] for row in draft.content["stop"]] == ["stop_leak"]
    services.save_draft(draft, {**draft.content, "changes": [own_change(draft)], "stop": []}, draft.lock, tuner)
    with pytest.raises(services.UnsoundDraft) as refused:
        services.approve(draft, draft.lock, tuner)
    assert [fault.reason for fault in refused.value.faults] == ["stop_open"]
    services.save_draft(draft, {**draft.content, "changes": []}, draft.lock, tuner)
    content = services.approve(draft, draft.lock, tuner).content()
    assert content["changes"] == []
    assert "Do not ride" in content["stop_text"][0]


def test_the_client_reads_their_own_units(make: Callable[..., SetupRequest], tuner: User) -> None:
    request = make()
    request.client.length_unit = "in"
    request.client.save()
    draft = services.open_draft(casefile.sent_rounds(request)[0], tuner)
    with_change(draft, tuner)
    content = services.approve(draft, draft.lock, tuner).content()
    sag = next(row for row in content["derived"] if row["key"] == "sag_rider_aboard.front")
    # By hand: 128 mm less 84 mm is 44 mm; 44 / 25.4 = 1.73 in.
    assert sag["text"].startswith("1.73\u00a0±")
    assert sag["text"].endswith("\u00a0in")


def test_the_editor_shows_what_the_client_will_read_before_approval(
    desk: Client, tuner: User, draft: Recommendation
) -> None:
    change = own_change(draft) | {"target": 4.0}
    services.save_draft(draft, {**draft.content, "changes": [change]}, draft.lock, tuner)
    answer = desk.get(address(draft))
    assert answer.context["sheet"]["changes"][0]["to_text"].startswith("4\u00a0clicks out")
    assert answer.context["sheet"]["changes"][0]["to_text"] in answer.content.decode()
    assert not ApprovedDocument.objects.exists()
