"""Who and what is on the bike while it is measured, and how heavy they are."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.steps import asked, load
from intake.steps.asked import WITH_LUGGAGE, WITH_PASSENGER
from intake.steps.base import At, StepPage, measures
from intake.steps.fields import Choice, Field, Group, measure
from intake.steps.known import known_measures
from intake.steps.store import store_measures


class RiderPage(StepPage):
    id = Step.RIDER.value
    about = _("Springs carry what is on them: the weight in full kit decides more than any clicker.")

    def title(self, at: At) -> Any:
        return _("Rider and load")

    def groups(self, at: At) -> Sequence[Group]:
        return asked.keep_told(at, self._groups())

    def _groups(self) -> Sequence[Group]:
        return (
            Group(
                _("On the bike when it matters"),
                [
                    Choice(
                        name="load_state",
                        label=_("Set it up for"),
                        choices=load.CHOICES,
                        default=load.SOLO,
                        hint=_(
                            "Measure the sag with exactly this load: readings of different loads are never compared."
                        ),
                        required=_("Please choose the load the bike is to be set up for."),
                    ),
                    measure(
                        "rider_mass",
                        _("Rider in full kit"),
                        hint=_("Helmet, boots, leathers, back pack: everything you ride in."),
                        required=_("The rider's weight is one of the few numbers nothing else can replace."),
                        method="scale",
                    ),
                    measure(
                        "passenger_mass",
                        _("Passenger in full kit"),
                        method="scale",
                        only_if=("load_state", WITH_PASSENGER),
                    ),
                    measure(
                        "luggage_mass", _("Luggage and cases"), method="scale", only_if=("load_state", WITH_LUGGAGE)
                    ),
                ],
            ),
            Group(
                _("Two bathroom scales, if you have them"),
                [
                    measure("scale_bike_alone", _("Under the front wheel, bike alone"), end="front", method="scale"),
                    measure("scale_bike_alone", _("Under the rear wheel, bike alone"), end="rear", method="scale"),
                    measure(
                        "scale_rider_aboard", _("Under the front wheel, rider aboard"), end="front", method="scale"
                    ),
                    measure(
                        "scale_rider_aboard", _("Under the rear wheel, rider aboard"), end="rear", method="scale"
                    ),
                ],
                how=[
                    _("Level ground. One scale under each wheel, or one scale and a board of the same height."),
                    _("Have somebody hold the bike upright by the bars; never let it balance on scales alone."),
                    _("Alone: stand the bike beside a wall, a hand on it, and film the displays with a phone."),
                ],
                folded=True,
            ),
        )

    def initial(self, at: At) -> dict[str, str]:
        return {"load_state": asked.aboard(at), **known_measures(at, self.specs(at))}

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        store_measures(at, measures(specs), cleaned, values)
        load.changed(at, cleaned["load_state"])
        asked.forget(at)
