"""The load a round is measured with: said once, at the rider's step, and carried by every reading taken aboard."""

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.models import StepDraft
from intake.services import readings
from intake.steps.base import At

SOLO = "solo"
CHOICES = (
    ("solo", _("Rider alone")),
    ("solo_luggage", _("Rider with luggage")),
    ("two_up", _("Rider and passenger")),
    ("two_up_luggage", _("Rider, passenger and luggage")),
)
_KNOWN = frozenset(value for value, _label in CHOICES)


def of(at: At) -> str:
    """Return the load state this request is measured in, as last said; a request made elsewhere says it by its
    readings; "solo" when nothing was said."""
    said = (
        StepDraft.objects.filter(round__request=at.request, step=Step.RIDER, aside=False)
        .order_by("-round__number", "-version")
        .values_list("fields__load_state", flat=True)
        .first()
    )
    if said in _KNOWN:
        return str(said)
    aboard = at.round.readings.filter(quantity="length_rider_aboard", is_current=True).values_list("load_state")
    return str(next((state for (state,) in aboard if state in _KNOWN), SOLO))


def changed(at: At, state: str) -> None:
    """Take back readings of the sag step that were taken under another load: they are of something else now, and
    that step asks for them again (its text is still there)."""
    others = at.round.readings.filter(quantity="length_rider_aboard", is_current=True).exclude(load_state=state)
    for reading in others:
        readings.withdraw_reading(
            at.round,
            quantity=reading.quantity,
            end=reading.end,
            leg=reading.leg,
            load_state=reading.load_state,
            approach=reading.approach,
            repeat=reading.repeat,
        )
    if others:
        StepDraft.objects.filter(round=at.round, step=Step.SAG).update(complete=False)
