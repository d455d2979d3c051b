"""The request document, schema 1: the same shape for ``POST /api/v1/requests/`` and for ``manage.py sheet``.

Numbers that were read off a tool are sent as text, as typed ("1 3/8", "34,5"), with their unit beside them: the
writing tells the resolution. Unknown keys are refused, so that a misspelt one is not lost in silence.
"""

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from django.utils.translation import gettext_lazy as _
from rest_framework import serializers
from rest_framework.fields import SkipField, empty

from intake import choices
from intake.api import faults, reasons
from intake.document import content_faults
from tuning.engine.case import ADJUSTER_KINDS, ADJUSTER_UNITS
from tuning.engine.quantities import APPROACHES, ENDS, LEGS, LOAD_STATES, METHODS, QUANTITIES
from tuning.engine.units import UNITS
from tuning.engine.vocabulary import ANSWERS, STOP_QUESTIONS, SYMPTOM_IDS, YES_NO

SCHEMA = 1
MOST_READINGS = 200
MOST_ADJUSTERS = 40
MOST_ANSWERS = 60
MOST_SYMPTOMS = 60
LONGEST_NUMBER = 60
UNIT_IDS = tuple(UNITS)
ADJUSTER_KEY = rf"^(?:{'|'.join(ENDS)})\.(?:{'|'.join(ADJUSTER_KINDS)})(?:\.(?:{'|'.join(LEGS)}))?$"


class Strict(serializers.Serializer[Any]):
    """A serializer that says which keys it does not know."""

    def to_internal_value(self, data: Any) -> Any:
        errors: dict[str, Any] = {}
        if isinstance(data, Mapping):
            for key in data:
                if key not in self.fields:
                    errors[str(key)[:LONGEST_NUMBER]] = [
                        serializers.ErrorDetail(str(_("There is no such field here.")), code="unknown_field")
                    ]
        try:
            value = super().to_internal_value(data)
        except serializers.ValidationError as exc:
            if isinstance(exc.detail, Mapping):
                raise serializers.ValidationError({**exc.detail, **errors}) from exc
            raise
        if errors:
            raise serializers.ValidationError(errors)
        return value


class Text(serializers.CharField):
    """Text that may be left empty, never longer than ``max_length``, and kept as typed."""

    def __init__(self, max_length: int, **kwargs: Any) -> None:
        blank: dict[str, Any] = {"required": False, "allow_blank": True, "default": ""}
        super().__init__(max_length=max_length, **({} if kwargs.get("required") else blank) | kwargs)


class Choice(serializers.ChoiceField):
    """One of a vocabulary's ids; with ``optional``, empty for not given."""

    def __init__(self, ids: Any, *, optional: bool = False, **kwargs: Any) -> None:
        rest: dict[str, Any] = {"required": False, "allow_blank": True, "default": ""} if optional else {}
        super().__init__(choices=list(ids), **rest | kwargs)

    def to_internal_value(self, data: Any) -> Any:
        # Anything but text (a list, say) cannot be looked up among the choices.
        if not isinstance(data, str):
            self.fail("invalid_choice", input=type(data).__name__)
        return super().to_internal_value(data)


def many(of: Any, most: int, **kwargs: Any) -> Any:
    """Return a list of ``of`` with at most ``most`` members."""
    return of(many=True, max_length=most, **kwargs)


class Day(serializers.DateField):
    """A day as ISO 8601 writes it, kept as text in the document."""

    def to_internal_value(self, value: Any) -> Any:
        return super().to_internal_value(value).isoformat()


class UnitsSerializer(Strict):
    length = Choice(choices.LengthUnit.values, default="mm")
    mass = Choice(choices.MassUnit.values, default="kg")
    pressure = Choice(choices.PressureUnit.values, default="bar")
    rate = Choice(choices.RateUnit.values, default="N/mm")
    torque = Choice(choices.TorqueUnit.values, default="N.m")


class ClientSerializer(Strict):
    """How the client is reached and in which units they read."""

    name = Text(80)
    email = serializers.EmailField(max_length=254, required=False, allow_blank=True, default="")
    language = serializers.RegexField(r"^[A-Za-z]{2,3}(?:-[A-Za-z0-9]{2,6})?$", max_length=10, default="en")
    units = UnitsSerializer(required=False, default=dict)
    paper = Choice(choices.Paper.values, default="A4")


class AimSerializer(Strict):
    """What the client wants, can do, and can pay for."""

    discipline = Choice(choices.Discipline.values)
    pace = Choice(choices.Pace.values, optional=True)
    words = Text(2000)
    skill = Choice(choices.Skill.values, default=choices.Skill.ADJUSTERS)
    budget = Choice(choices.Budget.values, default=choices.Budget.NONE)
    event_date = Day(required=False, allow_null=True, default=None)


class BikeSerializer(Strict):
    """The bike; its numbers (stroke, rake, masses …) are readings."""

    name = Text(80)
    year = serializers.IntegerField(min_value=1885, max_value=2100, required=False, allow_null=True, default=None)
    front = Choice(choices.FrontArchitecture.values, default=choices.FrontArchitecture.COIL)
    rear = Choice(choices.RearArchitecture.values, default=choices.RearArchitecture.LINKAGE)
    front_tyre = Text(40)
    rear_tyre = Text(40)
    service = Text(1000)
    modifications = Text(1000)


