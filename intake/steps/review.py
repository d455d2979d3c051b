"""Everything on one page, the questions it raises, and the sending."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from intake.choices import Step
from intake.steps.base import At, StepPage
from intake.steps.fields import Field, Group, LongText, Tick


class ReviewPage(StepPage):
    id = Step.REVIEW.value
    about = _("Read it once more, as your tuner will.")
    template = "intake/review.html"

    def title(self, at: At) -> Any:
        return _("Look over and send")

    def groups(self, at: At) -> Sequence[Group]:
        return (
            Group(
                _("Before you send"),
                [
                    LongText(
                        name="doubt_note",
                        label=_("Anything you are not sure of?"),
                        hint=_(
                            "You can send with open questions. Say what you could not measure or do not trust, and your "
                            "tuner sees it beside the numbers."
                        ),
                    ),
                    Tick(
                        name="consent",
                        label=_(
                            "I have read this. Use what I sent to work out my set-up and keep it with my request; I can "
                            "ask for a copy, or for it to be erased, at any time."
                        ),
                        required=_("Nothing can be sent without your consent."),
                    ),
                ],
            ),
        )

    def store(self, at: At, cleaned: Mapping[str, Any], specs: Sequence[Field], values: Mapping[str, str]) -> None:
        at.request.consent_at = timezone.now()
        at.request.save(update_fields=["consent_at"])
