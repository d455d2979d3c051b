"""The shape of the ranked causes in the API: what ``tuning.desk.causes.document`` returns."""

from typing import Any

from drf_spectacular.utils import extend_schema_serializer
from rest_framework import serializers

from intake.choices import Step
from tuning.engine.quantities import ENDS


class StatementSerializer(serializers.Serializer[Any]):
    id = serializers.CharField()
    text = serializers.CharField()


@extend_schema_serializer(component_name="CauseEvidence")
class EvidenceSerializer(serializers.Serializer[Any]):
    """A sign that spoke, in the state it showed; ``weight`` above zero for the cause, below against it."""

    sign = serializers.CharField()
    end = serializers.ChoiceField(choices=ENDS, allow_blank=True)
    state = serializers.CharField()
    weight = serializers.FloatField()
    rule = serializers.CharField(help_text="The rule or kind of cause that listens to it.")
    text = serializers.CharField()


@extend_schema_serializer(component_name="Cause")
class CauseSerializer(serializers.Serializer[Any]):
    """``score`` compares causes of this case only, no probability. ``standing``: 5 for the first, 1 far behind."""

    key = serializers.CharField()
    id = serializers.CharField()
    end = serializers.ChoiceField(choices=ENDS, allow_blank=True)
    rank = serializers.IntegerField(min_value=1)
    score = serializers.FloatField()
    prior = serializers.FloatField()
    standing = serializers.IntegerField(min_value=1, max_value=5)
    inspect = serializers.BooleanField(help_text="To be looked at before anything is adjusted.")
    name = serializers.CharField()
    standing_text = serializers.CharField()
    statements = StatementSerializer(many=True)
    symptoms = serializers.ListField(child=serializers.CharField())
    evidence_for = EvidenceSerializer(many=True)
    evidence_against = EvidenceSerializer(many=True)
    rules = serializers.ListField(child=serializers.CharField())
    sources = serializers.ListField(child=serializers.CharField())
    opposed_by = serializers.ListField(
        child=serializers.CharField(), help_text="Keys of causes that say the opposite."
    )


@extend_schema_serializer(component_name="CauseDecider")
class DeciderSerializer(serializers.Serializer[Any]):
    """The unknown sign whose states ``turns`` would put the second cause ahead of the first."""

    sign = serializers.CharField()
    end = serializers.ChoiceField(choices=ENDS, allow_blank=True)
    ask = serializers.CharField()
    swing = serializers.FloatField()
    turns = serializers.ListField(child=serializers.CharField())
    between = serializers.ListField(child=serializers.CharField())
    step = serializers.ChoiceField(choices=Step.choices, allow_blank=True)
    text = serializers.CharField()
    turns_text = serializers.ListField(child=serializers.CharField())


@extend_schema_serializer(component_name="Causes")
class CausesSerializer(serializers.Serializer[Any]):
    reference = serializers.CharField()
    round = serializers.IntegerField()
    judgement_version = serializers.CharField()
    causes = CauseSerializer(many=True)
    decide = DeciderSerializer(allow_null=True)
