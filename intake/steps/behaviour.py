"""How the bike behaves: complaints by phase of riding, and the client's own words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from intake import words
from intake.choices import SINCE, Step
from intake.models import Client, Symptom
from intake.services import readings, steps
from intake.steps.base import At, StepPage, answers
from intake.steps.fields import Choice, Field, Group, LongText, Pick
from intake.steps.known import known_answers
from intake.steps.store import store_answers
from tuning.engine.vocabulary import OFF_ROAD, SYMPTOMS

PHASES = {
    "braking": _("Braking"),
    "turn_in": _("Turning in"),
    "mid_corner": _("In the middle of the corner"),
    "exit": _("Driving out"),
    "straight": _("Straight ahead"),
    "bumps": _("Over bumps"),
    "landing": _("Landing"),
    "general": _("All the time"),
}
#: A phase that only some ride through is shown to them, and to whoever has told of it already.
ONLY_FOR = {"landing": OFF_ROAD | {"supermoto"}}
ENDS = (("front", _("front")), ("rear", _("rear")), ("", _("both, or cannot tell")))
SEVERITIES = (("1", _("slightly")), ("2", _("clearly")), ("3", _("badly")))
CHANGES = tuple((value, words.answer_name(value)) for value in SINCE)
CHAIN = (
    ("as_in_manual", _("As the manual says")),
    ("too_tight", _("Too tight")),
    ("too_loose", _("Too loose")),
    ("not_checked", _("Not checked, or no chain")),
)
STEERING_DAMPER = (
    ("not_fitted", _("None fitted")),
    ("set_soft", _("Set soft")),
    ("set_middle", _("In the middle")),
    ("set_hard", _("Set hard")),
)
OUTCOMES = (
    ("better", _("Better")),
    ("same", _("The same")),
    ("worse", _("Worse")),
    ("mixed", _("Better here, worse there")),
)
#: Complaints that belong to one end by what they say; the rest ask for the end, or are of the whole bike.
_FRONT = frozenset(
    {
        "brake_dive",
        "brake_bottoms",
        "chatter_braking",
        "slow_turn_in",
        "falls_in",
        "nervous_turn_in",
        "runs_wide_mid",
        "front_vague",
        "tucks",
        "chatter_mid",
        "headshake_exit",
        "twitchy",
    }
)
_REAR = frozenset(
    {
        "rear_hops_braking",
        "runs_wide_exit",
        "rear_squats",
        "rear_slides",
        "rear_kicks",
        "rear_skips_mid",
        "rear_skips_exit",
        "rear_tyre_torn",
        "rear_tyre_cold",
    }
)
_WHOLE = frozenset({"wallows", "weaves", "floats", "not_right"})


def own_end(symptom: str) -> str | None:
    """Return the end a complaint belongs to ("" the whole bike), or None when the client has to say."""
    if symptom in _FRONT:
        return "front"
    if symptom in _REAR:
        return "rear"
    return "" if symptom in _WHOLE else None


@dataclass(frozen=True, kw_only=True)
class Complaint(Field):
    """A complaint to tick, with its severity, and its end where that is not plain."""

    symptom: str
    kind: ClassVar[str] = "complaint"
    severities: ClassVar[Any] = SEVERITIES
    ends: ClassVar[Any] = ENDS

    @property
    def asks_end(self) -> bool:
        return own_end(self.symptom) is None

    def form_field(self, client: Client, values: Mapping[str, str]) -> forms.Field:
        return forms.BooleanField(**self.options())

    def more_fields(self) -> dict[str, forms.Field]:
        options: dict[str, Any] = {
            "required": False,
            "error_messages": {"invalid_choice": _("Please choose one of the answers.")},
        }
        return {
            f"{self.name}.severity": forms.ChoiceField(choices=SEVERITIES, **options),
            f"{self.name}.end": forms.ChoiceField(choices=ENDS, **options),
        }


class BehaviourPage(StepPage):
    id = Step.BEHAVIOUR.value
    template = "intake/behaviour.html"
    about = _("Tick what you notice. Three well chosen ones say more than twenty.")
    about_later = _("Ride the road you know. Say what got better, what did not, and what is new.")

    def title(self, at: At) -> Any:
        return _("How did it go?") if at.later else _("How it behaves")

    def groups(self, at: At) -> Sequence[Group]:
        groups = []
        if at.later:
            groups.append(self._since(at))
        hidden = self._hidden(at)
        for phase, symptoms in SYMPTOMS.items():
            if phase in hidden:
                continue
            groups.append(
                Group(
                    PHASES[phase],
                    [Complaint(name=f"s.{s}", label=words.symptom_name(s), symptom=s) for s in symptoms],
                    folded=at.later,
                )
            )
        groups.append(self._like_suspension(at))
        groups.append(
            Group(
                _("In your own words"),
                [
                    LongText(
                        name="words",
                        label=_("What happened, and where?"),
                        hint=_("One corner, one bump, one braking point described well is worth a page."),
                        longest=4000,
                    )
                ],
            )
        )
        return groups

    def _hidden(self, at: At) -> frozenset[str]:
        """Return the phases that this client does not ride through, unless they told of one."""
        hidden = {phase for phase, who in ONLY_FOR.items() if at.request.discipline not in who}
        if not hidden:
            return frozenset()
        about = [symptom for phase in hidden for symptom in SYMPTOMS[phase]]
        told = set(
            Symptom.objects.filter(round__request=at.request, symptom__in=about).values_list("symptom", flat=True)
        )
        draft = steps.latest_raw(at.round, self.id)
        told |= {symptom for symptom in about if draft and draft.fields.get(f"s.{symptom}")}
        return frozenset(phase for phase in hidden if not told & set(SYMPTOMS[phase]))

    def _like_suspension(self, at: At) -> Group:
        return Group(
            _("What can feel like suspension"),
            [
                Pick(
                    name="chain_slack",
                    label=_("The chain's slack, measured the way the manual tells"),
                    choices=CHAIN,
                    empty=_("not told"),
                    question="chain_slack",
                ),
                Pick(
                    name="steering_damper",
                    label=_("A steering damper"),
                    choices=STEERING_DAMPER,
                    empty=_("not told"),
                    question="steering_damper",
                ),
            ],
            folded=at.later,
        )

    def _since(self, at: At) -> Group:
        before = (
            Symptom.objects.filter(round__request=at.request, round__number__lt=at.round.number)
            .order_by("symptom", "end", "-round__number")
            .values_list("symptom", "end", "change")
        )
        last: dict[tuple[str, str], str] = {}
        for symptom, end, change in before:
            last.setdefault((symptom, end), change)
        fields: list[Field] = [
            Choice(
                name="outcome",
                label=_("All in all, is it"),
                choices=OUTCOMES,
                question="outcome",
                required=_("Please say whether the changes helped: your tuner decides the next step by it."),
            )
        ]
        for symptom, end in [of for of, change in last.items() if change != "gone"]:
            fields.append(
                Choice(
                    name=f"since.{symptom}.{end}".rstrip("."),
                    label=words.symptom_name(symptom),
                    choices=CHANGES,
                    across=True,
                )
            )
        return Group(_("Since the changes"), fields)

    def initial(self, at: At) -> dict[str, str]:
        start = {"words": at.round.words, **known_answers(at, self.specs(at))}
        for row in Symptom.objects.filter(round=at.round):
            if row.change:
                start[f"since.{row.symptom}.{row.end}".rstrip(".")] = row.change
            else:
                start |= {
                    f"s.{row.symptom}": "on",
                    f"s.{row.symptom}.severity": str(row.severity),
                    f"s.{row.symptom}.end": row.end,
                }
        return start

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        rows: dict[tuple[str, str], tuple[str, str, int, str]] = {}
        for spec in specs:
            if spec.name.startswith("since.") and cleaned[spec.name]:
                _since, symptom, *end = spec.name.split(".")
                of = (symptom, end[0] if end else "")
                earlier = (
                    Symptom.objects.filter(round__request=at.request, symptom=of[0], end=of[1])
                    .exclude(round=at.round)
                    .order_by("-round__number")
                    .first()
                )
                rows[of] = (*of, earlier.severity if earlier else 2, cleaned[spec.name])
            if isinstance(spec, Complaint) and cleaned[spec.name]:
                end_of = own_end(spec.symptom)
                of = (spec.symptom, cleaned[f"{spec.name}.end"] if end_of is None else end_of)
                change = rows[of][3] if of in rows else ""
                severity = int(cleaned[f"{spec.name}.severity"] or 2)
                rows[of] = (*of, severity, change)
        readings.put_symptoms(at.round, rows.values())
        at.round.words = cleaned["words"]
        at.round.save(update_fields=["words"])
        store_answers(at, answers(specs), cleaned)
