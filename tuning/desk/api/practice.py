"""The shop's practice in the API: read by every tuner, set by lead tuners."""

from typing import Any, cast

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema, extend_schema_field, extend_schema_serializer
from rest_framework import serializers
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api import faults
from intake.api.base import TunerView, refusals
from intake.api.document import Strict
from intake.api.faults import Conflict, Faulty
from tuning.desk import practice, practice_words
from tuning.desk.models import PracticeVersion
from tuning.engine.errors import EngineInputError

#: How many versions are listed, last one first.
LISTED = 100


@extend_schema_field({"type": "object", "additionalProperties": True})
class ContentField(serializers.JSONField):
    """What differs from the shipped data: targets, steps, rules, texts."""


@extend_schema_serializer(component_name="PracticeVersion")
class VersionSerializer(serializers.Serializer[Any]):
    """``version`` 0 is the data as shipped. ``restores``: the version that was gone back to."""

    version = serializers.IntegerField()
    by = serializers.CharField()
    at = serializers.DateTimeField(allow_null=True)
    why = serializers.CharField()
    restores = serializers.IntegerField(allow_null=True)


@extend_schema_serializer(component_name="Practice")
class PracticeSerializer(VersionSerializer):
    practice = ContentField()


@extend_schema_serializer(component_name="PracticeChange")
class ChangeSerializer(Strict):
    """``base``: the version that this was made from; ``practice``: all that differs from the shipped data."""

    base = serializers.IntegerField(min_value=0, max_value=practice.MOST)
    why = serializers.CharField(max_length=practice.LONGEST_WHY)
    practice = ContentField()


def document(version: PracticeVersion | None) -> dict[str, Any]:
    """Return a version as the API answers it."""
    return {
        "version": practice.number_of(version),
        "by": version.by.username if version and version.by else "",
        "at": version.at if version else None,
        "why": version.why if version else "",
        "restores": version.restores if version else None,
        "practice": practice.content_of(version),
    }


class PracticeView(TunerView):
    @extend_schema(
        operation_id="get_practice",
        summary="What this shop wants otherwise than the shipped data",
        responses={200: PracticeSerializer} | refusals(401, 404, 429),
    )
    def get(self, request: Request) -> Response:
        return Response(PracticeSerializer(document(practice.current())).data)

    @extend_schema(
        operation_id="set_practice",
        summary="Set the practice, as a new version; for lead tuners",
        description="Refused with 409 when somebody saved a version since ``base``. Every misfit is named.",
        request=ChangeSerializer,
        responses={200: PracticeSerializer} | refusals(400, 401, 403, 404, 409, 413, 415, 429),
    )
    def put(self, request: Request) -> Response:
        if not practice.may_set(self.tuner()):
            raise PermissionDenied(_("Only lead tuners set the practice."))
        serializer = ChangeSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        told = cast(dict[str, Any], serializer.validated_data)
        try:
            made = practice.save(told["practice"], told["base"], told["why"], self.tuner())
        except EngineInputError as refused:
            raise Faulty(
                faults.fault(
                    one.path if one.path == "why" else f"practice.{one.path}".rstrip("."),
                    one.value,
                    one.reason,
                    practice_words.fault_text(one),
                )
                for one in refused.faults
            ) from refused
        except practice.NothingNew as error:
            raise Conflict("nothing_new", _("This says the same as what holds now."), path="practice") from error
        except practice.StalePractice as stale:
            current = practice.number_of(stale.current)
            said = _("Version %(number)d holds now; read it, and save on top of it.") % {"number": current}
            raise Conflict("stale_lock", said, path="base", value=current) from stale
        return Response(PracticeSerializer(document(made)).data)


class VersionsView(TunerView):
    @extend_schema(
        operation_id="list_practice_versions",
        summary="The last versions of the practice: who, when and why",
        responses={200: VersionSerializer(many=True)} | refusals(401, 404, 429),
    )
    def get(self, request: Request) -> Response:
        rows = PracticeVersion.objects.select_related("by").order_by("-number")[:LISTED]
        return Response(VersionSerializer([document(row) for row in rows], many=True).data)
