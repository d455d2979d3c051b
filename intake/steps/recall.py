"""What a page starts with: its own text as last saved, or what is on record; and over it whatever was typed since on a
page of the other way that asks for the same. So nobody types anything twice, and nothing newer is saved over."""

from collections.abc import Mapping, Sequence, Set

from intake.choices import ShortStep, Step
from intake.models import StepDraft
from intake.services.steps import Kept
from intake.steps.base import At, StepPage
from intake.steps.fields import UNIT_SUFFIX, Field, Number
from intake.steps.from_catalogue import chosen_before, laid_into
from intake.steps.twelve import LEFT, RIGHT

_SHARED = {
    ShortStep.BASICS.value: (Step.YOU.value, Step.BIKE.value),
    ShortStep.TWELVE.value: (
        Step.BIKE.value,
        Step.RIDER.value,
        Step.SETTINGS.value,
        Step.SAG.value,
        Step.TRAVEL.value,
    ),
}
#: The one name that two steps give to different things: on the short page it is the bike's.
_APART = {("name", frozenset({ShortStep.BASICS.value, Step.YOU.value}))}


def sharing(step: str) -> list[str]:
    """Return the steps of the other way that ask for some of what ``step`` asks for."""
    return [*_SHARED.get(step, ()), *(short for short, whole in _SHARED.items() if step in whole)]


def recalled(
    at: At, page: StepPage, specs: Sequence[Field], kept: Mapping[str, Kept], *, offered: bool = True
) -> dict[str, str]:
    """Return the text of a page's fields by name. ``kept``: of the page and of those that share with it; ``offered``:
    with what the catalogue knows of the bike laid into fields that are empty."""
    own = kept.get(page.id, Kept()).standing
    values = dict(own.fields if own else page.initial(at))
    names = {spec.name for spec in specs}
    names |= {spec.name + UNIT_SUFFIX for spec in specs if isinstance(spec, Number)}
    later = [
        found.standing
        for step in sharing(page.id)
        if (found := kept.get(step)) and found.standing and (own is None or found.standing.pk > own.pk)
    ]
    later.sort(key=lambda row: row.pk)
    bike = at.request.bike
    # What the catalogue knows goes over what was typed before the bike was chosen there, and under what came after.
    seen = [draft for draft in later if chosen_before(bike, draft)]
    for draft in later[: len(later) - len(seen)]:
        values |= _said_there(page, draft, names)
    mine = own is not None and chosen_before(bike, own)
    if offered:
        values |= laid_into(at, specs, values, own.fields if own and mine else {}, anew=not mine and not at.later)
    for draft in seen:
        values |= _said_there(page, draft, names)
    return values


def _said_there(page: StepPage, draft: StepDraft, names: Set[str]) -> dict[str, str]:
    """Return what a page of the other way says of the fields of this one."""
    pair = frozenset({page.id, draft.step})
    said = {k: v for k, v in draft.fields.items() if k in names and (k, pair) not in _APART}
    if draft.step == ShortStep.TWELVE and not said.get(RIGHT):
        # Left empty there, the right leg stands as the left one.
        said |= {RIGHT: said[LEFT]} if {LEFT, RIGHT} <= said.keys() else {}
    return said
