"""How requests, rounds and checks look in answers."""

from collections.abc import Mapping, Sequence
from typing import Any

from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers

from intake import words
from intake.choices import Done, RequestState
from intake.models import Message, Question, Reading, Round, SetupRequest
from intake.presentation import UnitPrefs
from intake.services import advice
from intake.services.requests import check_from_json
from tuning.engine.vocabulary import STOP_QUESTIONS

VERDICTS = ("passes", "second_look", "blocks")


class CheckSerializer(serializers.Serializer[Any]):
    """One test of the readings: its id, its verdict and what it asks, in the client's words and units."""

    id = serializers.CharField()
    verdict = serializers.ChoiceField(choices=VERDICTS)
    end = serializers.CharField(allow_blank=True)
    again = serializers.ListField(child=serializers.CharField(), help_text="Readings to take again: quantity.end")
    text = serializers.CharField()


class ReadingShownSerializer(serializers.ModelSerializer[Reading]):
    """A reading as typed, with its canonical value and rectangular half-width."""

    class Meta:
        model = Reading
        fields = (
            "quantity", "end", "leg", "load_state", "approach", "repeat", "text", "unit", "value", "half_width",
            "method",
        )  # fmt: skip
        read_only_fields = fields


class AdvisedSerializer(serializers.Serializer[Any]):
    """A change of the sheet before this round, as the sheet tells it, and the client's word on it ("" for none)."""

    key = serializers.CharField()
    title = serializers.CharField()
    from_text = serializers.CharField(allow_blank=True)
    to_text = serializers.CharField(allow_blank=True)
    done = serializers.ChoiceField(choices=Done.choices, allow_blank=True)
    note = serializers.CharField(allow_blank=True)


class RoundSerializer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    opened_at = serializers.DateTimeField()
    sent_at = serializers.DateTimeField(allow_null=True)
    words = serializers.CharField(allow_blank=True)
    doubt_note = serializers.CharField(allow_blank=True)
    checks = CheckSerializer(many=True)
    readings = ReadingShownSerializer(many=True)
    advised = AdvisedSerializer(many=True)


class QuestionSerializer(serializers.ModelSerializer[Question]):
    """One thing a message asks for: the step and the fields of the form that answer it, and whether it was."""

    round = serializers.IntegerField(source="round.number")
    fields_meant = serializers.ListField(source="fields", child=serializers.CharField())

    class Meta:
        model = Question
        fields = ("text", "round", "step", "fields_meant", "answered_at", "cannot")
        read_only_fields = fields


class MessageSerializer(serializers.ModelSerializer[Message]):
    author = serializers.SerializerMethodField(help_text="The tuner's name; empty for the client's own lines.")

    questions = QuestionSerializer(many=True, read_only=True)

    class Meta:
        model = Message
        fields = ("from_client", "author", "body", "step", "questions", "created_at")
        read_only_fields = fields

    def get_author(self, message: Message) -> str:
        return message.author.signature() if message.author else ""


@extend_schema_serializer(component_name="SetupRequest")
class SetupRequestSerializer(serializers.Serializer[Any]):
    reference = serializers.CharField()
    state = serializers.ChoiceField(choices=RequestState.choices)
    round = serializers.IntegerField(help_text="The round at work.")
    created_at = serializers.DateTimeField()
    state_changed_at = serializers.DateTimeField()
    rounds = RoundSerializer(many=True)
    messages = MessageSerializer(many=True)


@extend_schema_serializer(component_name="Created")
class CreatedSerializer(serializers.Serializer[Any]):
    """The new request. ``token`` is shown this once; it is what ``Authorization: Link <reference>:<token>`` takes."""

    reference = serializers.CharField()
    state = serializers.ChoiceField(choices=RequestState.choices)
    round = serializers.IntegerField()
    link = serializers.URLField(help_text="The private page, for a person.")
    token = serializers.CharField()
    stop = serializers.BooleanField(help_text="The stop gate holds: do not ride until it is seen to.")
    checks = CheckSerializer(many=True)


@extend_schema_serializer(component_name="RoundStanding")
class RoundStandingSerializer(serializers.Serializer[Any]):
    """The open round after something was added, or the round just sent."""

    reference = serializers.CharField()
    state = serializers.ChoiceField(choices=RequestState.choices)
    stop = serializers.BooleanField(help_text="The stop gate holds: do not ride until it is seen to.")
    stop_unanswered = serializers.ListField(
        child=serializers.ChoiceField(choices=STOP_QUESTIONS),
        help_text="Stop questions this round has not answered; it cannot be sent before.",
    )
    round = RoundSerializer()


def checks_of(rows: Sequence[Mapping[str, Any]], units: UnitPrefs) -> list[dict[str, Any]]:
    """Return stored checks with their words."""
    return [
        {
            "id": row["id"],
            "verdict": row["verdict"],
            "end": row["end"],
            "again": row["again"],
            "text": str(words.check_text(check_from_json(row), units)),
        }
        for row in rows
    ]


def round_of(round_: Round, checks: Sequence[Mapping[str, Any]], units: UnitPrefs) -> dict[str, Any]:
    """Return one round with its current readings and the checks given."""
    readings = [row for row in round_.readings.all() if row.is_current]
    return {
        "number": round_.number,
        "opened_at": round_.opened_at,
        "sent_at": round_.sent_at,
        "words": round_.words,
        "doubt_note": round_.doubt_note,
        "checks": checks_of(checks, units),
        "readings": sorted(readings, key=lambda row: row.pk),
        "advised": _advised(round_),
    }


def _advised(round_: Round) -> list[dict[str, str]]:
    said = {row.change: row for row in round_.followed.all()} if round_.advised else {}
    return [
        {
            "key": told["key"],
            "title": told["title"],
            "from_text": told["from_text"],
            "to_text": told["to_text"],
            "done": said[told["key"]].done if told["key"] in said else "",
            "note": said[told["key"]].note if told["key"] in said else "",
        }
        for told in advice.advised(round_)
    ]


def request_of(request: SetupRequest) -> dict[str, Any]:
    """Return the whole request as its client may see it."""
    units = UnitPrefs.of(request.client)
    rounds = request.rounds.order_by("number").prefetch_related("readings", "followed")
    return {
        "reference": request.reference,
        "state": request.state,
        "round": request.current_round,
        "created_at": request.created_at,
        "state_changed_at": request.state_changed_at,
        "rounds": [round_of(one, one.checks, units) for one in rounds],
        "messages": request.messages.select_related("author").prefetch_related("questions__round"),
    }
