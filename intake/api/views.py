"""The client's endpoints."""

from typing import Any

from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from config.throttling import ApiCreateThrottle
from intake import links
from intake.api import reasons, shown
from intake.api.base import ClientView, PublicView, refusals
from intake.api.document import RequestDocumentSerializer, Strict, Text, complete, read
from intake.api.faults import Conflict, Faulty
from intake.api.report import ReportSerializer, record
from intake.case import partial_checks
from intake.choices import Purpose
from intake.document import DocumentError, accept
from intake.models import Round, SetupRequest
from intake.models.requests import WrongState
from intake.presentation import UnitPrefs
from intake.services import requests
from intake.services.requests import NotReady, check_to_json


class RequestsView(PublicView):
    throttle_classes = (ApiCreateThrottle,)

    @extend_schema(
        operation_id="create_request",
        summary="Create a setup request",
        request=RequestDocumentSerializer,
        responses={201: shown.CreatedSerializer} | refusals(400, 413, 415, 429),
        auth=[],
    )
    def post(self, request: Request) -> Response:
        try:
            made = accept(complete(request.data))
        except DocumentError as error:
            raise Faulty(reasons.document_faults(error)) from error
        made.refresh_from_db()
        with translation.override(made.client.language):
            return Response(shown.CreatedSerializer(_created(made)).data, status=201)


def _created(made: SetupRequest) -> dict[str, Any]:
    checks = [check_to_json(check) for check in partial_checks(made.round())]
    return {
        "reference": made.reference,
        "state": made.state,
        "round": made.current_round,
        "link": links.link(made, Purpose.FULL),
        "token": links.token(made, Purpose.FULL),
        "stop": made.flag_stop,
        "checks": shown.checks_of(checks, UnitPrefs.of(made.client)),
    }


class RequestView(ClientView):
    @extend_schema(
        operation_id="get_request",
        summary="State, rounds, checks and messages of a request",
        responses={200: shown.SetupRequestSerializer} | refusals(401, 404, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        asked = self.setup_request()
        with translation.override(asked.client.language):
            return Response(shown.SetupRequestSerializer(shown.request_of(asked)).data)


class ReadingsView(ClientView):
    @extend_schema(
        operation_id="add_readings",
        summary="Add stop answers, readings, settings, answers and words to the open round",
        description=(
            "All or nothing. A reading of the same key supersedes the one before. The stop gate is asked anew in "
            "every round: until `stop` holds yes, no or unsure for each of its nine questions, the round cannot be "
            "sent. `stop` in the answer is true when one was answered with yes: do not ride until it is seen to; "
            "`stop_unanswered` names the questions still open. A no to what an earlier round answered with yes says "
            "that it has been put right."
        ),
        request=ReportSerializer,
        responses={200: shown.RoundStandingSerializer} | refusals(400, 401, 404, 409, 413, 415, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        report, wrong = read(ReportSerializer, request.data)
        with transaction.atomic():
            round_ = _open_round(self.setup_request())
            record(round_, report, wrong)
        return _standing(round_)


class SendSerializer(Strict):
    doubt_note = Text(2000)


class SendView(ClientView):
    @extend_schema(
        operation_id="send_round",
        summary="Send the open round to the shop",
        description="Refused with one fault, at `stop.<question>`, per stop question this round has not answered.",
        request=SendSerializer,
        responses={200: shown.RoundStandingSerializer} | refusals(400, 401, 404, 409, 413, 415, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        serializer = SendSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        try:
            with transaction.atomic():
                round_ = _open_round(self.setup_request())
                requests.send_round(round_, doubt_note=serializer.validated_data["doubt_note"])
        except NotReady as error:
            raise Faulty(reasons.not_ready(error)) from error
        except WrongState as error:
            raise Conflict("wrong_state", error) from error
        return _standing(round_)


def _open_round(asked: SetupRequest) -> Round:
    """Return the round the client may fill in, held until the transaction ends. Raises Conflict."""
    held = SetupRequest.objects.select_for_update().get(pk=asked.pk)
    rounds = Round.objects.filter(request=held, number=held.current_round)
    round_ = rounds.select_related("request__client", "request__bike").get()
    if round_.sent_at is not None:
        raise Conflict("no_open_round", _("The round was sent; the next opens with the next sheet."))
    return round_


def _standing(round_: Round) -> Response:
    asked = round_.request
    partial = partial_checks(round_)
    checks = [check_to_json(check) for check in partial]
    with translation.override(asked.client.language):
        standing = {
            "reference": asked.reference,
            "state": asked.state,
            "stop": requests.must_stop(round_, partial),
            "stop_unanswered": requests.stop_unanswered(round_),
            "round": shown.round_of(round_, checks, UnitPrefs.of(asked.client)),
        }
        return Response(shown.RoundStandingSerializer(standing).data)
