"""The stop gate: may this bike be ridden, and so tuned, at all?"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake import words
from intake.case import stops_before
from intake.choices import Step
from intake.steps.base import At, StepPage, answers
from intake.steps.fields import Choice, Field, Group
from intake.steps.known import known_answers
from intake.steps.store import store_answers
from tuning.engine.vocabulary import STOP_QUESTIONS

YES_NO_UNSURE = (("no", _("No")), ("yes", _("Yes")), ("unsure", _("Not sure")))
_STILL = _("Last time you answered yes. Answer no only when it has been put right.")


class SafetyPage(StepPage):
    id = Step.SAFETY.value
    about = _(
        "Nine questions before anything else. Walk once round the bike with them. “Not sure” is a good answer: "
        "your tuner will come back to it."
    )
    about_later = _(
        "The same nine questions before every report. Walk once round the bike with them and answer for the bike as it "
        "stands today. “Not sure” is a good answer: your tuner will come back to it."
    )

    def title(self, at: At) -> Any:
        return _("Since your last report, has any of this come up?") if at.later else _("Is the bike fit to ride?")

    def groups(self, at: At) -> Sequence[Group]:
        told = stops_before(at.round) if at.later else frozenset()
        return (
            Group(
                _("As the bike stands today"),
                [
                    Choice(
                        name=question,
                        label=words.stop_question(question),
                        hint=_STILL if question in told else "",
                        choices=YES_NO_UNSURE,
                        across=True,
                        question=question,
                        required=_("Please answer this one too; “not sure” counts as an answer."),
                    )
                    for question in STOP_QUESTIONS
                ],
            ),
        )

    def initial(self, at: At) -> dict[str, str]:
        return known_answers(at, self.specs(at))

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        store_answers(at, answers(specs), cleaned)
