"""What drf-spectacular must be told of our authentication, and of keys a document may not have."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension


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
