"""The short way's page on rider and bike, and its cut of the complaints.

Its fields are the whole form's own, picked by name: a reading or an answer is the same record whichever way it was
taken, and who goes over to the whole form finds it there.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import ShortStep, Step
from intake.services import requests
from intake.steps.base import At, StepPage
from intake.steps.behaviour import BehaviourPage
from intake.steps.bike import BikePage
from intake.steps.fields import Choice, Field, Group, Pick
from intake.steps.you import CLIENT_FIELDS, YouPage

YOU, BIKE = YouPage(), BikePage()
#: What decides already: the targets hang on the discipline, what the model may say on how the ends are built, and
#: what may be proposed on budget and skill. Everything else about rider and bike can be asked later.
ABOUT_YOU = ("email", "discipline", "skill", "budget")
ABOUT_BIKE = ("name", "front", "rear")


def picked(specs: Iterable[Field], names: Sequence[str]) -> list[Field]:
    """Return the fields of these names, in this order; a name that a step does not ask for is left out."""
    by_name = {spec.name: spec for spec in specs}
    return [by_name[name] for name in names if name in by_name]


def _as_lists(specs: Iterable[Field]) -> list[Field]:
    """Return the fields with rows of choices as drop-down lists: the page stays as short as its name."""
    return [
        Pick(**{one.name: getattr(spec, one.name) for one in fields(spec)}) if type(spec) is Choice else spec
        for spec in specs
    ]


class BasicsPage(StepPage):
    id = ShortStep.BASICS.value
    about = _("Only what decides what to look at. Your tuner asks for more when it would change the advice.")

    def title(self, at: At) -> Any:
        return _("You and the bike")

    def groups(self, at: At) -> Sequence[Group]:
        you = YOU.specs(at)
        return (
            Group(_("The bike"), _as_lists(picked(BIKE.specs(at), ABOUT_BIKE))),
            Group(_("Your riding"), picked(you, ("discipline",))),
            Group(_("What can be done"), _as_lists(picked(you, ("skill", "budget")))),
            Group(_("Where the answer goes"), picked(you, ("email",))),
        )

    def initial(self, at: At) -> dict[str, str]:
        bike, you = BIKE.initial(at), YOU.initial(at)
        return {name: bike.get(name, "") for name in ABOUT_BIKE} | {name: you.get(name, "") for name in ABOUT_YOU}

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        # A row of choices left alone keeps what it was.
        bike = {name: cleaned[name] for name in ABOUT_BIKE if cleaned.get(name)}
        told = {name: cleaned[name] for name in ABOUT_YOU if cleaned.get(name) or name == "email"}
        requests.describe_bike(at.request, **bike)
        requests.describe_client(at.request, **{k: v for k, v in told.items() if k in CLIENT_FIELDS})
        requests.describe_aim(at.request, **{k: v for k, v in told.items() if k not in CLIENT_FIELDS})


class ShortBehaviourPage(BehaviourPage):
    """The same complaints under the same names, the phases folded: three that matter are soon found."""

    id = Step.BEHAVIOUR.value
    about = _(
        "Open the part of the ride where it troubles you and tick what you notice. Choose the three that matter most; "
        "more are read too."
    )

    def groups(self, at: At) -> Sequence[Group]:
        groups = super().groups(at)
        kept = [group for group in groups if any(_is_told(spec) for spec in group.fields)]
        return [replace(group, folded=group.fields[0].name != "words") for group in kept]


def _is_told(spec: Field) -> bool:
    """Say whether a field is a complaint or the client's own words; the rest is asked when it would decide."""
    return spec.name == "words" or spec.name.startswith("s.")
