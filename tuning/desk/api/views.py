"""The tuner's endpoints."""

from datetime import UTC
from typing import Any, cast

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api import reasons
from intake.api.base import TunerView, refusals, request_by
from intake.api.document import Strict
from intake.api.faults import Conflict, Faulty, prefixed
from intake.choices import Discipline, RequestState
from intake.models import Round, SetupRequest
from intake.models.requests import WrongState
from intake.services import requests
from tuning.desk import causes, practice, services, similar
from tuning.desk.api.causes import CausesSerializer
from tuning.desk.api.content import ContentSerializer
from tuning.desk.api.paging import QueuePagination
from tuning.desk.models import Recommendation
from tuning.engine.derivation import STATUSES
from tuning.engine.errors import EngineInputError


class QueuedSerializer(serializers.ModelSerializer[SetupRequest]):
    bike = serializers.CharField(source="bike.name")
    tuner = serializers.CharField(source="tuner.username", default="")
    state = serializers.ChoiceField(choices=RequestState.choices)
    discipline = serializers.ChoiceField(choices=Discipline.choices, allow_blank=True)
    round = serializers.IntegerField(source="current_round")

    class Meta:
        model = SetupRequest
        fields = (
            "reference", "state", "round", "discipline", "bike", "tuner", "waiting_since",
            "flag_stop", "flag_blocked", "flag_bottomed", "flag_words",
        )  # fmt: skip
        read_only_fields = fields


class QueueView(TunerView, ListAPIView[SetupRequest]):
    serializer_class = QueuedSerializer
    pagination_class = QueuePagination
    queryset = SetupRequest.objects.filter(waiting_since__isnull=False).select_related("bike", "tuner")

    @extend_schema(
        operation_id="list_queue",
        summary="Requests that wait for the shop, longest first",
        responses={200: QueuedSerializer(many=True)} | refusals(401, 404, 429),
    )
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return super().get(request, *args, **kwargs)


def last_sent_round(reference: str) -> Round:
    """Return the round the desk works on. Raises NotFound, or Conflict while nothing was sent."""
    rounds = Round.objects.filter(request=request_by(reference), sent_at__isnull=False).order_by("-number")
    round_ = rounds.select_related("request__client", "request__bike").first()
    if round_ is None:
        raise Conflict("not_sent", _("The client has not sent this request yet."))
    return round_


class TakeSerializer(Strict):
    """``over``: take it although a colleague has it."""

    over = serializers.BooleanField(default=False)


