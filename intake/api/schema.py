"""What drf-spectacular must be told of our authentication, and of keys a document may not have."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.serializers import ListSerializer, Serializer

from intake.api.document import Strict


class LinkScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "intake.api.authentication.LinkAuthentication"
    name = "privateLink"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "`Link <reference>:<token>`, both as the creation of the request answered them.",
        }


class PasswordScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "intake.api.authentication.PasswordAuthentication"
    name = "tunerPassword"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {"type": "http", "scheme": "basic"}


def tell_limits(result: dict[str, Any], generator: Any, **kwargs: Any) -> dict[str, Any]:
    """Postprocessing hook: lists of objects have an end, and strict documents no other keys."""
    for component in generator.registry._components.values():
        serializer = component.object() if isinstance(component.object, type) else component.object
        if not isinstance(serializer, Serializer) or "properties" not in component.schema:
            continue
        for name, field in serializer.fields.items():
            most = getattr(field, "max_length", None)
            if isinstance(field, ListSerializer) and most is not None:
                component.schema["properties"][name]["maxItems"] = most
        if isinstance(serializer, Strict) and component.name.endswith("Request"):
            component.schema["additionalProperties"] = False
    return result
