"""Sag: three lengths at each end."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.steps import asked
from intake.steps.base import At, StepPage, answers, measures
from intake.steps.fields import Choice, Field, Group, measure
from intake.steps.known import known_answers, known_measures
from intake.steps.safety import YES_NO_UNSURE
from intake.steps.store import store_answers, store_measures

FRONT_HOW = (
    _("Along the bare tube, from the dust seal to the clamp that the tube ends in: the same two points every time."),
    _(
        "Topped out: lift the front on a stand under the frame, wheel just off the ground. Then down, bounce once, bike upright."
    ),
    _("Alone: a cable tie on the tube, and a phone filming the tape while you sit on the bike beside a wall."),
)
REAR_HOW = (
    _("From the axle straight up to a mark on the tail: put tape there and use the same mark every time."),
    _("Topped out: lift the rear by frame or engine, not by the swingarm, until the wheel hangs free."),
    _("Alone: hang the tape from the mark with adhesive tape and film it; a hand on the wall, feet on the pegs."),
)
SECOND_HOW = (
    _("Press down, let it rise by itself, measure. Then lift, let it settle by itself, measure."),
    _("The difference is friction; the middle is the sag. Leave the plain reading above as it is."),
)
#: L2 by the load it is taken with.
ABOARD = {
    "solo": _("L2: rider aboard"),
    "solo_luggage": _("L2: rider aboard, luggage on"),
    "two_up": _("L2: rider and passenger aboard"),
    "two_up_luggage": _("L2: rider and passenger aboard, luggage on"),
}
ENDS = (("front", _("Front"), FRONT_HOW), ("rear", _("Rear"), REAR_HOW))


class SagPage(StepPage):
    id = Step.SAG.value
    about = _("Three lengths at each end. They tell more than everything else together.")
    about_later = _(
        "The same lengths again, between the same points. They show whether the change did what it should."
    )

    def title(self, at: At) -> Any:
        return _("Sag")

    def groups(self, at: At) -> Sequence[Group]:
        groups = self._levelling(at)
        aboard = ABOARD[asked.aboard(at)]
        for end, name, how in ENDS:
            groups.append(
                Group(
                    name,
                    [
                        measure(
                            "length_topped_out",
                            _("L0: topped out"),
                            end=end,
                            load_state="bike_alone",
                            hint=_("Wheel off the ground, suspension fully stretched."),
                        ),
                        measure(
                            "length_bike_alone",
                            _("L1: bike alone"),
                            end=end,
                            load_state="bike_alone",
                            hint=_("On its wheels, upright, nobody on it. Shorter than L0."),
                        ),
                        measure(
                            "length_rider_aboard",
                            aboard,
                            end=end,
                            load_state="rider",
                            hint=_("Full kit, riding posture, feet up, brakes off. Shorter than L1."),
                        ),
                    ],
                    how=how,
                    drawing=f"sag_{end}",
                )
            )
        for end, name, _how in ENDS:
            groups.append(
                Group(
                    _("%(end)s: measured twice, for friction") % {"end": name},
                    [
                        measure(quantity, label, end=end, load_state=load, approach=approach)
                        for quantity, load, labels in (
                            ("length_bike_alone", "bike_alone", L1_LABELS),
                            ("length_rider_aboard", "rider", L2_LABELS),
                        )
                        for approach, label in labels
                    ],
                    how=SECOND_HOW,
                    folded=True,
                    layout="row",
                )
            )
        return groups

    def _levelling(self, at: At) -> list[Group]:
        """Return what electronic ends are asked: lengths read while they still level themselves say nothing."""
        if "semi_active" not in (at.request.bike.front, at.request.bike.rear):
            return []
        return [
            Group(
                _("Before you measure"),
                [
                    Choice(
                        name="levelling_done",
                        label=_("Had the levelling finished when you measured?"),
                        hint=_("Ignition on, the mode you ride in, nobody touching it until nothing moves any more."),
                        choices=YES_NO_UNSURE,
                        across=True,
                        question="levelling_done",
                    )
                ],
            )
        ]

    def initial(self, at: At) -> dict[str, str]:
        specs = self.specs(at)
        return known_measures(at, specs) | known_answers(at, specs)

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        store_measures(at, measures(specs), cleaned, values)
        store_answers(at, answers(specs), cleaned)


L1_LABELS = (
    ("from_below", _("L1, pressed down and let rise")),
    ("from_above", _("L1, lifted and let settle")),
)
L2_LABELS = (
    ("from_below", _("L2, pressed down and let rise")),
    ("from_above", _("L2, lifted and let settle")),
)
