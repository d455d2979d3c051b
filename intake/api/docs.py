"""The API's description, and a page to read and try it, both from this host alone."""

from typing import Any

from csp.decorators import csp_update
from django.utils.decorators import method_decorator
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from intake.api import schema  # noqa: F401  (registers the ways to log in with the description)
from intake.api.base import answer_fault


class SchemaView(SpectacularAPIView):
    """The OpenAPI description as YAML or, with ``?format=json``, JSON. One language, one version."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    serve_public = True

    @extend_schema(exclude=True)
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._get_schema_response(request)  # type: ignore[no-untyped-call, no-any-return]

    def _get_version_parameter(self, request: Request) -> None:
        """The version is in the address; one from the query would end up in a header."""

    def get_exception_handler(self) -> Any:
        return answer_fault


@method_decorator(csp_update({"img-src": ["data:"]}), name="dispatch")
class DocsView(SpectacularSwaggerSplitView):
    """Swagger UI with its script in a file of its own. Its stylesheet carries its icons as data: images, which only
    this page may show."""

    authentication_classes = ()
    permission_classes = (AllowAny,)
    template_name = "intake/api_docs.html"
    title = "Farpaddock API"
