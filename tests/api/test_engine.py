"""The engine over the API: what the shell prints, who may ask, what is refused in which words, and its schemas."""

import ast
import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from rest_framework.test import APIClient

from intake.api import reasons
from tuning import engine
from tuning.desk.api.engine_schemas import components
from tuning.engine.schemas import FOLDER, NAMES, load

pytestmark = pytest.mark.slow

ENGINE = Path(str(engine.__file__)).parent
EXAMPLES = ENGINE / "examples"
REGISTRY: Any = Registry().with_resources([(f"{name}.json", Resource.from_contents(load(name))) for name in NAMES])


def shipped(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    return loaded


def place(name: str) -> str:
    return f"/api/v1/engine/{name}/"


def validator(name: str) -> Draft202012Validator:
    return Draft202012Validator(load(name), registry=REGISTRY)


BIKE = shipped("bike")
SET = {"front.preload_mm": "+6", "rear.preload": 10}
#: What is asked by name, and the shell's arguments for the same.
ASKED: dict[str, tuple[str, dict[str, Any], list[str]]] = {
    "derive": ("derivation", BIKE, ["derive", "bike.json"]),
    "whatif": (
        "whatif",
        {"document": BIKE, "set": SET},
        ["whatif", "bike.json", "--set", "front.preload_mm=+6", "rear.preload=10"],
    ),
    "solve": ("solutions", shipped("problem"), ["solve", "problem.json"]),
    "learn": ("learned", {"rounds": [BIKE, shipped("bike-later")]}, ["learn", "bike.json", "bike-later.json"]),
    "curve": ("curves", BIKE, ["curve", "bike.json"]),
}
QUESTIONS = {
    "derive": "document",
    "whatif": "whatif-request",
    "solve": "problem",
    "learn": "rounds",
    "curve": "document",
}


@pytest.mark.parametrize("name", sorted(ASKED))
def test_it_answers_what_the_shell_prints(tuner: APIClient, name: str) -> None:
    schema, body, arguments = ASKED[name]
    validator(QUESTIONS[name]).validate(body)
    found = tuner.post(place(name), body, format="json")
    assert found.status_code == 200, found.content
    validator(schema).validate(found.json())
    command = [sys.executable, "-m", "tuning.engine", *arguments]
    here = [str(EXAMPLES / one) if one.endswith(".json") else one for one in command]
    printed = subprocess.run(here, cwd=ENGINE.parents[1], capture_output=True, timeout=60, check=True).stdout
    # Byte for byte, but for the blanks between.
    assert json.dumps(json.loads(printed), ensure_ascii=False, separators=(",", ":")) == found.content.decode()


def test_nothing_is_stored(tuner: APIClient, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(1):  # who asks
        assert tuner.post(place("derive"), BIKE, format="json").status_code == 200


@pytest.mark.parametrize("name", sorted(ASKED))
def test_only_tuners_may_ask(api: APIClient, owner: APIClient, name: str) -> None:
    for client in (api, owner):
        assert client.post(place(name), ASKED[name][1], format="json").status_code == 401
    assert api.get(place(name)).status_code == 401


def test_asking_is_counted(tuner: APIClient, settings: Any) -> None:
    settings.THROTTLE_RATES = settings.THROTTLE_RATES | {"api": "2/hour"}
    found = [tuner.post(place("derive"), BIKE, format="json").status_code for _ in range(3)]
    assert found == [200, 200, 429]


# --- Refusals -----------------------------------------------------------------------------------------------------


def refused(client: APIClient, name: str, body: object, status: int = 400) -> list[dict[str, Any]]:
    text = body if isinstance(body, bytes) else json.dumps(body).encode()
    found = client.post(place(name), text, content_type="application/json")
    assert found.status_code == status, found.content
    faults: list[dict[str, Any]] = json.loads(found.content, parse_constant=pytest.fail)["faults"]
    for fault in faults:
        assert set(fault) == {"path", "value", "reason", "message"}
        assert fault["message"]
    return faults


def told(faults: list[dict[str, Any]]) -> dict[str, str]:
    return {fault["path"]: fault["reason"] for fault in faults}


def spoilt() -> dict[str, Any]:
    document = shipped("bike")
    document["readings"][0]["unit"] = "kg"
    document["readings"][1]["value"] = 9000
    document["note"] = 1
    return document


SPOILT = {
    "readings[0].unit": "unlike_dimensions",
    "readings[1].value": "above_physical_limit",
    "note": "unknown_field",
}


def under(prefix: str, found: dict[str, str]) -> dict[str, str]:
    return {f"{prefix}.{path}": reason for path, reason in found.items()}


def test_every_fault_names_its_place(tuner: APIClient) -> None:
    for name in ("derive", "curve"):
        assert told(refused(tuner, name, spoilt())) == SPOILT
    assert told(refused(tuner, "solve", spoilt())) == SPOILT | {"targets": "missing_field"}
    found = refused(tuner, "whatif", {"document": spoilt(), "set": {"rider_mass": "x"}})
    assert told(found) == under("document", SPOILT) | {"set.rider_mass": "not_a_number"}
    found = refused(tuner, "learn", {"rounds": [BIKE, spoilt()]})
    assert told(found) == under("rounds[1]", SPOILT)
    found = refused(tuner, "whatif", {"document": BIKE, "set": {"flux": "+1", "front.preload_mm": "+600"}})
    assert told(found) == {"set.flux": "unknown_lever", "set.front.preload_mm": "out_of_range"}


def test_words_say_what_would_be_taken(tuner: APIClient) -> None:
    words = {fault["path"]: fault["message"] for fault in refused(tuner, "derive", spoilt())}
    assert "20" in words["readings[1].value"]
    assert "1500 mm" in words["readings[1].value"]
    assert "cm" in words["readings[0].unit"]
    (fault,) = refused(tuner, "derive", b'{"schema": 2,\n "schema": }')
    assert fault["reason"] == "not_json"
    assert "Line 2, column 12" in fault["message"]


@pytest.mark.parametrize("name", sorted(ASKED))
@pytest.mark.parametrize(
    ("body", "reason"),
    [
        (b"{", "not_json"),
        (b"\xff", "not_utf8"),
        (b"[" * 5000, "too_deep"),
        (b"[]", "not_an_object"),
        (b"NaN", "not_an_object"),
        (b"3", "not_an_object"),
    ],
    ids=lambda one: one if isinstance(one, str) else "",
)
def test_what_is_no_document(tuner: APIClient, name: str, body: bytes, reason: str) -> None:
    assert [fault["reason"] for fault in refused(tuner, name, body)] == [reason]


@pytest.mark.parametrize("number", ["NaN", "-Infinity", "1e400", "9" * 500, "1" + "0" * 30])
def test_numbers_json_cannot_carry_come_back_as_text(tuner: APIClient, number: str) -> None:
    text = (EXAMPLES / "bike.json").read_bytes().replace(b'"value": 128', f'"value": {number}'.encode())
    (fault,) = refused(tuner, "derive", text)
    assert fault["path"] == "readings[0].value"
    assert fault["reason"] == ("above_physical_limit" if number.startswith("10") else "not_finite")


def test_names_told_twice_are_refused(tuner: APIClient) -> None:
    (fault,) = refused(tuner, "derive", b'{"schema": 2, "schema": 2}')
    assert (fault["path"], fault["reason"]) == ("schema", "told_twice")


def test_bodies_are_bounded(tuner: APIClient) -> None:
    assert refused(tuner, "derive", b" " * 300_000, status=413)[0]["reason"] == "too_large"
    assert told(refused(tuner, "learn", {"rounds": [{}] * 21})) == {"rounds": "too_many"}
    found = tuner.post(place("derive"), "x", content_type="text/plain")
    assert found.status_code == 415


def test_what_is_outside_the_model_is_refused_by_name(tuner: APIClient) -> None:
    body = BIKE | {"front_architecture": "hub_centre"}
    assert told(refused(tuner, "curve", body)) == {"front_architecture": "outside_the_model"}


def test_bikes_are_not_mixed(tuner: APIClient) -> None:
    other = BIKE | {"rear_architecture": "twin_shock"}
    assert told(refused(tuner, "learn", {"rounds": [BIKE, other]})) == {"rounds[1].rear_architecture": "another_bike"}


# --- Words for every reason ---------------------------------------------------------------------------------------

#: What makes faults, and which of its arguments is the reason.
MAKERS = {"Fault": 2, "_refuse": 2, "_outside": 2, "known": 3, "fault": 0}


def constants(node: ast.expr) -> Iterator[str]:
    """Yield the texts an expression may come to."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from constants(node.body)
        yield from constants(node.orelse)


def emitted() -> dict[str, set[str]]:
    """Return every reason that stands in the engine's code, with the files it stands in."""
    found: dict[str, set[str]] = {}
    for path in sorted(ENGINE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        made = False
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
                place = MAKERS.get(name)
                if place is None or len(node.args) <= place:
                    continue
                made = True
                for reason in constants(node.args[place]):
                    found.setdefault(reason, set()).add(path.name)
        for node in ast.walk(tree) if made else ():
            # ``reason = "…"`` on its way to one of them.
            if isinstance(node, ast.Assign) and any(getattr(one, "id", "") == "reason" for one in node.targets):
                for reason in constants(node.value):
                    found.setdefault(reason, set()).add(path.name)
    return found


def test_every_reason_of_the_engine_has_words() -> None:
    found = emitted()
    assert len(found) > 50
    assert {"not_json", "unlike_dimensions", "above_physical_limit", "too_few", "trails_contradict"} <= set(found)
    wordless = {reason: files for reason, files in found.items() if not reasons.has_words(reason)}
    assert not wordless


# --- Schemas ------------------------------------------------------------------------------------------------------


def test_schemas_are_listed_and_open_to_all(api: APIClient) -> None:
    listed = api.get("/api/v1/schemas/")
    assert listed.status_code == 200
    rows = listed.json()["schemas"]
    assert [row["name"] for row in rows] == list(NAMES)
    for row in rows:
        found = api.get(row["address"])
        assert found.status_code == 200
        assert found["Content-Type"].startswith("application/schema+json")
        assert json.loads(found.content) == json.loads((FOLDER / f"{row['name']}.json").read_text(encoding="utf-8"))
        assert row["title"] == found.json()["title"]


def test_references_between_schemas_lead_to_schemas(api: APIClient) -> None:
    def follow(node: Any) -> None:
        if isinstance(node, dict):
            for key, inner in node.items():
                if key == "$ref" and not inner.startswith("#"):
                    assert api.get(f"/api/v1/schemas/{inner.partition('#')[0]}").status_code == 200
                follow(inner)
        elif isinstance(node, list):
            for inner in node:
                follow(inner)

    for name in NAMES:
        follow(load(name))


@pytest.mark.parametrize("address", ["/api/v1/schemas/", "/api/v1/schemas/document.json"])
def test_schemas_may_be_kept(api: APIClient, address: str) -> None:
    first = api.get(address)
    assert "public" in first["Cache-Control"]
    assert "max-age" in first["Cache-Control"]
    again = api.get(address, HTTP_IF_NONE_MATCH=first["ETag"])
    assert (again.status_code, again.content) == (304, b"")
    assert again["ETag"] == first["ETag"]
    assert "public" in again["Cache-Control"]
    assert api.get(address, HTTP_IF_NONE_MATCH='"another"').status_code == 200


@pytest.mark.parametrize("name", ["nothing", "..", "document.json", "%00", "documents"])
def test_schemas_there_are_not(api: APIClient, name: str) -> None:
    assert api.get(f"/api/v1/schemas/{name}.json").status_code == 404


def test_the_description_refers_to_nothing_that_is_not_there(api: APIClient) -> None:
    found = json.loads(api.get("/api/schema/?format=json").content)
    assert "/api/v1/schemas/" in found["info"]["description"]
    assert components().keys() <= found["components"]["schemas"].keys()

    def at(reference: str) -> Any:
        node = found
        for step in reference.removeprefix("#/").split("/"):
            node = node[step]
        return node

    def follow(node: Any) -> None:
        if isinstance(node, dict):
            if isinstance(node.get("$ref"), str):
                assert at(node["$ref"]) is not None
            for inner in node.values():
                follow(inner)
        elif isinstance(node, list):
            for inner in node:
                follow(inner)

    follow(found)
    for name, question in QUESTIONS.items():
        told = found["paths"][place(name)]["post"]
        part = "".join(word.capitalize() for word in question.split("-"))
        body = told["requestBody"]["content"]["application/json"]["schema"]
        assert body == {"$ref": f"#/components/schemas/Engine{part}"}
        answered = told["responses"]["200"]["content"]["application/json"]["schema"]
        assert answered == {"$ref": f"#/components/schemas/Engine{ASKED[name][0].capitalize()}"}
