"""The bike: how it is built, its tyres, and what is known of its springs and geometry."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import FrontArchitecture, RearArchitecture, Step
from intake.services import requests
from intake.steps import asked, turns
from intake.steps.asked import WITH_FORK, WITH_FORK_SPRINGS, WITH_LEVERAGE
from intake.steps.base import At, StepPage, answers, measures
from intake.steps.fields import Choice, Field, Group, LongText, Pick, Text, Whole, measure
from intake.steps.from_catalogue import BikeName
from intake.steps.known import known_answers, known_measures
from intake.steps.store import store_answers, store_measures

BIKE_FIELDS = ("name", "year", "front", "rear", "front_tyre", "rear_tyre", "service", "modifications")
#: Questions only of bikes that are built so.
IF_FORK = ("front", frozenset(str(front) for front in WITH_FORK))
IF_FORK_SPRINGS = ("front", frozenset(str(front) for front in WITH_FORK_SPRINGS))
IF_SPLIT = ("front", frozenset({FrontArchitecture.COIL_SPLIT.value}))
IF_LEVERAGE = ("rear", frozenset(str(rear) for rear in WITH_LEVERAGE))
IF_LINKAGE = ("rear", frozenset({RearArchitecture.LINKAGE.value}))
SPLIT_LEGS = (
    ("left", _("The left one")),
    ("right", _("The right one")),
    ("both", _("Both")),
    ("unknown", _("I do not know")),
)
FLUID_AGE = (
    ("under_two_years", _("Less than two years")),
    ("two_to_four", _("Two to four years")),
    ("older", _("Longer")),
    ("unknown", _("I do not know")),
)


def _tyre(end: str, label: Any) -> Group:
    return Group(
        label,
        [
            Text(
                name=f"{end}_tyre",
                label=_("Size, as printed on the sidewall"),
                hint=_("For example 120/70 ZR17."),
                longest=40,
            ),
            measure("tyre_pressure", _("Pressure, cold"), end=end, method=""),
            measure("tyre_pressure_manual", _("Pressure the manual asks for"), end=end, method="manual"),
            measure(
                "tyre_age",
                _("Age in years"),
                end=end,
                fixed_unit="1",
                hint=_("The last four digits of the DOT code are week and year."),
                method="counted",
            ),
        ],
    )


class BikePage(StepPage):
    id = Step.BIKE.value
    about = _("Only the name and the first two questions are needed. Everything else helps when you know it.")

    def title(self, at: At) -> Any:
        return _("The bike")

    def groups(self, at: At) -> Sequence[Group]:
        return asked.keep_told(at, self._groups())

    def _groups(self) -> Sequence[Group]:
        return (
            Group(
                _("What it is"),
                [
                    BikeName(
                        name="name",
                        label=_("Make and model"),
                        required=_("Please name the bike, in any words you like."),
                    ),
                    Whole(name="year", label=_("Year built"), low=1900, high=2100),
                    Choice(name="front", label=_("Front end"), choices=FrontArchitecture.choices),
                    Pick(
                        name="spring_leg",
                        label=_("Which leg has the spring?"),
                        choices=SPLIT_LEGS,
                        empty=_("not told"),
                        question="spring_leg",
                        only_if=IF_SPLIT,
                    ),
                    Pick(
                        name="damping_leg",
                        label=_("Which leg has the damping?"),
                        choices=SPLIT_LEGS,
                        empty=_("not told"),
                        question="damping_leg",
                        only_if=IF_SPLIT,
                    ),
                    Choice(name="rear", label=_("Rear end"), choices=RearArchitecture.choices),
                ],
            ),
            *turns.groups(),
            _tyre("front", _("Front tyre")),
            _tyre("rear", _("Rear tyre")),
            Group(
                _("Weights from the manual"),
                [
                    measure(
                        "bike_mass",
                        _("Bike, ready to ride"),
                        hint=_("With fuel and fluids: the kerb or wet weight."),
                        method="manual",
                    ),
                    measure(
                        "gross_mass_limit",
                        _("Highest permitted total"),
                        hint=_(
                            "On the maker's plate or in the papers. Above it there is no advice, only less luggage."
                        ),
                        method="manual",
                    ),
                ],
                layout="row",
            ),
            Group(
                _("Its history"),
                [
                    Choice(
                        name="fluid_age",
                        label=_("How old is the fork oil?"),
                        choices=FLUID_AGE,
                        question="fluid_age",
                        only_if=IF_FORK,
                    ),
                    LongText(name="service", label=_("Service: fork, shock, bearings"), longest=1000),
                    LongText(
                        name="modifications", label=_("What was changed from how it left the factory?"), longest=1000
                    ),
                ],
            ),
            Group(
                _("Springs, if you know them"),
                [
                    measure(
                        "spring_rate",
                        _("Fork spring, left leg"),
                        end="front",
                        leg="left",
                        hint=_("The figure of one spring, as stamped on it or on its bill."),
                        method="manual",
                        only_if=IF_FORK_SPRINGS,
                    ),
                    measure(
                        "spring_rate",
                        _("Fork spring, right leg"),
                        end="front",
                        leg="right",
                        method="manual",
                        only_if=IF_FORK_SPRINGS,
                    ),
                    measure("spring_rate", _("Shock spring"), end="rear", method="manual"),
                    measure(
                        "leverage",
                        _("Rear leverage: wheel travel per shock stroke"),
                        end="rear",
                        fixed_unit="1",
                        hint=_(
                            "With a linkage from the maker’s data, 2.6 for example. Two shocks, or one without linkage: along "
                            "the swingarm, from pivot to axle, divided by from pivot to the shock’s bolt; two shocks near the "
                            "axle have about 1.1."
                        ),
                        method="manual",
                        only_if=IF_LEVERAGE,
                    ),
                    measure(
                        "leverage_end",
                        _("The same at full travel, if it changes"),
                        end="rear",
                        fixed_unit="1",
                        method="manual",
                        only_if=IF_LINKAGE,
                    ),
                ],
                folded=True,
            ),
            Group(
                _("Geometry from the manual"),
                [
                    measure(
                        "rake", _("Rake (steering head angle from the vertical)"), fixed_unit="deg", method="manual"
                    ),
                    measure("ground_trail", _("Trail"), method="manual"),
                    measure("wheelbase", _("Wheelbase"), method="manual"),
                    measure(
                        "fork_offset",
                        _("Fork offset, yokes and axle together"),
                        method="manual",
                        signed=True,
                        only_if=IF_FORK,
                    ),
                    measure("wheel_radius", _("Front wheel radius"), end="front", method="tape"),
                    measure("wheel_radius", _("Rear wheel radius"), end="rear", method="tape"),
                    measure("swingarm_length", _("Swingarm, pivot to axle"), method="tape"),
                ],
                folded=True,
            ),
        )

    def initial(self, at: At) -> dict[str, str]:
        bike = at.request.bike
        described = {name: str(getattr(bike, name) or "") for name in BIKE_FIELDS}
        specs = self.specs(at)
        return described | turns.initial(at) | known_measures(at, specs) | known_answers(at, specs)

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        kept = {k: cleaned[k] for k in BIKE_FIELDS if cleaned[k] or k not in {"front", "rear"}}
        requests.describe_bike(at.request, **kept)
        store_measures(at, measures(specs), cleaned, values)
        store_answers(at, answers(specs), cleaned)
        turns.store(at, cleaned)
