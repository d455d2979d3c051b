"""What every view of the API shares: bounded JSON, throttles that count before anything is looked up, one fault
shape."""

import math
from collections.abc import Sequence
from typing import Any, cast

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import Http404
from drf_spectacular.utils import OpenApiResponse, extend_schema_serializer
from rest_framework import exceptions, serializers
from rest_framework.permissions import AllowAny, IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle
from rest_framework.views import APIView, set_rollback

from config.throttling import ApiThrottle
from intake.api import faults
from intake.api.authentication import TUNER, HoldsLink, LinkAuthentication
from intake.api.parsers import BodyTooLarge, BoundedJSONParser
from intake.models import SetupRequest, User
from intake.reference import PATTERN


class FaultSerializer(serializers.Serializer[Any]):
    """One thing that is wrong: where, what stood there, why it cannot stay, as an id and in words."""

    path = serializers.CharField()
    value = serializers.JSONField()
    reason = serializers.CharField()
    message = serializers.CharField()


@extend_schema_serializer(component_name="Faults")
class FaultsSerializer(serializers.Serializer[Any]):
    faults = FaultSerializer(many=True)


def refusals(*statuses: int) -> dict[int, OpenApiResponse]:
    """Return the schema of the error answers with these statuses."""
    said = {
        400: "The body is not JSON or not the document asked for; every fault is listed.",
        401: "No credentials.",
        403: "Not allowed.",
        404: "There is no such thing here, or not for you.",
        405: "Not this method.",
        409: "Does not fit the state things are in now.",
        413: "Larger than this service reads.",
        415: "Only JSON is read here.",
        429: "Too many calls; Retry-After says when to come back.",
    }
    return {status: OpenApiResponse(FaultsSerializer, said[status]) for status in statuses}


def answer_fault(exc: Exception, context: dict[str, Any]) -> Response | None:
    """DRF's exception handler for this API. Errors that are ours, not the caller's, are left to raise."""
    if isinstance(exc, Http404):
        exc = exceptions.NotFound()
    elif isinstance(exc, PermissionDenied):
        exc = exceptions.PermissionDenied()
    elif isinstance(exc, RequestDataTooBig):
        exc = BodyTooLarge()
    if not isinstance(exc, exceptions.APIException):
        return None
    headers = {}
    challenge, wait = getattr(exc, "auth_header", None), getattr(exc, "wait", None)
    if challenge:
        headers["WWW-Authenticate"] = str(challenge)
    if wait:
        headers["Retry-After"] = str(math.ceil(wait))
    data = None
    if isinstance(exc, exceptions.ValidationError):
        data = context["request"].data
    set_rollback()
    return Response({"faults": faults.of(exc, data)}, status=exc.status_code, headers=headers)


# The views carry no docstrings: the API's description would show them to its readers.
class ApiView(APIView):
    # The throttles count first, so that guessing tokens or passwords is counted as well.

    parser_classes = (BoundedJSONParser,)
    throttle_classes: Sequence[type[BaseThrottle]] = (ApiThrottle,)

    def perform_authentication(self, request: Request) -> None:
        super().check_throttles(request)
        super().perform_authentication(request)

    def check_throttles(self, request: Request) -> None:
        """Already done, before authentication."""

    def get_exception_handler(self) -> Any:
        return answer_fault


class PublicView(ApiView):
    authentication_classes = ()
    permission_classes = (AllowAny,)


class ClientView(ApiView):
    authentication_classes = (LinkAuthentication,)
    permission_classes = (HoldsLink,)

    def setup_request(self) -> SetupRequest:
        return cast(SetupRequest, self.request.auth)


def request_by(reference: str) -> SetupRequest:
    """Return the request a tuner names in an address. Raises NotFound."""
    found = None
    if PATTERN.fullmatch(reference):
        known = SetupRequest.objects.select_related("client", "bike").filter(erase_asked_at=None)
        found = known.filter(reference=reference).first()
    if found is None:
        raise exceptions.NotFound
    return found


class TunerView(ApiView):
    authentication_classes = TUNER
    permission_classes = (IsAuthenticated,)

    def tuner(self) -> User:
        return cast(User, self.request.user)
