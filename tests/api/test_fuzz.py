"""The API held against its own description with generated calls, good and bad."""

from functools import cache
from typing import Any

import pytest
import schemathesis
from django.core.handlers.wsgi import WSGIHandler
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from intake.models import User
from tests.api.conftest import basic_header, link_header

pytestmark = pytest.mark.fuzz

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
MODES = [GenerationMode.POSITIVE, GenerationMode.NEGATIVE]
EXAMPLES = 20


@cache
def description() -> dict[str, Any]:
    found: dict[str, Any] = SchemaGenerator().get_schema(public=True)
    return found


@cache
def operations() -> dict[str, Any]:
    schema = schemathesis.openapi.from_dict(description())
    schema.app = WSGIHandler()
    return {one.ok().label: one.ok() for one in schema.get_all_operations()}


def labels() -> list[str]:
    paths = description()["paths"]
    return [f"{method.upper()} {path}" for path, methods in paths.items() for method in methods]


def calls_of() -> list[Any]:
    """Return every operation with every mode; one that is given nothing cannot be given anything wrong."""
    found = []
    for label in labels():
        method, path = label.split(" ", 1)
        told = description()["paths"][path][method.lower()]
        given_something = told.get("parameters") or told.get("requestBody") or any(told.get("security", [{}]))
        modes = MODES if given_something else MODES[:1]
        found += [pytest.param(label, mode, id=f"{label}-{mode.value}") for mode in modes]
    return found


@pytest.mark.parametrize(("label", "mode"), calls_of())
def test_no_call_breaks_it(label: str, mode: GenerationMode, created: dict[str, Any], tuner_user: User) -> None:
    operation = operations()[label]
    caller = (
        basic_header(tuner_user.username)
        if "/desk/" in label or "/engine/" in label
        else link_header(created["reference"], created["token"])
    )
    # The checks read the bytes as they come, so they are asked for uncompressed.
    headers = {"Authorization": caller["HTTP_AUTHORIZATION"], "Accept-Encoding": "identity"}

    @given(case=operation.as_strategy(generation_mode=mode), real=st.booleans())
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    def calls(case: Any, real: bool) -> None:
        if real and "reference" in (case.path_parameters or {}):
            case.path_parameters["reference"] = created["reference"]
        case.headers = {**(case.headers or {}), **headers}
        case.validate_response(case.call(), checks=CHECKS)

    calls()
