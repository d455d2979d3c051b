"""The description of the API, and the page to read it."""

import json
import re
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command
from rest_framework.test import APIClient

pytestmark = pytest.mark.slow


def test_description_is_valid_and_without_warnings() -> None:
    out = StringIO()
    call_command("spectacular", "--validate", "--fail-on-warn", stdout=out)
    assert out.getvalue().startswith("openapi: 3.1.")


def test_as_json_and_yaml(api: APIClient) -> None:
    found = json.loads(api.get("/api/schema/?format=json").content)
    assert found["openapi"].startswith("3.1.")
    assert set(found["paths"]["/api/v1/requests/"]) == {"post"}
    assert "openapi: 3.1" in api.get("/api/schema/?format=yaml").content.decode()


@pytest.mark.parametrize("query", ["version=%0Aa", "lang=%00", "lang=../..", "version=x"])
def test_queries_it_does_not_know_are_harmless(api: APIClient, query: str) -> None:
    assert api.get(f"/api/schema/?{query}").status_code == 200


def test_every_text_and_list_of_the_document_has_a_limit(api: APIClient) -> None:
    parts = json.loads(api.get("/api/schema/?format=json").content)["components"]["schemas"]
    seen: set[str] = set()

    def walk(node: Any, path: str) -> None:
        if "$ref" in node:
            name = node["$ref"].rsplit("/", 1)[1]
            if name not in seen:
                seen.add(name)
                walk(parts[name], name)
        for key, inner in node.get("properties", {}).items():
            walk(inner, f"{path}.{key}")
        for word in ("allOf", "oneOf", "anyOf"):
            for inner in node.get(word, []):
                walk(inner, path)
        kinds = node.get("type", [])
        if "array" in kinds:
            assert "maxItems" in node, path
            walk(node["items"], f"{path}[]")
        if "string" in kinds and "enum" not in node and node.get("format") != "date":
            assert "maxLength" in node, path

    for name in ("RequestDocumentRequest", "ReportRequest", "DraftChangeRequest"):
        assert name in parts
        walk({"$ref": f"#/components/schemas/{name}"}, name)
    assert len(seen) > 10


def test_page_runs_nothing_inline_and_asks_no_other_host(api: APIClient) -> None:
    answer = api.get("/api/docs/")
    page = answer.content.decode()
    policy = answer["Content-Security-Policy"]
    assert "unsafe" not in policy
    assert "img-src 'self' data:" in policy
    assert not re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=", page)
    assert not re.findall(r"(?:src|href)=\"(?:https?:)?//", page)
    scripts = re.findall(r'<script src="([^"]+)"', page)
    own = next(place for place in scripts if place.startswith("/api/docs/") or "script" in place.rsplit("/", 1)[-1])
    script = api.get(own)
    assert script.status_code == 200
    assert script["Content-Type"].startswith("application/javascript")


def test_only_that_page_may_show_data_images(api: APIClient) -> None:
    assert "data:" not in api.get("/api/schema/")["Content-Security-Policy"]
