"""Plays the demo's stories through the same functions that the pages and the API call."""

from collections.abc import Iterable

from intake.choices import Done, RequestState, SettingKind
from intake.document import accept
from intake.models import Client, Round, SetupRequest, User
from intake.services import advice, conversation, readings, requests
from reports.demo.bikes import put_bikes
from reports.demo.stories import TUNERS, Report, Story
from tuning.desk import services as desk
from tuning.engine.vocabulary import STOP_QUESTIONS

#: The demo's pass phrase, shown by ``make run``. System check farpaddock.W020 warns of it outside the demo.
PASSWORD = "paddock-far-away"  # noqa: S105


def put_tuners() -> list[User]:
    """Create the shop's tuners, or leave them as they are."""
    tuners = []
    for username, name, role in TUNERS:
        user, made = User.objects.get_or_create(username=username, defaults={"display_name": name, "role": role})
        if made:
            user.set_password(PASSWORD)
            user.save(update_fields=["password"])
        tuners.append(user)
    return tuners


def play(story: Story, tuner: User) -> SetupRequest | None:
    """Send a story's request and take it as far as the story goes; None when it is there already."""
    if Client.objects.filter(email=story.document["client"]["email"]).exists():
        return None
    request = accept(story.document)
    if story.reached in {"draft", "received"}:
        return request
    requests.take(request, tuner)
    if story.reached == "question":
        conversation.post_message(request, body=story.question, author=tuner, question=True, asks=story.asks)
    if story.reached in {"drafted", "sheet", "settled"}:
        advise(request, tuner, approve=story.reached != "drafted")
    for report in story.reports:
        report_ride(request, report)
        if report is not story.reports[-1]:
            requests.take(request, tuner)
            advise(request, tuner, approve=True)
    if story.reached == "settled":
        request.refresh_from_db()
        requests.settle(request, tuner)
    return request


def advise(request: SetupRequest, tuner: User, *, approve: bool) -> None:
    """Draft the recommendation of the round that was last sent, and approve it unless it is left for the tuner."""
    round_ = request.rounds.filter(sent_at__isnull=False).order_by("-number")[0]
    draft = desk.open_draft(round_, tuner)
    if approve:
        desk.approve(draft, draft.lock, tuner)
    request.refresh_from_db()


def report_ride(request: SetupRequest, report: Report) -> None:
    """Fill in and send the open round as the rider would: done as the sheet says, but for what the report tells."""
    request.refresh_from_db()
    if request.state == RequestState.SHEET_READY:
        request.move_to(RequestState.RIDE)
    round_ = request.round()
    follow(round_, report)
    for question in STOP_QUESTIONS:
        readings.answer(round_, question, "", report.stop.get(question, "no"))
    for row in report.readings:
        readings.record_reading(
            round_,
            quantity=row["quantity"],
            end=row.get("end", ""),
            load_state=row.get("load_state", ""),
            text=row["value"],
            unit=row["unit"],
            method=row["method"],
        )
    for question, end, value in report.answers:
        readings.answer(round_, question, end, value)
    readings.put_symptoms(round_, report.symptoms)
    round_.words = report.words
    round_.save(update_fields=["words"])
    requests.send_round(round_, doubt_note="")
    request.refresh_from_db()


def follow(round_: Round, report: Report) -> None:
    """Say of each change of the sheet what became of it, and where its adjuster stands now."""
    adjusters = {row.key: row for row in round_.request.bike.adjusters.all()}
    for told in advice.advised(round_):
        said, instead = report.followed.get(told["adjuster"] or told["key"], (Done.AS_TOLD, ""))
        done = Done(said)
        adjuster = adjusters.get(told["adjuster"])
        advice.follow(round_, told["key"], done, "" if adjuster else instead)
        if adjuster is None or told["target"] is None:
            continue
        stands = {Done.AS_TOLD: told["target"], Done.NOT_DONE: told["start"], Done.UNDONE: told["start"]}.get(done)
        text = instead if stands is None else requests.plain(stands)
        readings.record_setting(round_, adjuster, SettingKind.APPLIED, text=text)


def build(stories: Iterable[Story]) -> tuple[int, int]:
    """Build the whole scenario; what is there already is left alone.

    Returns the number of requests made and of requests found.
    """
    tuners = put_tuners()
    put_bikes(tuners[0])
    made = found = 0
    for index, story in enumerate(stories):
        if play(story, tuners[index % len(tuners)]) is None:
            found += 1
        else:
            made += 1
    return made, found
