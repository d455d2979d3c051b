"""Who writes, in which units, and what they want from the bike."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.conf import settings
from django.utils.translation import gettext_lazy as _

from intake.access import our_language
from intake.choices import (
    Budget,
    Discipline,
    LengthUnit,
    MassUnit,
    Pace,
    Paper,
    PressureUnit,
    RateUnit,
    Skill,
    Step,
    TorqueUnit,
)
from intake.services import requests
from intake.steps.base import At, StepPage
from intake.steps.fields import Choice, Day, Email, Field, Group, LongText, Pick, Text

CLIENT_FIELDS = ("name", "email", "length_unit", "mass_unit", "pressure_unit", "rate_unit", "torque_unit", "paper",
                 "language")  # fmt: skip
REQUEST_FIELDS = ("discipline", "pace", "aim", "skill", "budget", "event_date")


class YouPage(StepPage):
    id = Step.YOU.value
    about = _("So that the advice fits how you ride, what you can do yourself and what you want to spend.")

    def title(self, at: At) -> Any:
        return _("You and your aim")

    def groups(self, at: At) -> Sequence[Group]:
        return (
            Group(
                _("You"),
                [
                    Text(name="name", label=_("Your name"), autocomplete="name"),
                    Email(
                        name="email",
                        label=_("Your e-mail address"),
                        hint=_(
                            "Your link back and your tuner's answers go there. Without it, keep the private link that "
                            "every page shows."
                        ),
                        longest=254,
                        autocomplete="email",
                    ),
                ],
            ),
            Group(
                _("Your riding"),
                [
                    Pick(
                        name="discipline",
                        label=_("What is the bike set up for?"),
                        choices=Discipline.choices,
                        empty=_("Choose one"),
                        required=_("Choose what comes nearest; every target depends on it."),
                    ),
                    Choice(name="pace", label=_("How do you ride?"), choices=Pace.choices, across=True),
                    LongText(
                        name="aim",
                        label=_("What do you want to feel that you do not feel now?"),
                        hint=_("In your own words, for example “brake late without the fork diving”."),
                    ),
                    Day(name="event_date", label=_("A date it must be ready by, if there is one")),
                ],
            ),
            Group(
                _("What can be done"),
                [
                    Choice(name="skill", label=_("What do you do yourself?"), choices=Skill.choices),
                    Choice(name="budget", label=_("What may it cost?"), choices=Budget.choices),
                ],
            ),
            Group(
                _("Your units, paper and language"),
                [
                    Pick(name="length_unit", label=_("Lengths"), choices=LengthUnit.choices),
                    Pick(name="mass_unit", label=_("Weights"), choices=MassUnit.choices),
                    Pick(name="pressure_unit", label=_("Pressures"), choices=PressureUnit.choices),
                    Pick(name="rate_unit", label=_("Spring rates"), choices=RateUnit.choices),
                    Pick(name="torque_unit", label=_("Torque"), choices=TorqueUnit.choices),
                    Pick(name="paper", label=_("Paper for your sheet"), choices=Paper.choices),
                    Pick(name="language", label=_("Language of your mails and sheets"), choices=settings.LANGUAGES),
                ],
                how=[_("What you have already typed keeps the unit it was typed in.")],
                layout="row",
            ),
        )

    def initial(self, at: At) -> dict[str, str]:
        known = {name: getattr(at.client, name) for name in CLIENT_FIELDS}
        known["language"] = our_language(at.client.language)
        known |= {name: getattr(at.request, name) or "" for name in REQUEST_FIELDS}
        return {name: str(value) for name, value in known.items()}

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        # A drop-down or a row of choices left alone keeps what it was.
        client = {k: cleaned[k] for k in CLIENT_FIELDS if cleaned[k] or k in {"name", "email"}}
        aim = {k: cleaned[k] for k in REQUEST_FIELDS if cleaned[k] or k in {"pace", "aim", "event_date"}}
        requests.describe_client(at.request, **client)
        requests.describe_aim(at.request, **aim)