class ReadingSerializer(Strict):
    """One measured number, as typed."""

    quantity = Choice(tuple(QUANTITIES))
    end = Choice(ENDS, optional=True)
    leg = Choice(LEGS, optional=True)
    load_state = Choice(LOAD_STATES, optional=True)
    approach = Choice(APPROACHES, default="as_is")
    repeat = serializers.IntegerField(min_value=1, max_value=9, default=1)
    value = serializers.CharField(max_length=LONGEST_NUMBER, help_text=_("As typed: 34.5, 1 3/8, 12,5"))
    unit = Choice(UNIT_IDS)
    method = Choice(tuple(METHODS), optional=True)


class AdjusterSerializer(Strict):
    """One adjuster of the bike and where it was found. ``found`` empty: not counted."""

    key = serializers.RegexField(ADJUSTER_KEY, max_length=40, help_text=_("end.kind or end.kind.leg"))
    unit = Choice(ADJUSTER_UNITS)
    counted_from = Choice(("closed", "open"), default="closed")
    range_counted = Text(LONGEST_NUMBER)
    step_mm = Text(LONGEST_NUMBER)
    found = Text(LONGEST_NUMBER)
    mode = Text(40)


class AnswerSerializer(Strict):
    """A question answered by choice; which values a question has is told when one does not fit."""

    question = Choice(tuple(ANSWERS))
    end = Choice(ENDS, optional=True)
    value = Choice(sorted({value for values in ANSWERS.values() for value in values}))

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        allowed = ANSWERS[attrs["question"]]
        if attrs["value"] not in allowed:
            said = _("This question is answered by one of: %(allowed)s.") % {"allowed": ", ".join(allowed)}
            raise serializers.ValidationError({"value": [serializers.ErrorDetail(said, code="invalid_choice")]})
        return attrs


class SymptomSerializer(Strict):
    id = Choice(sorted(SYMPTOM_IDS))
    end = Choice(ENDS, optional=True)
    severity = serializers.IntegerField(min_value=1, max_value=3, default=2)


class StopSerializer(Strict):
    """The stop gate. A question that is left out is not answered with no: it stays open."""

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        return {question: Choice(YES_NO, optional=True) for question in STOP_QUESTIONS}


class RequestDocumentSerializer(Strict):
    """A whole setup request."""

    schema = serializers.IntegerField(min_value=SCHEMA, max_value=SCHEMA, default=SCHEMA)
    client = ClientSerializer(required=False, default=dict)
    aim = AimSerializer()
    stop = StopSerializer(required=False, default=dict)
    bike = BikeSerializer(required=False, default=dict)
    load_state = Choice([state for state in LOAD_STATES if state != "bike_alone"], default="solo")
    readings = many(ReadingSerializer, MOST_READINGS, required=False, default=list)
    adjusters = many(AdjusterSerializer, MOST_ADJUSTERS, required=False, default=list)
    answers = many(AnswerSerializer, MOST_ANSWERS, required=False, default=list)
    symptoms = many(SymptomSerializer, MOST_SYMPTOMS, required=False, default=list)
    words = Text(4000)
    doubt_note = Text(2000)
    consent = serializers.BooleanField(default=False)
    send = serializers.BooleanField(default=True)


def complete(document: object, **given: Any) -> dict[str, Any]:
    """Return the document with its defaults filled in, and with ``given`` in the place of what it says itself.

    Raises ValidationError with every fault of its shape, and of the content of what can be read all the same.
    """
    filled, wrong = read(RequestDocumentSerializer, document)
    filled |= given
    if wrong:
        content = content_faults(filled, unread={fault["path"] for fault in wrong})
        raise faults.Faulty([*wrong, *reasons.from_engine(content)])
    for part, of in (("client", ClientSerializer), ("bike", BikeSerializer), ("stop", StopSerializer)):
        filled[part] = _with_defaults(of, filled.get(part) or {})
    filled["stop"] = {question: answer for question, answer in filled["stop"].items() if answer}
    filled["client"]["units"] = _with_defaults(UnitsSerializer, filled["client"]["units"])
    return filled


def read(of: type[Strict], document: object) -> tuple[dict[str, Any], list[faults.Fault]]:
    """Return what a document says, and the faults of its shape; where it has any, what can be read in spite of them.

    Raises ValidationError for what is no document at all.
    """
    serializer = of(data=document)
    if not isinstance(document, Mapping) or serializer.is_valid():
        serializer.is_valid(raise_exception=True)
        plain: dict[str, Any] = _plain(serializer.validated_data)
        return plain, []
    return _readable(serializer, document), faults.from_serializer(serializer.errors, document)


def _readable(serializer: Strict, document: Mapping[str, Any]) -> dict[str, Any]:
    """Return what can be read. A member of a list that cannot be is None, so that the others keep their place."""
    found: dict[str, Any] = {}
    for name, field in serializer.fields.items():
        raw = document.get(name, empty)
        if isinstance(field, serializers.ListSerializer):
            if isinstance(raw, list) and len(raw) <= getattr(field, "max_length", 0):
                found[name] = [_member(type(field.child), row) for row in raw]
        elif isinstance(field, Strict):
            found[name] = _readable(field, raw if isinstance(raw, Mapping) else {})
        else:
            with suppress(serializers.ValidationError, SkipField):
                found[name] = _plain(field.run_validation(raw))
    return found


def _member(of: Any, row: object) -> dict[str, Any] | None:
    serializer = of(data=row)
    return _plain(serializer.validated_data) if serializer.is_valid() else None


def _with_defaults(of: type[Strict], given: dict[str, Any]) -> dict[str, Any]:
    """A part left out as a whole has the same defaults as an empty one."""
    serializer = of(data=given)
    serializer.is_valid(raise_exception=True)
    plain: dict[str, Any] = _plain(serializer.validated_data)
    return plain


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_plain(inner) for inner in value]
    return value
