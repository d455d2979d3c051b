"""Photos and the short video over the API: one file a call, as a form's part, and by its number from then on."""

import re
from typing import Any

from django.http import FileResponse
from django.utils.translation import gettext_lazy as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api.base import ClientView, refusals
from intake.api.faults import Conflict, Faulty, fault
from intake.api.parsers import BodyTooLarge
from intake.models import Photo, Round, SetupRequest
from intake.models.requests import WrongState
from intake.photos import keeping, limits
from intake.photos.refusals import Refused
from intake.services import photos

_ROW = re.compile(r"[0-9]{1,12}")
_SENT = _("The round was sent; the next opens with the next sheet.")
_PHOTO = OpenApiParameter("photo", int, OpenApiParameter.PATH)


class SentPhotoSerializer(serializers.Serializer[Any]):
    """One file. ``alt``: what is to be seen, for whoever cannot see it."""

    file = serializers.FileField()
    alt = serializers.CharField(max_length=limits.LONGEST_ALT, required=False, allow_blank=True)


class PhotoSerializer(serializers.Serializer[Any]):
    """A file kept with a round. A photo has its size in pixels; a video has none."""

    id = serializers.IntegerField()
    round = serializers.IntegerField(source="round.number")
    kind = serializers.ChoiceField(choices=["photo", "video"])
    content_type = serializers.ChoiceField(choices=Photo.ContentType.values)
    size = serializers.IntegerField()
    width = serializers.IntegerField(allow_null=True)
    height = serializers.IntegerField(allow_null=True)
    sha256 = serializers.CharField()
    alt = serializers.CharField(allow_blank=True)


class PhotosView(ClientView):
    parser_classes = (MultiPartParser,)  # type: ignore[assignment]

    @extend_schema(
        operation_id="list_photos",
        summary="The photos and videos of a request",
        responses={200: PhotoSerializer(many=True)} | refusals(401, 404, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        rows = Photo.objects.filter(round__request=self.setup_request()).select_related("round")
        return Response(PhotoSerializer(rows, many=True).data)

    @extend_schema(
        operation_id="add_photo",
        summary="Add a photo or the short video to the open round",
        description=(
            f"JPEG, PNG, WebP or HEIC up to {limits.PHOTO_BYTES // limits.MEGABYTE} MB, {limits.MOST_PHOTOS} a "
            "round; each is turned upright, written anew as JPEG with its longest side at most 2000 px, and keeps "
            "nothing of what was noted in it. One video, MP4, MOV or WebM up to "
            f"{limits.VIDEO_BYTES // limits.MEGABYTE} MB, kept as sent. The same file sent twice is kept once."
        ),
        request={"multipart/form-data": SentPhotoSerializer},
        responses={201: PhotoSerializer} | refusals(400, 401, 404, 409, 413, 415, 429),
    )
    def post(self, request: Request, reference: str) -> Response:
        asked = self.setup_request()
        round_ = Round.objects.get(request=asked, number=asked.current_round)
        round_.request = asked
        if not photos.is_open(round_):
            raise _sent()
        given, file = self._read(request)
        try:
            photo = photos.add(round_, file, str(given.get("alt", "")))
        except Refused as why:
            raise Faulty([fault("file", None, why.reason, why.words())]) from why
        except WrongState as error:
            raise _sent() from error
        return Response(PhotoSerializer(photo).data, status=201)

    def _read(self, request: Request) -> tuple[Any, Any]:
        """Return the form and its file. Raises Faulty, or BodyTooLarge."""
        given = request.data
        if getattr(request._request, "upload_refused", ""):
            raise BodyTooLarge(Refused("form_too_large").words())
        file = request.FILES.get("file")
        if file is None:
            raise Faulty([fault("file", None, "required", Refused("empty").words())])
        return given, file


def _sent() -> Conflict:
    return Conflict("no_open_round", _SENT)


class PhotoView(ClientView):
    @extend_schema(
        operation_id="get_photo",
        parameters=[_PHOTO],
        summary="A photo, or the video as a download",
        responses={
            (200, kind): OpenApiResponse(OpenApiTypes.BINARY, "The file.") for kind in Photo.ContentType.values
        }
        | refusals(401, 404, 429),
    )
    def get(self, request: Request, reference: str, photo: str) -> FileResponse:
        try:
            return keeping.answer(self._photo(photo))
        except FileNotFoundError as error:
            raise NotFound from error

    @extend_schema(
        operation_id="remove_photo",
        parameters=[_PHOTO],
        summary="Take a photo or the video back, until its round is sent",
        responses={204: OpenApiResponse(None, "It is gone.")} | refusals(401, 404, 409, 429),
    )
    def delete(self, request: Request, reference: str, photo: str) -> Response:
        found = self._photo(photo)
        try:
            photos.remove(found)
        except WrongState as error:
            raise _sent() from error
        return Response(status=204)

    def _photo(self, number: str) -> Photo:
        asked: SetupRequest = self.setup_request()
        rows = Photo.objects.select_related("round__request")
        found = rows.filter(pk=int(number), round__request=asked).first() if _ROW.fullmatch(number) else None
        if found is None:
            raise NotFound
        return found
