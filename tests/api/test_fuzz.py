"""The API held against its own description with generated calls, good and bad."""

from typing import Any

import pytest
import schemathesis
from django.contrib.auth.hashers import make_password
from django.core.handlers.wsgi import WSGIHandler
from hypothesis import HealthCheck, Phase, settings
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


@pytest.fixture
def description() -> Any:
    return schemathesis.openapi.from_wsgi("/api/schema/?format=json", WSGIHandler())


schema = schemathesis.pytest.from_fixture("description")


@pytest.fixture
def people(db: None, created: dict[str, Any]) -> tuple[dict[str, Any], User]:
    user = User.objects.create(username="fuzz", password=make_password("a-long-pass-phrase"))
    return created, user


@schema.parametrize()
@settings(
    max_examples=25,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
    derandomize=True,
)
def test_no_call_breaks_it(case: Any, people: tuple[dict[str, Any], User]) -> None:
    created, _ = people
    if "reference" in case.path_parameters and len(str(case.path_parameters["reference"])) % 2 == 0:
        case.path_parameters["reference"] = created["reference"]
    header = basic_header("fuzz") if "/desk/" in case.path else link_header(created["reference"], created["token"])
    answer = case.call(headers={"Authorization": header["HTTP_AUTHORIZATION"]})
    case.validate_response(answer, checks=CHECKS)
