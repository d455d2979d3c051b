"""The form, one module a step: what it asks (``fields``), and how the answers become records (``store``).

A first round is asked one of two ways: the short one, or the whole form. Later rounds ask the same of everybody.
"""

from intake.choices import RequestState, ShortStep, Step, Way
from intake.models import Question, Round
from intake.steps.base import At, StepPage
from intake.steps.behaviour import BehaviourPage
from intake.steps.bike import BikePage
from intake.steps.review import ReviewPage
from intake.steps.rider import RiderPage
from intake.steps.safety import SafetyPage
from intake.steps.sag import SagPage
from intake.steps.settings_later import SettingsAndChangesPage
from intake.steps.short import BasicsPage, ShortBehaviourPage
from intake.steps.travel import TravelPage
from intake.steps.twelve import TwelvePage
from intake.steps.you import YouPage

__all__ = ["LATER_ROUNDS", "PAGES", "SHORT_WAY", "At", "StepPage", "following", "home_of", "pages_of", "reachable"]

#: The whole form.
PAGES: dict[str, StepPage] = {
    page.id: page
    for page in (
        SafetyPage(),
        YouPage(),
        BikePage(),
        RiderPage(),
        SettingsAndChangesPage(),
        SagPage(),
        TravelPage(),
        BehaviourPage(),
        ReviewPage(),
    )
}
#: The short way: the same gate and the same sending, and between them what decides the first changes.
SHORT_WAY: dict[str, StepPage] = {
    page.id: page
    for page in (
        PAGES[Step.SAFETY],
        BasicsPage(),
        TwelvePage(),
        ShortBehaviourPage(),
        PAGES[Step.REVIEW],
    )
}
#: A report of how it went asks again whether the bike is fit to ride, and then only what the changes may have moved.
LATER_ROUNDS = (Step.SAFETY, Step.SETTINGS, Step.SAG, Step.TRAVEL, Step.BEHAVIOUR, Step.REVIEW)
#: Where the short way asks for what a step of the whole form asks for.
_IN_SHORT = {
    Step.YOU.value: ShortStep.BASICS.value,
    Step.BIKE.value: ShortStep.BASICS.value,
    Step.RIDER.value: ShortStep.TWELVE.value,
    Step.SETTINGS.value: ShortStep.TWELVE.value,
    Step.SAG.value: ShortStep.TWELVE.value,
    Step.TRAVEL.value: ShortStep.TWELVE.value,
}


def is_short(round_: Round) -> bool:
    """Say whether a round is asked the short way."""
    return round_.number == 1 and round_.request.way == Way.SHORT


def pages_of(round_: Round) -> list[StepPage]:
    """Return the steps of a round, in order."""
    if is_short(round_):
        return list(SHORT_WAY.values())
    if round_.number == 1:
        return list(PAGES.values())
    return [PAGES[step] for step in LATER_ROUNDS]


def reachable(round_: Round, step: str) -> StepPage | None:
    """Return the page of a step that may be opened in a round, or None: the steps of its way, and whatever step a
    tuner's open question names, in any round. What is asked for is asked in full. At most one query."""
    asked = step in PAGES and step in asked_steps(round_)
    if asked:
        return PAGES[step]
    return next((page for page in pages_of(round_) if page.id == step), None)


def asked_steps(round_: Round) -> list[str]:
    """Return the steps that open questions of the tuner name in this round, in the order asked; none in a round that
    nobody has seen yet. One query."""
    request = round_.request
    if request.state == RequestState.DRAFT or round_.number != request.current_round:
        return []
    rows = Question.objects.filter(round=round_, answered_at=None).exclude(step="").order_by("pk")
    return list(dict.fromkeys(rows.values_list("step", flat=True)))


def home_of(round_: Round, step: str) -> str:
    """Return the step of a round's way at which to answer what ``step`` of the whole form answers."""
    return _IN_SHORT.get(step, step) if is_short(round_) else step


def following(round_: Round, step: str) -> StepPage:
    """Return the step after ``step``; the last is followed by itself, and so is one that is not of the round's way."""
    pages = pages_of(round_)
    places = [page.id for page in pages]
    place = places.index(step) + 1 if step in places else len(pages)
    return pages[min(place, len(pages) - 1)]
