"""Sheets for clients, jobs for tuners."""

import re
from typing import Any

from django.http import FileResponse
from django.utils.translation import gettext as _
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api.base import ClientView, TunerView, refusals, request_by
from intake.api.faults import Conflict
from reports import services
from reports.models import Job
from reports.views import pdf_answer

#: A row's number as the database can hold it.
ROW = re.compile(r"[0-9]{1,18}")


class PdfRenderer(BaseRenderer):
    """Lets a caller ask for application/pdf; the file itself is streamed, and errors are JSON all the same."""

    media_type = "application/pdf"
    format = "pdf"

    def render(self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None) -> bytes:
        context = renderer_context or {}
        context["response"]["Content-Type"] = "application/json"
        return bytes(JSONRenderer().render(data, "application/json", renderer_context))


class SheetView(ClientView):
    renderer_classes = (JSONRenderer, PdfRenderer)

    @extend_schema(
        operation_id="get_sheet",
        summary="The newest setup sheet as PDF",
        description="404 while none was approved, 409 while one is being printed.",
        responses={(200, "application/pdf"): OpenApiResponse(OpenApiTypes.BINARY, "The sheet.")}
        | refusals(401, 404, 409, 429),
    )
    def get(self, request: Request, reference: str) -> FileResponse:
        asked = self.setup_request()
        sheets, jobs = services.printed_and_unfinished(asked)
        if not sheets:
            if not jobs:
                raise NotFound
            if any(job.state == Job.State.FAILED for job in jobs):
                raise Conflict("sheet_failed", _("Printing the sheet failed; the shop sees it and tries again."))
            raise Conflict("sheet_on_its_way", _("The sheet is being printed; ask again in a moment."))
        answer = pdf_answer(sheets[0])
        services.sheet_taken(asked, sheets[0])
        return answer


class JobSerializer(serializers.ModelSerializer[Job]):
    number = serializers.SerializerMethodField(help_text="The number printed on the sheet.")
    state = serializers.ChoiceField(choices=Job.State.choices)
    sheet = serializers.SerializerMethodField(help_text="Whether the PDF is there.")

    class Meta:
        model = Job
        fields = (
            "id", "number", "variant", "language", "paper", "state", "attempt", "error_code", "error", "created_at",
            "finished_at", "sheet",
        )  # fmt: skip
        read_only_fields = fields

    def get_number(self, job: Job) -> str:
        return str(job.document.content()["number"])

    def get_sheet(self, job: Job) -> bool:
        return hasattr(job, "sheet")


class JobsView(TunerView):
    @extend_schema(
        operation_id="list_jobs",
        summary="The print jobs of a request, newest first",
        responses={200: JobSerializer(many=True)} | refusals(401, 404, 429),
    )
    def get(self, request: Request, reference: str) -> Response:
        jobs = Job.objects.filter(document__recommendation__round__request=request_by(reference)).order_by("-pk")
        return Response(JobSerializer(jobs.select_related("document", "sheet")[:100], many=True).data)


class RetryView(TunerView):
    @extend_schema(
        operation_id="retry_job",
        parameters=[OpenApiParameter("job", int, OpenApiParameter.PATH)],
        summary="Try a failed job again",
        request=None,
        responses={200: JobSerializer} | refusals(401, 403, 404, 409, 429),
    )
    def post(self, request: Request, job: str) -> Response:
        jobs = Job.objects.select_related("document__recommendation__round__request")
        found = jobs.filter(pk=int(job)).first() if ROW.fullmatch(job) else None
        if found is None:
            raise NotFound
        try:
            services.retry(found, by=self.tuner())
        except services.NotFailed as error:
            raise Conflict("not_failed", _("This job has not failed; there is nothing to try again.")) from error
        return Response(JobSerializer(found).data)
