"""The engine for tuners' scripts: what the shell answers (``python -m tuning.engine``), over the API; its schemas."""

import hashlib
from collections.abc import Callable
from functools import cache
from typing import Any

from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils.cache import get_conditional_response
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import (
    OpenApiParameter,
    OpenApiResponse,
    extend_schema,
    extend_schema_serializer,
    extend_schema_view,
)
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api import reasons
from intake.api.base import PublicView, TunerView, refusals
from intake.api.faults import Faulty
from intake.api.parsers import BoundedJSONParser
from tuning.desk.api.engine_schemas import component
from tuning.engine import answers, asked, schemas
from tuning.engine.curves import curves
from tuning.engine.derive import derive
from tuning.engine.document import parse_text, read_document
from tuning.engine.errors import EngineInputError
from tuning.engine.learn import learn
from tuning.engine.serial import derivation_to_json
from tuning.engine.solve import problem_from_json, solutions_to_json, solve
from tuning.engine.whatif import what_if

_UNCHANGED = OpenApiResponse(None, "As it was when it was fetched.")


class EngineParser(BoundedJSONParser):
    """JSON as the engine reads it: bounded in depth too, and every name told twice is told with its line."""

    def read(self, body: bytes) -> Any:
        try:
            return parse_text(body)
        except EngineInputError as error:
            raise refusal(error) from error


def refusal(error: EngineInputError) -> Faulty:
    return Faulty(reasons.from_engine(error.faults))


class EngineView(TunerView):
    parser_classes = (EngineParser,)

    def answer(self, given: object) -> dict[str, Any]:
        raise NotImplementedError

    def post(self, request: Request) -> Response:
        try:
            return Response(self.answer(request.data))
        except EngineInputError as error:
            raise refusal(error) from error


def described(name: str, summary: str, question: str, answer: str) -> Callable[[type[EngineView]], type[EngineView]]:
    """Describe a view's operation by the schemas of what it is asked and what it answers."""
    return extend_schema_view(
        post=extend_schema(
            operation_id=f"engine_{name}",
            summary=summary,
            description=f"Asked: `/api/v1/schemas/{question}.json`. Answered: `/api/v1/schemas/{answer}.json`.",
            request={"application/json": component(question)},
            responses={200: OpenApiResponse(component(answer), "The answer.")}
            | refusals(400, 401, 403, 413, 415, 429),
        )
    )


@described("derive", "Every value a document's readings allow, and what the checks say", "document", "derivation")
class DeriveView(EngineView):
    def answer(self, given: object) -> dict[str, Any]:
        return derivation_to_json(derive(read_document(given)))


@described("whatif", "What a change would do", "whatif-request", "whatif")
class WhatIfView(EngineView):
    def answer(self, given: object) -> dict[str, Any]:
        return answers.what_if_to_json(what_if(*asked.what_if_from_json(given)))


@described("solve", "The fewest and least invasive changes that meet all targets", "problem", "solutions")
class SolveView(EngineView):
    def answer(self, given: object) -> dict[str, Any]:
        return solutions_to_json(solve(problem_from_json(given)))


@described("learn", "What the rounds of one bike teach", "rounds", "learned")
class LearnView(EngineView):
    def answer(self, given: object) -> dict[str, Any]:
        return answers.learned_to_json(learn(asked.rounds_from_json(given)))


@described("curve", "Force over travel of each end", "document", "curves")
class CurveView(EngineView):
    def answer(self, given: object) -> dict[str, Any]:
        return answers.curves_to_json(curves(read_document(given)))


# --- Schemas ------------------------------------------------------------------------------------------------------


class SchemaRenderer(JSONRenderer):
    media_type = "application/schema+json"


class ListedSerializer(serializers.Serializer[Any]):
    """One schema: its name, what it is of, and where it is."""

    name = serializers.CharField()
    title = serializers.CharField()
    address = serializers.CharField()


@extend_schema_serializer(component_name="Schemas")
class SchemasSerializer(serializers.Serializer[Any]):
    schemas = ListedSerializer(many=True)


@cache
def loaded(name: str) -> tuple[dict[str, Any], str]:
    """Return a schema and its tag; they change only with the program."""
    schema = schemas.load(name)
    return schema, _tag(schemas.text(schema))


def _tag(text: str) -> str:
    return f'"{hashlib.sha256(text.encode()).hexdigest()[:32]}"'


class CachedView(PublicView):
    def kept(self, request: Request, answer: Any, tag: str) -> HttpResponseBase:
        """Return the answer, or 304 to who has it; anyone may keep it for an hour."""
        headers = {"ETag": tag, "Cache-Control": "public, max-age=3600"}
        unchanged = get_conditional_response(request._request, etag=tag)
        if unchanged is not None and unchanged.status_code == 304:
            for name, value in headers.items():
                unchanged[name] = value
            return unchanged
        return Response(answer, headers=headers)


class SchemasView(CachedView):
    @extend_schema(
        operation_id="list_engine_schemas",
        summary="The JSON Schemas of what the engine is asked and of what it answers",
        responses={200: SchemasSerializer, 304: _UNCHANGED} | refusals(429),
        auth=[],
    )
    def get(self, request: Request) -> HttpResponseBase:
        listed = [
            {
                "name": name,
                "title": loaded(name)[0]["title"],
                "address": reverse("engine-api:schema", args=[name]),
            }
            for name in schemas.NAMES
        ]
        return self.kept(request, {"schemas": listed}, _tag("".join(loaded(name)[1] for name in schemas.NAMES)))


class SchemaView(CachedView):
    renderer_classes = (SchemaRenderer, JSONRenderer)

    @extend_schema(
        operation_id="get_engine_schema",
        summary="One JSON Schema (draft 2020-12); they refer to each other by name",
        parameters=[OpenApiParameter("name", str, OpenApiParameter.PATH, enum=schemas.NAMES)],
        responses={(200, "application/schema+json"): OpenApiTypes.OBJECT, 304: _UNCHANGED} | refusals(404, 429),
        auth=[],
    )
    def get(self, request: Request, name: str) -> HttpResponseBase:
        if name not in schemas.NAMES:
            raise NotFound
        return self.kept(request, *loaded(name))
