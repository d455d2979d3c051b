"""What the checks ask about, put to the step where it can be answered."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from intake import words
from intake.case import NOTHING_UNSAVED, Unsaved, partial_checks, stop_answers
from intake.choices import Step
from intake.presentation import UnitPrefs
from intake.steps import pages_of
from intake.steps.base import At, StepPage
from intake.steps.fields import element_id
from tuning.engine.derivation import Check
from tuning.engine.quantities import LEGS
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


_SETTING = "setting."

#: Checks that find what the stop gate asks about.
STOPPING = frozenset({"overload"})


@dataclass(frozen=True)
class Place:
    """A field that a question is about: its HTML name, its words, and the step it stands on."""

    name: str
    label: str
    step: str

    @property
    def id(self) -> str:
        """Return the id of its element on the page of that step."""
        return element_id(self.name)


@dataclass(frozen=True)
class Asked:
    """One question of the checks: its words, the step that answers it, and whether it holds up advice."""

    id: str
    text: str
    step: str
    blocks: bool
    #: The bike is not to be ridden like this, whatever else is asked.
    stops: bool = False
    #: The fields it is about, to link to and to mark.
    places: tuple[Place, ...] = ()

    @property
    def element_id(self) -> str:
        """Return the id of the element the question is drawn in."""
        return "q-" + self.id.replace(".", "-")

    @property
    def fields(self) -> tuple[str, ...]:
        """Return the HTML names of the fields it is about."""
        return tuple(place.name for place in self.places)


def step_of(check: Check) -> str:
    """Return the step of the whole form where a check's readings are taken."""
    if check.id in _STEP_OF_CHECK:
        return _STEP_OF_CHECK[check.id].value
    for key in check.again:
        if key.startswith(_SETTING):
            return Step.SETTINGS.value
        quantity = key.partition(".")[0]
        if quantity in _STEP_OF_QUANTITY:
            return _STEP_OF_QUANTITY[quantity].value
    return Step.BIKE.value if check.again else Step.SAG.value


def asked_at(at: At, page: StepPage | None, unsaved: Unsaved = NOTHING_UNSAVED) -> list[Asked]:
    """Return what the checks ask about the fields of one page; of all pages when ``page`` is None.

    ``unsaved`` is laid over the records. While the form is being filled in, what is still missing is no question: the
    review says it once.
    """
    failed = [
        check
        for check in partial_checks(at.round, unsaved)
        if check.verdict != "passes" and not (page is not None and check.id == "missing_core")
    ]
    if not failed:
        return []
    prefs = UnitPrefs.of(at.client)
    homes = _homes(at, page)
    order = list(dict.fromkeys(homes.values()))
    found: dict[str, Asked] = {}
    for check in failed:
        places = tuple(_places(check, homes))
        # Where the last of its numbers is typed; without a field of the form, where such are usually taken.
        step = max((place.step for place in places), key=order.index) if places else step_of(check)
        if page is None or page.id in {step, *(place.step for place in places)}:
            key = _key(check)
            asked = Asked(
                key,
                str(words.check_text(check, prefs)),
                page.id if page is not None else step,
                check.verdict == "blocks",
                check.id in STOPPING,
                places,
            )
            # One number may be asked about by the same check twice, as two rings beyond one stroke.
            found[key if key not in found else f"{key}.{len(found)}"] = asked
    return list(found.values())


def _homes(at: At, page: StepPage | None) -> dict[str, str]:
    """Return the step of each field by name: of the way the round is asked, and of the page shown."""
    shown = [page] if page is not None else []
    return {spec.name: one.id for one in [*pages_of(at.round), *shown] for spec in one.specs(at)}


def _places(check: Check, homes: Mapping[str, str]) -> Iterator[Place]:
    for key in check.again:
        label = words.reading_name(key)
        for name in _names(key, check.id, homes):
            if name in homes:
                yield Place(name, label, homes[name])


def _names(key: str, check_id: str, homes: Mapping[str, str]) -> list[str]:
    """Return the names of the fields that a reading's key may stand for."""
    if key.startswith(_SETTING):
        base = key.removeprefix(_SETTING)
        return [f"{base}.found", f"{base}.range"] if check_id == "clicks_beyond_range" else [f"{base}.found"]
    if check_id == "friction_high":
        return [f"{key}.from_below", f"{key}.from_above"]
    return [key] if key in homes else [f"{key}.{leg}" for leg in LEGS]


def _key(check: Check) -> str:
    return ".".join(part for part in (check.id, check.end) if part)


def stops(at: At) -> list[str]:
    """Return what the stop gate of this round was answered with yes for, in words."""
    return stop_reasons(stop_answers(at.round))


def stop_reasons(given: Mapping[str, str]) -> list[str]:
    """Return what stop questions were answered with yes for, in words, in the order asked."""
    return [str(words.STOP_REASONS[question]) for question in STOP_QUESTIONS if given.get(question) == "yes"]
