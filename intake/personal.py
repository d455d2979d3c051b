"""The register of personal data: every text field of our records is either personal, with what happens to it on
erasure, or said not to be. System check ``farpaddock.E010`` finds a field that was forgotten."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.core.checks import CheckMessage, Error, Tags, register
from django.db import models

OUR_APPS = ("intake", "desk", "reports")


@dataclass(frozen=True, slots=True)
class Personal:
    """A personal field: why it is kept, and what erasure does: "blank" it, or "drop" the row."""

    purpose: str
    on_erasure: str


CLIENT = Personal("to reach the client and address them", "blank")
WORDS = Personal("the client's own words about the bike", "blank")
ROUND = Personal("the client's own words in a round", "drop")
SEEN = Personal("photos and a video of the bike, and what the client says is to be seen", "drop")
TALK = Personal("the conversation", "drop")
MAIL = Personal("mails sent to the client", "drop")
STAFF = Personal("to log in and to sign sheets", "blank")
# A tuner's own words may name the client anywhere in them, so that nothing short of dropping them is certain; what is
# kept of a sheet is its number and its fingerprint, in the event that tells of the erasure.
FROZEN = Personal("the advice, drafted and approved, as proof of what was recommended", "drop")

PERSONAL: dict[str, Personal] = {
    "intake.Client.name": CLIENT,
    "intake.Client.email": CLIENT,
    "intake.SetupRequest.aim": WORDS,
    "intake.Round.doubt_note": ROUND,
    "intake.Round.words": ROUND,
    "intake.Round.advised": FROZEN,
    "intake.Followed.note": ROUND,
    "intake.Bike.name": WORDS,
    "intake.Bike.service": WORDS,
    "intake.Bike.modifications": WORDS,
    "intake.StepDraft.fields": ROUND,
    "intake.Photo.file": SEEN,
    "intake.Photo.sha256": SEEN,
    "intake.Photo.alt": SEEN,
    "intake.Message.body": TALK,
    "intake.Question.text": TALK,
    "intake.Question.cannot": TALK,
    "intake.OutboxMail.to": MAIL,
    "intake.OutboxMail.subject": MAIL,
    "intake.OutboxMail.body": MAIL,
    "intake.OutboxMail.error": MAIL,
    "intake.User.username": STAFF,
    "intake.User.first_name": STAFF,
    "intake.User.last_name": STAFF,
    "intake.User.email": STAFF,
    "intake.User.password": STAFF,
    "intake.User.display_name": STAFF,
    "desk.Recommendation.content": FROZEN,
    "desk.ApprovedDocument.text": FROZEN,
    "reports.Sheet.file": FROZEN,
}
NOT_PERSONAL: frozenset[str] = frozenset(
    {
        "intake.Client.language",
        "intake.SetupRequest.reference",
        "intake.Round.checks",
        "intake.Bike.front_tyre",
        "intake.Bike.rear_tyre",
        "intake.Bike.from_catalogue",
        "intake.CatalogueBike.make",
        "intake.CatalogueBike.model",
        "intake.CatalogueBike.search",
        "intake.CatalogueBike.adjusters",
        "intake.CatalogueBike.values",
        "intake.CatalogueBike.note",
        "intake.CatalogueChange.name",
        "intake.CatalogueChange.columns",
        "intake.Adjuster.key",
        "intake.Adjuster.kind",
        "intake.Adjuster.end",
        "intake.Adjuster.leg",
        "intake.Adjuster.place",
        "intake.Adjuster.unit",
        "intake.Adjuster.counted_from",
        "intake.Setting.mode",
        "intake.Setting.text",
        "intake.Reading.quantity",
        "intake.Reading.end",
        "intake.Reading.leg",
        "intake.Reading.load_state",
        "intake.Reading.approach",
        "intake.Reading.text",
        "intake.Reading.unit",
        "intake.Reading.method",
        "intake.Reading.parser_version",
        "intake.Answer.question",
        "intake.Answer.end",
        "intake.Answer.value",
        "intake.Symptom.symptom",
        "intake.Symptom.end",
        "intake.Symptom.change",
        "intake.Followed.change",
        "intake.Question.fields",
        "intake.Question.key",
        "intake.Event.kind",
        "intake.Event.params",
        "intake.OutboxMail.kind",
        "desk.Derivation.input_hash",
        "desk.Derivation.engine_version",
        "desk.Derivation.result",
        "desk.Recommendation.judgement_version",
        "desk.Recommendation.proposed",
        "desk.Recommendation.causes",
        "desk.RuleTally.rule",
        "desk.PracticeVersion.content",
        "desk.PracticeVersion.why",
        "desk.SettledCase.model_key",
        "desk.SettledCase.load_state",
        "desk.SettledCase.figures",
        "desk.SettledCase.symptoms",
        "desk.SettledCase.start",
        "desk.SettledCase.end",
        "desk.SettledCase.outcome",
        "desk.ApprovedDocument.sha256",
        "reports.Job.language",
        "reports.Job.error_code",
        "reports.Job.error",
        "reports.Sheet.sha256",
    }
)
_TEXT = (models.CharField, models.TextField, models.JSONField, models.FileField)


def text_fields() -> Iterator[str]:
    """Yield every field of our records that can hold somebody's words, as ``app.Model.field``; a field with a
    fixed list of choices cannot."""
    for label in OUR_APPS:
        for model in apps.get_app_config(label).get_models():
            for field in model._meta.get_fields():
                if isinstance(field, _TEXT) and not getattr(field, "choices", None):
                    yield f"{label}.{model.__name__}.{field.name}"


@register(Tags.models)
def every_text_field_is_registered(app_configs: Any, **kwargs: Any) -> list[CheckMessage]:
    """farpaddock.E010: a text field is neither in the register of personal data nor said not to be personal;
    farpaddock.E011: the register names a field that does not exist."""
    fields = set(text_fields())
    told = set(PERSONAL) | NOT_PERSONAL
    forgotten = [
        Error(
            f"{name} is not in the personal-data register", hint="Add it to intake/personal.py.", id="farpaddock.E010"
        )
        for name in sorted(fields - told)
    ]
    stale = [
        Error(f"the personal-data register names {name}, which is no text field", id="farpaddock.E011")
        for name in sorted(told - fields)
    ]
    return [*forgotten, *stale]
