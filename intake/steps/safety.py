"""The stop gate: may this bike be ridden, and so tuned, at all?"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake import words
from intake.choices import Step
from intake.services import readings
from intake.steps.base import At, StepPage, answers
from intake.steps.fields import Choice, Field, Group
from intake.steps.known import known_answers
from tuning.engine.vocabulary import STOP_QUESTIONS

YES_NO_UNSURE = (("no", _("No")), ("yes", _("Yes")), ("unsure", _("Not sure")))


class SafetyPage(StepPage):
    id = Step.SAFETY.value
    about = _(
        "Nine questions before anything else. Walk once round the bike with them. “Not sure” is a good answer: "
        "your tuner will come back to it."
    )

    def title(self, at: At) -> Any:
        return _("Is the bike fit to ride?")

    def groups(self, at: At) -> Sequence[Group]:
        return (
            Group(
                _("As the bike stands today"),
                [
                    Choice(
                        name=question,
                        label=words.stop_question(question),
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
        for spec in answers(specs):
            readings.answer(at.round, spec.question, "", cleaned[spec.name])