class TakeView(TunerView):
    @extend_schema(
        operation_id="take_request",
        summary="Take a request, or take it over from the colleague who has it",
        request=TakeSerializer,
        responses={200: QueuedSerializer} | refusals(400, 401, 403, 404, 409, 413, 415, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        serializer = TakeSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        taken = last_sent_round(reference).request
        try:
            requests.take(taken, self.tuner(), over=serializer.validated_data["over"])
        except requests.Taken as error:
            raise taken_by(error) from error
        except WrongState as error:
            raise Conflict("wrong_state", error) from error
        return Response(QueuedSerializer(taken).data)


def taken_by(error: requests.Taken) -> Conflict:
    """Return the refusal that names who has the request, as a value and in words."""
    return Conflict("taken_by_another", f"{error}.", path="tuner", value=error.holder.username)


class DerivedSerializer(serializers.Serializer[Any]):
    """A derived value with its 95 % half-width in ``unit``; ``status`` says whether it stands."""

    key = serializers.CharField()
    value = serializers.FloatField(allow_null=True)
    half_width = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    status = serializers.ChoiceField(choices=STATUSES)
    formula = serializers.CharField()


@extend_schema_serializer(component_name="DerivationResult")
class DerivationSerializer(serializers.Serializer[Any]):
    reference = serializers.CharField()
    round = serializers.IntegerField()
    engine_version = serializers.CharField()
    input_hash = serializers.CharField()
    values = DerivedSerializer(many=True)


class DerivationView(TunerView):
    @extend_schema(
        operation_id="derive",
        summary="What the engine makes of the round last sent",
        responses={200: DerivationSerializer} | refusals(401, 404, 409, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        round_ = last_sent_round(reference)
        try:
            row = services.derive_round(round_)
        except EngineInputError as error:
            raise Faulty(reasons.from_engine(error.faults), status=409) from error
        values = row.result["values"]
        answer = {
            "reference": reference,
            "round": round_.number,
            "engine_version": row.engine_version,
            "input_hash": row.input_hash,
            "values": list(values.values()) if isinstance(values, dict) else values,
        }
        return Response(DerivationSerializer(answer).data)


class CausesView(TunerView):
    @extend_schema(
        operation_id="list_causes",
        summary="What may lie behind the complaints of the round last sent, most likely first",
        responses={200: CausesSerializer} | refusals(401, 404, 409, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        round_ = last_sent_round(reference)
        try:
            row = services.derive_round(round_)
        except EngineInputError as error:
            raise Faulty(reasons.from_engine(error.faults), status=409) from error
        dossier = services.dossier(round_, row)
        judged = similar.with_evidence(dossier, similar.found_for(round_, dossier))
        answer = causes.document(round_, judged, practice.built(practice.current()))
        return Response(CausesSerializer(answer).data)


@extend_schema_serializer(component_name="Draft")
class DraftSerializer(serializers.Serializer[Any]):
    """A draft; ``lock`` must come back with the next save or approval."""

    reference = serializers.CharField(source="round.request.reference")
    round = serializers.IntegerField(source="round.number")
    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=Recommendation.State.choices)
    lock = serializers.IntegerField()
    changed_at = serializers.DateTimeField()
    changed_by = serializers.CharField(source="changed_by.username", default="", help_text="Who saved it last.")
    judgement_version = serializers.CharField()
    practice_version = serializers.IntegerField(
        source="practice.number", default=0, help_text="The shop's practice it was drafted by; 0 as shipped."
    )
    content = ContentSerializer()


@extend_schema_serializer(component_name="DraftChange")
class SaveSerializer(Strict):
    lock = serializers.IntegerField(min_value=1, max_value=2_000_000_000)
    content = ContentSerializer()


class LockSerializer(Strict):
    lock = serializers.IntegerField(min_value=1, max_value=2_000_000_000)


@extend_schema_serializer(component_name="Approved")
class ApprovedSerializer(serializers.Serializer[Any]):
    """The frozen document's number, hash and time of approval."""

    number = serializers.CharField()
    sha256 = serializers.CharField()
    approved_at = serializers.DateTimeField()


def open_draft_of(reference: str) -> Recommendation:
    """Return the open draft of the round last sent. Raises NotFound."""
    drafts = Recommendation.objects.filter(round=last_sent_round(reference), state=Recommendation.State.DRAFT)
    draft = drafts.select_related("round__request__client", "round__request__bike").first()
    if draft is None:
        raise NotFound
    return draft


def stale(error: services.StaleDraft) -> Conflict:
    current = error.current.lock
    said = _("%(who)s saved or approved this draft at %(when)s UTC; read it again. It stands at lock %(lock)d.")
    told = {
        "lock": current,
        "who": error.who or _("Somebody"),
        "when": f"{error.when.astimezone(UTC):%Y-%m-%d %H:%M}",
    }
    return Conflict("stale_lock", said % told, path="lock", value=current)


def unsound(error: services.UnsoundDraft, status: int) -> Faulty:
    return Faulty(prefixed("content", reasons.from_engine(error.faults)), status=status)


class DraftView(TunerView):
    @extend_schema(
        operation_id="get_draft",
        summary="The open draft",
        responses={200: DraftSerializer} | refusals(401, 404, 409, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        return Response(DraftSerializer(open_draft_of(reference)).data)

    @extend_schema(
        operation_id="open_draft",
        summary="Draft a recommendation, or return the open draft",
        request=None,
        responses={200: DraftSerializer} | refusals(401, 403, 404, 409, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        round_ = last_sent_round(reference)
        try:
            draft = services.open_draft(round_, self.tuner())
        except EngineInputError as error:
            raise Faulty(reasons.from_engine(error.faults), status=409) from error
        except WrongState as error:
            raise Conflict("wrong_state", error) from error
        return Response(DraftSerializer(draft).data)

    @extend_schema(
        operation_id="save_draft",
        summary="Save the draft as edited",
        request=SaveSerializer,
        responses={200: DraftSerializer} | refusals(400, 401, 403, 404, 409, 413, 415, 429),
    )
    def put(self, request: Request, reference: str) -> Response:
        serializer = SaveSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        draft = open_draft_of(reference)
        content = cast(dict[str, Any], serializer.data["content"])
        try:
            saved = services.save_draft(draft, content, serializer.validated_data["lock"], self.tuner())
        except services.StaleDraft as error:
            raise stale(error) from error
        except services.UnsoundDraft as error:
            raise unsound(error, 400) from error
        return Response(DraftSerializer(saved).data)


class ApproveView(TunerView):
    @extend_schema(
        operation_id="approve_draft",
        summary="Approve the draft: it is frozen, numbered and printed",
        description="Refused with 409 while a colleague has the request: take it over first.",
        request=LockSerializer,
        responses={200: ApprovedSerializer} | refusals(400, 401, 403, 404, 409, 413, 415, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        serializer = LockSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        draft = open_draft_of(reference)
        try:
            document = services.approve(draft, serializer.validated_data["lock"], self.tuner())
        except services.StaleDraft as error:
            raise stale(error) from error
        except services.UnsoundDraft as error:
            raise unsound(error, 409) from error
        except requests.Taken as error:
            raise taken_by(error) from error
        except WrongState as error:
            raise Conflict("wrong_state", error) from error
        answer = {
            "number": document.content()["number"],
            "sha256": document.sha256,
            "approved_at": document.approved_at,
        }
        return Response(ApprovedSerializer(answer).data)
