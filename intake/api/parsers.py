"""Reads JSON bodies: bounded before they are read, and without a way to make the reader itself fail."""

import json
from collections.abc import Mapping
from typing import IO, Any, NoReturn

from django.conf import settings
from django.utils.translation import gettext_lazy as _
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser


class BodyTooLarge(APIException):
    status_code = 413
    default_detail = _("The document is larger than this service reads (256 kB).")
    default_code = "too_large"


class BoundedJSONParser(JSONParser):
    """JSON as RFC 8259 has it: UTF-8 whatever the header says, no NaN, no key twice, nothing endless."""

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        """Return what the body holds. Raises BodyTooLarge (413) and ParseError (400)."""
        limit = int(settings.DATA_UPLOAD_MAX_MEMORY_SIZE)
        length = (parser_context or {})["request"].META.get("CONTENT_LENGTH") if parser_context else None
        if length and length.isdigit() and int(length) > limit:
            raise BodyTooLarge
        body = stream.read(limit + 1)
        if len(body) > limit:
            raise BodyTooLarge
        return self.read(body)

    def read(self, body: bytes) -> Any:
        """Return what a bounded body holds. Raises ParseError."""
        return read_json(body)


def read_json(body: bytes) -> Any:
    """Return what a JSON text holds. Raises ParseError."""
    try:
        return json.loads(body.decode("utf-8"), parse_constant=_no_constant, object_pairs_hook=_no_key_twice)
    except (ValueError, RecursionError) as exc:
        raise ParseError(_("This is not JSON: %(reason)s") % {"reason": str(exc)[:200]}) from exc


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number in JSON")


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("an object has the same key twice")
    return found
