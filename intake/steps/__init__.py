"""The form, one module a step: what it asks (``fields``), and how the answers become records (``store``)."""

from intake.choices import Step
from intake.models import Round
from intake.steps.base import At, StepPage
from intake.steps.behaviour import BehaviourPage
from intake.steps.bike import BikePage
from intake.steps.review import ReviewPage
from intake.steps.rider import RiderPage
from intake.steps.safety import SafetyPage
from intake.steps.sag import SagPage
from intake.steps.settings import SettingsPage
from intake.steps.travel import TravelPage
from intake.steps.you import YouPage

__all__ = ["LATER_ROUNDS", "PAGES", "At", "StepPage", "following", "pages_of"]

PAGES: dict[str, StepPage] = {
    page.id: page
    for page in (
        SafetyPage(),
        YouPage(),
        BikePage(),
        RiderPage(),
        SettingsPage(),
        SagPage(),
        TravelPage(),
        BehaviourPage(),
        ReviewPage(),
    )
}
#: A report of how it went asks again whether the bike is fit to ride, and then only what the changes may have moved.
LATER_ROUNDS = (Step.SAFETY, Step.SETTINGS, Step.SAG, Step.TRAVEL, Step.BEHAVIOUR, Step.REVIEW)


def pages_of(round_: Round) -> list[StepPage]:
    """Return the steps of a round, in order."""
    if round_.number == 1:
        return list(PAGES.values())
    return [PAGES[step] for step in LATER_ROUNDS]


def following(round_: Round, step: str) -> StepPage:
    """Return the step after ``step``; the last is followed by itself."""
    pages = pages_of(round_)
    place = [page.id for page in pages].index(step)
    return pages[min(place + 1, len(pages) - 1)]
