"""How much of the travel the ride used."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.steps.base import At, StepPage, answers, measures
from intake.steps.fields import Choice, Field, Group, Pick, measure
from intake.steps.known import known_answers, known_measures
from intake.steps.safety import YES_NO_UNSURE
from intake.steps.store import store_answers, store_measures
from tuning.engine.vocabulary import OFF_ROAD

RINGS = (("ring", _("A travel ring")), ("cable_tie", _("A cable tie I put on")), ("none", _("Nothing; guessed")))
SETTLE = (
    ("no_bounce", _("Comes up and stays")),
    ("one_bounce", _("Comes up, dips once")),
    ("many_bounces", _("Bounces on")),
    ("slow", _("Creeps up slowly")),
)
HARDNESS = tuple(
    (str(n), label)
    for n, label in enumerate(
        (_("1: a stroll"), _("2: easy"), _("3: normal"), _("4: hard"), _("5: as hard as it gets")), start=1
    )
)
FRONT_HOW = (
    _("A snug cable tie on the fork tube, pushed down against the seal before the ride; or the ring that is there."),
    _("Afterwards, topped out: measure from the seal to the tie. That is the deepest it went."),
    _("Push it back after loading the bike on a trailer: straps compress the fork and spoil the mark."),
)
REAR_HOW = (
    _("A cable tie on the shock shaft, or a ring if there is one; read it with the wheel hanging."),
    _(
        "If it is out of reach, leave it empty. Never put a hand between wheel, chain and swingarm with the engine on."
    ),
)
TERRAIN = (
    ("sand", _("Sand")),
    ("mud", _("Mud")),
    ("hard_ground", _("Hard ground")),
    ("mixed_ground", _("Some of each")),
)
ENDS = (("front", _("Front"), FRONT_HOW), ("rear", _("Rear"), REAR_HOW))


class TravelPage(StepPage):
    id = Step.TRAVEL.value
    about = _("A mark left by a ride shows what was used and what is still in reserve.")

    def title(self, at: At) -> Any:
        return _("Travel used")

    def groups(self, at: At) -> Sequence[Group]:
        ride = Group(
            _("The ride"),
            [
                Choice(
                    name="ride_hardness",
                    label=_("How hard was the hardest part of it?"),
                    choices=HARDNESS,
                    question="ride_hardness",
                ),
                *self._ground(at),
            ],
        )
        return (
            ride,
            *(self._end(end, name, how) for end, name, how in ENDS),
            *(self._settle(e, n) for e, n, _h in ENDS),
        )

    def _ground(self, at: At) -> list[Field]:
        if at.request.discipline not in OFF_ROAD:
            return []
        label, empty = _("On what ground?"), _("not told")
        return [Pick(name="terrain", label=label, choices=TERRAIN, empty=empty, question="terrain")]

    def _end(self, end: str, name: Any, how: Sequence[Any]) -> Group:
        return Group(
            name,
            [
                Choice(name=f"ring.{end}", label=_("What shows it?"), choices=RINGS, question="ring", end=end),
                measure(
                    "stroke",
                    _("Full stroke"),
                    end=end,
                    method="manual",
                    hint=_("The whole travel the mark can show, from the manual or measured with the spring out."),
                ),
                measure(
                    "deepest_normal",
                    _("Deepest on a normal hard ride"),
                    end=end,
                    method="ring",
                    hint=_("From topped out to the mark."),
                ),
                measure("deepest_hardest", _("Deepest at the hardest event"), end=end, method="ring"),
                Choice(
                    name=f"ring_true.{end}",
                    label=_("Was the mark pushed back just before that ride?"),
                    choices=YES_NO_UNSURE,
                    across=True,
                    question="ring_true",
                    end=end,
                ),
                Choice(
                    name=f"bottomed.{end}",
                    label=_("Did it bottom, with a bang or the mark at its end?"),
                    choices=YES_NO_UNSURE,
                    across=True,
                    question="bottomed",
                    end=end,
                ),
            ],
            how=how,
            drawing="ring" if end == "front" else "ring_rear",
        )

    def _settle(self, end: str, name: Any) -> Group:
        return Group(
            _("%(end)s: the settle test") % {"end": name},
            [
                Choice(
                    name=f"settle.{end}",
                    label=_("Push down hard once, let go. What does it do?"),
                    choices=SETTLE,
                    question="settle",
                    end=end,
                )
            ],
            how=[
                _("Bike upright, astride it or with a helper. Front: hold the front brake. Film it if you are alone.")
            ],
        )

    def initial(self, at: At) -> dict[str, str]:
        specs = self.specs(at)
        return known_measures(at, specs) | known_answers(at, specs)

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        store_measures(at, measures(specs), cleaned, values)
        store_answers(at, answers(specs), cleaned)
