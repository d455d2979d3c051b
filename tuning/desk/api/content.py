"""The content of a draft as the API reads and writes it; ``tuning.desk.drafting`` tells what it means."""

from typing import Any

from django.core.validators import ProhibitNullCharactersValidator
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.validators import ProhibitSurrogateCharactersValidator

from intake.api.document import UNIT_IDS, Choice, Strict, Text, many
from tuning.desk.drafting import SCHEMA
from tuning.engine.case import ADJUSTER_UNITS
from tuning.engine.quantities import ENDS, LEGS
from tuning.judgement.model import SKILLS
from tuning.judgement.tree import GOTO, STEPS
from tuning.judgement.tree import MOST as MOST_STEPS
from tuning.judgement.waybook import COSTS, KINDS

MOST_CHANGES = 30
MOST_IDS = 30
MOST_SAID = 60
CHANGE_UNITS = tuple(sorted({*UNIT_IDS, *ADJUSTER_UNITS}))
_FAR = 1e6


@extend_schema_field(OpenApiTypes.ANY)
class Scalar(serializers.Field[Any, Any, Any, Any]):
    """A number, a short text, yes or no, nothing, or a list of such."""

    default_error_messages = {"invalid": "A number, a short text, true, false, null or a list of these is wanted."}

    def to_internal_value(self, data: Any, depth: int = 0) -> Any:
        if data is None or isinstance(data, bool):
            return data
        if isinstance(data, int | float) and abs(data) <= 1e12:
            return data
        if isinstance(data, str) and len(data) <= 200:
            ProhibitNullCharactersValidator()(data)
            ProhibitSurrogateCharactersValidator()(data)
            return data
        if isinstance(data, list) and depth == 0 and len(data) <= MOST_IDS:
            return [self.to_internal_value(inner, 1) for inner in data]
        self.fail("invalid")

    def to_representation(self, value: Any) -> Any:
        return value


class Ids(serializers.ListField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(child=serializers.CharField(max_length=60), max_length=MOST_IDS, default=list, **kwargs)


class SaidSerializer(Strict):
    """A sentence by id with its parameters."""

    id = serializers.CharField(max_length=60)
    params = serializers.DictField(child=Scalar(allow_null=True), default=dict)


class OwnWordsSerializer(Strict):
    """The tuner's own words; empty: the template's."""

    title = Text(200)
    why = Text(2000)
    how = Text(2000)


class ChangeSerializer(Strict):
    key = serializers.CharField(max_length=60)
    kind = serializers.CharField(max_length=40)
    end = Choice(ENDS, optional=True)
    leg = Choice(LEGS, optional=True)
    adjuster = Text(40)
    start = serializers.FloatField(min_value=-_FAR, max_value=_FAR, allow_null=True, default=None)
    target = serializers.FloatField(min_value=-_FAR, max_value=_FAR, allow_null=True, default=None)
    unit = Choice(CHANGE_UNITS, optional=True)
    why = many(SaidSerializer, MOST_SAID, required=False, default=list)
    how = Ids()
    verify = Ids()
    cautions = Ids()
    critical = Ids()
    skill = Choice(SKILLS, default="adjusters")
    have_it_done = serializers.BooleanField(default=False)
    rule = Text(60)
    together = Text(60)
    compromise = serializers.BooleanField(default=False)
    text = OwnWordsSerializer(required=False, default=dict)


class PredictionSerializer(Strict):
    key = serializers.CharField(max_length=60)
    value = serializers.FloatField(min_value=-_FAR, max_value=_FAR)
    half_width = serializers.FloatField(min_value=0, max_value=_FAR)
    unit = Choice(UNIT_IDS)


class OptionSerializer(Strict):
    """One way to go. Options come with a draft; what is sent back of them is not read."""

    kind = Choice(KINDS)
    changes = many(ChangeSerializer, MOST_CHANGES)
    predictions = many(PredictionSerializer, MOST_SAID, required=False, default=list)
    skill = Choice(SKILLS)
    tools = Ids()
    cost = Choice(COSTS)
    have_it_done = serializers.BooleanField(default=False)
    over_budget = serializers.BooleanField(default=False)
    gives_up = many(SaidSerializer, MOST_SAID, required=False, default=list)
    says = many(SaidSerializer, MOST_SAID, required=False, default=list)
    ways = Ids()


class BranchSerializer(Strict):
    """When ``condition`` holds: go on, put back, or stop and report; ``to``: id of the step to go on with, or ""."""

    condition = SaidSerializer()
    goto = Choice(GOTO)
    to = Text(60)


class StepSerializer(Strict):
    """A step: its changes by key, how it is ridden, when it is stopped, and what then."""

    id = serializers.CharField(max_length=60)
    kind = Choice(STEPS)
    changes = Ids()
    why = many(SaidSerializer, MOST_SAID, required=False, default=list)
    ride_test = Ids()
    stop = many(SaidSerializer, MOST_SAID, required=False, default=list)
    branches = many(BranchSerializer, MOST_STEPS * 2, required=False, default=list)
    rule = Text(60)


class TreeSerializer(Strict):
    """Steps in order. Of what is sent back, the steps that are left and their order are read; all else is worked out
    anew from the changes."""

    steps = many(StepSerializer, MOST_STEPS)
    changes = many(ChangeSerializer, MOST_CHANGES, required=False, default=list)


class ContentSerializer(Strict):
    """A whole draft. Drafts of schema 1 have neither options nor a tree."""

    schema = serializers.IntegerField(min_value=1, max_value=SCHEMA, default=SCHEMA)
    changes = many(ChangeSerializer, MOST_CHANGES)
    predictions = many(PredictionSerializer, MOST_SAID, required=False, default=list)
    stop = many(SaidSerializer, MOST_SAID, required=False, default=list)
    questions = many(SaidSerializer, MOST_SAID, required=False, default=list)
    notes = many(SaidSerializer, MOST_SAID, required=False, default=list)
    ride_test = Ids()
    tuner_note = Text(4000)
    options = many(OptionSerializer, len(KINDS), required=False)
    tree = TreeSerializer(required=False, allow_null=True)
    set_aside = many(
        ChangeSerializer, MOST_CHANGES, required=False, help_text="Changes that an option took the place of."
    )

    def to_representation(self, instance: Any) -> Any:
        """Return the draft; a tree that is not told is left out, since none (null) would say that it was dropped."""
        told = super().to_representation(instance)
        if "tree" not in instance:
            told.pop("tree", None)
        return told
