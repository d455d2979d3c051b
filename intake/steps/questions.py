"""What the checks ask about, put to the step where it can be answered."""

from collections.abc import Mapping
from dataclasses import dataclass

from intake import words
from intake.case import partial_checks, stop_answers
from intake.choices import Step
from intake.presentation import UnitPrefs
from intake.steps.base import At, StepPage
from tuning.engine.derivation import Check
from tuning.engine.vocabulary import STOP_QUESTIONS

_STEP_OF_QUANTITY = {
    "length_topped_out": Step.SAG,
    "length_bike_alone": Step.SAG,
    "length_rider_aboard": Step.SAG,
    "stroke": Step.TRAVEL,
    "deepest_normal": Step.TRAVEL,
    "deepest_hardest": Step.TRAVEL,
    "rider_mass": Step.RIDER,
    "passenger_mass": Step.RIDER,
    "luggage_mass": Step.RIDER,
    "scale_bike_alone": Step.RIDER,
    "scale_rider_aboard": Step.RIDER,
}
_STEP_OF_CHECK = {
    "ring_false": Step.TRAVEL,
    "ring_beyond_stroke": Step.TRAVEL,
    "sag_beyond_stroke": Step.TRAVEL,
    "deepest_hardest_below_normal": Step.TRAVEL,
    "clicks_beyond_range": Step.SETTINGS,
    "legs_unequal": Step.SETTINGS,
    "scales_disagree": Step.RIDER,
    "overload": Step.RIDER,
    "pressure_off": Step.BIKE,
    "tyre_old": Step.BIKE,
}


#: Checks that find what the stop gate asks about.
STOPPING = frozenset({"overload"})


@dataclass(frozen=True)
class Asked:
    """One question of the checks: its words, the step that answers it, and whether it holds up advice."""

    id: str
    text: str
    step: str
    blocks: bool
    #: The bike is not to be ridden like this, whatever else is asked.
    stops: bool = False


def step_of(check: Check) -> str:
    """Return the step where a check's readings are taken."""
    if check.id in _STEP_OF_CHECK:
        return _STEP_OF_CHECK[check.id].value
    for key in check.again:
        quantity = key.partition(".")[0]
        if quantity in _STEP_OF_QUANTITY:
            return _STEP_OF_QUANTITY[quantity].value
    return Step.BIKE.value if check.again else Step.SAG.value


def asked_at(at: At, page: StepPage | None) -> list[Asked]:
    """Return what the checks ask of one step; of all steps when ``page`` is None.

    While the form is being filled in, what is still missing is no question: the review says it once.
    """
    prefs = UnitPrefs.of(at.client)
    found = []
    for check in partial_checks(at.round):
        if check.verdict == "passes" or (page is not None and check.id == "missing_core"):
            continue
        step = step_of(check)
        if page is None or step == page.id:
            found.append(
                Asked(
                    _key(check),
                    str(words.check_text(check, prefs)),
                    step,
                    check.verdict == "blocks",
                    check.id in STOPPING,
                )
            )
    return found


def _key(check: Check) -> str:
    return ".".join(part for part in (check.id, check.end) if part)


def stops(at: At) -> list[str]:
    """Return what the stop gate of this round was answered with yes for, in words."""
    return stop_reasons(stop_answers(at.round))


def stop_reasons(given: Mapping[str, str]) -> list[str]:
    """Return what stop questions were answered with yes for, in words, in the order asked."""
    return [str(words.STOP_REASONS[question]) for question in STOP_QUESTIONS if given.get(question) == "yes"]
