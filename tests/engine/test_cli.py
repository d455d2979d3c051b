"""``python -m tuning.engine`` as a shell runs it: answers, refusals with status 2, nothing of the web behind it."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from tests.engine.documents import EXAMPLES
from tests.engine.documents.wild import SHIPPED
from tuning.engine.schemas import NAMES, load

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
BIKE, LATER, PROBLEM = (SHIPPED / f"{name}.json" for name in ("bike", "bike-later", "problem"))
REGISTRY: Any = Registry().with_resources([(f"{name}.json", Resource.from_contents(load(name))) for name in NAMES])


def validator(name: str) -> Draft202012Validator:
    return Draft202012Validator(load(name), registry=REGISTRY)


def run(*arguments: str | Path, text: bytes | None = None, **env: str) -> subprocess.CompletedProcess[bytes]:
    plain = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    command = [sys.executable, "-W", "error", "-m", "tuning.engine", *map(str, arguments)]
    return subprocess.run(command, cwd=ROOT, input=text, capture_output=True, env=plain | env, timeout=60)


def answer(*arguments: str | Path, text: bytes | None = None) -> Any:
    done = run(*arguments, text=text)
    assert (done.returncode, done.stderr) == (0, b"")
    return json.loads(done.stdout)


def faults(*arguments: str | Path, text: bytes | None = None) -> dict[str, dict[str, Any]]:
    done = run(*arguments, text=text)
    assert done.returncode == 2
    assert done.stdout == b""
    told = json.loads(done.stderr)
    validator("faults").validate(told)
    return {fault["path"]: fault for fault in told["faults"]}


def spoilt(**more: Any) -> bytes:
    return json.dumps(json.loads(BIKE.read_text(encoding="utf-8")) | more).encode()


# --- Answers ------------------------------------------------------------------------------------------------------

COMMANDS = {
    "derive": (("derive", BIKE), "derivation"),
    "point": (("derive", BIKE, "--point"), "derivation"),
    "whatif": (("whatif", BIKE, "--set", "front.preload_mm=+6", "rear.preload=10"), "whatif"),
    "solve": (("solve", PROBLEM), "solutions"),
    "learn": (("learn", BIKE, LATER), "learned"),
    "curve": (("curve", BIKE), "curves"),
}


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_json_is_as_its_schema_says_and_always_the_same(name: str) -> None:
    arguments, schema = COMMANDS[name]
    made = answer(*arguments)
    validator(schema).validate(made)
    assert answer(*arguments) == made


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_tables_are_for_reading(name: str) -> None:
    arguments, _ = COMMANDS[name]
    done = run(*arguments, "--format", "table")
    assert (done.returncode, done.stderr) == (0, b"")
    lines = done.stdout.decode().splitlines()
    assert len(lines) > 3
    assert not any(line.startswith(("{", "[")) or line != line.rstrip() for line in lines)


def test_sag_is_the_difference_of_the_lengths() -> None:
    values = {row["key"]: row for row in answer("derive", BIKE)["values"]}
    # 128 less the middle of 82 and 87; 612 less 574.
    assert values["sag_rider_aboard.front"]["value"] == pytest.approx(43.5)
    assert values["sag_rider_aboard.rear"]["value"] == pytest.approx(38.0)
    assert values["friction_band.front"]["value"] == pytest.approx(2.5)


def test_preload_moves_the_sag_by_as_much_where_the_springs_are_straight() -> None:
    made = answer("whatif", BIKE, "--set", "front.preload_mm=+6")
    difference = {row["key"]: row["value"] for row in made["difference"]}
    assert difference["sag_rider_aboard.front"] == pytest.approx(-6.0, abs=1e-6)
    assert difference["sag_rider_aboard.rear"] == pytest.approx(0.0, abs=1e-6)
    assert made["set"] == [{"lever": "front.preload_mm", "by": 6.0, "to": None}]


def test_solutions_meet_the_targets() -> None:
    made = answer("solve", PROBLEM)
    targets = json.loads(PROBLEM.read_text(encoding="utf-8"))["targets"]
    assert made["solutions"]
    for solution in made["solutions"]:
        assert solution["meets"]
        assert {outcome["target"] for outcome in solution["outcomes"]} == set(targets)
        for outcome in solution["outcomes"]:
            band = targets[outcome["target"]]
            assert band.get("low", -1e9) <= outcome["value"] <= band.get("high", 1e9)


def test_why_nothing_meets_the_targets_is_said() -> None:
    problem = json.loads(PROBLEM.read_text(encoding="utf-8"))
    problem["targets"] |= {"sag_rider_aboard.front": {"low": 5, "high": 6}, "clearance.front": {"low": 3}}
    problem["client"] = {}
    text = json.dumps(problem).encode()
    made = answer("solve", "-", text=text)
    validator("solutions").validate(made)
    assert made["solutions"] == []
    assert made["reason"]["kind"] == "out_of_reach"
    table = run("solve", "-", "--format", "table", text=text).stdout.decode()
    for word in ("Nothing meets all", "out_of_reach sag_rider_aboard.front", "bodywork_gap.front"):
        assert word in table


def test_a_dash_reads_standard_input() -> None:
    assert answer("derive", "-", text=BIKE.read_bytes()) == answer("derive", BIKE)
    assert answer("learn", "-", LATER, text=BIKE.read_bytes()) == answer("learn", BIKE, LATER)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_examples_can_be_derived_and_drawn(name: str) -> None:
    validator("derivation").validate(answer("derive", EXAMPLES[name]))
    validator("curves").validate(answer("curve", EXAMPLES[name]))


def test_answers_are_utf8_whatever_the_terminal_says() -> None:
    for env in ({"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONUTF8": "0"}):
        done = run("derive", BIKE, "--format", "table", **env)
        assert done.returncode == 0
        assert "±" in done.stdout.decode("utf-8")
        refused = run("derive", "-", text=spoilt(discipline="тест"), **env)
        assert "тест" in refused.stderr.decode("utf-8")


def test_a_reader_that_has_enough_is_no_fault() -> None:
    command = f"{sys.executable} -m tuning.engine derive {BIKE} | head -c 1; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, capture_output=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, b"")
    # One that reads nothing at all.
    command = f"{sys.executable} -m tuning.engine derive {BIKE} | true; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", command], cwd=ROOT, capture_output=True, timeout=60)
    assert (done.returncode, done.stderr) == (0, b"")


# --- Refusals -----------------------------------------------------------------------------------------------------


NOTHING = {
    "empty": (b"", "not_json"),
    "open": (b"{", "not_json"),
    "bytes": (b"\xff\xfe", "not_utf8"),
    "deep": (b"[" * 100, "too_deep"),
    "list": (b"[]", "not_an_object"),
    "long": (b" " * 4_000_001, "too_long"),
}


@pytest.mark.parametrize(
    ("command", "what"),
    [
        *(("derive", what) for what in NOTHING),
        ("solve", "open"),
        ("solve", "list"),
        ("learn", "list"),
        ("curve", "open"),
    ],
)
def test_what_is_no_document(command: str, what: str) -> None:
    text, reason = NOTHING[what]
    found = faults(command, "-", text=text)
    assert [fault["reason"] for fault in found.values()] == [reason]


def test_every_fault_is_told_with_what_would_be_taken() -> None:
    document = json.loads(BIKE.read_text(encoding="utf-8"))
    document["readings"][0]["unit"] = "kg"
    document["readings"][1]["value"] = 9000
    document["readings"][2]["colour"] = "red"
    document["adjusters"][0]["found"] = 1e300
    document["note"] = "x"
    found = faults("derive", "-", text=json.dumps(document).encode())
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "note": "unknown_field",
        "readings[0].unit": "unlike_dimensions",
        "readings[1].value": "above_physical_limit",
        "readings[2].colour": "unknown_field",
        "adjusters[0].found": "above_physical_limit",
    }
    assert "mm" in found["readings[0].unit"]["params"]["known"]
    limits = found["readings[1].value"]["params"]
    assert (limits["low"], limits["high"], limits["unit"]) == (20, 1500, "mm")
    assert found["readings[1].value"]["value"] == 9000


def test_faults_as_lines() -> None:
    done = run("derive", "-", "--format", "table", text=spoilt(discipline="flying", note=1))
    assert done.returncode == 2
    lines = done.stderr.decode().splitlines()
    assert [line.split(":")[0] for line in lines] == ["note", "discipline"]
    assert "unknown_discipline" in lines[1]
    assert "flying" in lines[1]


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e400", "9" * 500])
def test_numbers_json_cannot_carry_are_told_in_json(number: str) -> None:
    text = BIKE.read_bytes().replace(b'"value": 128', f'"value": {number}'.encode())
    found = faults("derive", "-", text=text)
    assert found["readings[0].value"]["reason"] == "not_finite"


def test_names_told_twice_are_told_with_their_line() -> None:
    text = BIKE.read_bytes().replace(b'"schema": 2,', b'"schema": 2,\n  "schema": 2,')
    found = faults("derive", "-", text=text)
    assert found["schema"]["reason"] == "told_twice"
    assert found["schema"]["params"]["line"] == found["schema"]["params"]["first_line"] + 1


def test_names_told_twice_in_a_problem_are_told_with_all_else() -> None:
    text = PROBLEM.read_bytes().replace(b'"schema": 2,', b'"schema": 2,\n  "schema": 2,').replace(b"home_w", b"no_w")
    found = faults("solve", "-", text=text)
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "schema": "told_twice",
        "client.skill": "unknown_skill",
    }


@pytest.mark.parametrize("command", ["derive", "solve"])
def test_files_that_cannot_be_read(command: str, tmp_path: Path) -> None:
    for place in (tmp_path / "none.json", tmp_path):
        (fault,) = faults(command, place).values()
        assert fault["reason"] == "unreadable_file"
        assert fault["value"] == str(place)[:79] + "…" if len(str(place)) > 80 else str(place)


def test_faults_of_changes_and_of_the_document_are_told_at_once() -> None:
    sets = ["flux=+1", "front.preload_mm=six", "front.preload_mm", "rider_mass=+1", "rider_mass=+2"]
    found = faults("whatif", "-", "--set", *sets, text=spoilt(discipline="flying"))
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "set.front.preload_mm": "not_a_number",
        "set": "not_a_wish",
        "set.rider_mass": "told_twice",
        "discipline": "unknown_discipline",
    }
    found = faults("whatif", BIKE, "--set", "flux=+1", "rear.preload_mm=+600", "rear.rebound=+1", "front.preload=+99")
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "set.flux": "unknown_lever",
        "set.rear.preload_mm": "out_of_range",
        "set.rear.rebound": "foretells_nothing",
        "set.front.preload": "out_of_range",
    }


def test_faults_of_a_problem() -> None:
    problem = json.loads(PROBLEM.read_text(encoding="utf-8"))
    problem["targets"] |= {"sag_rider_aboard.front": {"low": 40, "high": 30}, "wheelies": {"low": 1}}
    problem["client"]["skill"] = "wizard"
    problem["readings"][0]["value"] = -1
    found = faults("solve", "-", text=json.dumps(problem).encode())
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "readings[0].value": "below_physical_limit",
        "targets.sag_rider_aboard.front": "upside_down",
        "targets.wheelies": "unknown_target",
        "client.skill": "unknown_skill",
    }


def test_faults_of_rounds_name_the_round() -> None:
    found = faults("learn", BIKE, "-", "no-such-file", text=spoilt(rear_architecture="twin_shock", note=1))
    assert {path: fault["reason"] for path, fault in found.items()} == {
        "rounds[1].note": "unknown_field",
        "rounds[2]": "unreadable_file",
    }
    found = faults("learn", BIKE, "-", text=spoilt(rear_architecture="twin_shock"))
    assert [fault["reason"] for fault in found.values()] == ["another_bike"]
    (fault,) = faults("learn", *[BIKE] * 21).values()
    assert (fault["reason"], fault["params"]["most"]) == ("too_many", 20)


def test_what_is_outside_the_model_is_refused_by_name() -> None:
    (fault,) = faults("curve", "-", text=spoilt(front_architecture="leading_link")).values()
    assert (fault["path"], fault["reason"], fault["value"]) == (
        "front_architecture",
        "outside_the_model",
        "leading_link",
    )


@pytest.mark.parametrize(
    "arguments", [(), ("fly",), ("derive",), ("whatif", BIKE), ("derive", BIKE, "--format", "xml")]
)
def test_usage(arguments: tuple[str | Path, ...]) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert done.stderr.startswith(b"usage: python -m tuning.engine")
    assert run("--help").returncode == 0


# --- Nothing of the web behind it ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["derive", "whatif", "solve", "learn", "curve"])
def test_no_framework_is_imported(name: str) -> None:
    program = (
        "import sys; from tuning.engine.__main__ import main; status = main(sys.argv[1:]); "
        "loaded = {name.partition('.')[0] for name in sys.modules}; "
        "wrong = loaded & {'django', 'rest_framework', 'celery', 'config', 'intake', 'reports', 'scipy', 'pint'}; "
        "sys.exit(', '.join(sorted(wrong)) or status)"
    )
    plain = {name: value for name, value in os.environ.items() if name != "DJANGO_SETTINGS_MODULE"}
    command = [sys.executable, "-c", program, *map(str, COMMANDS[name][0])]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, env=plain, timeout=60)
    assert (done.returncode, done.stderr) == (0, b"")


# --- The documents shipped ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("path", "schema"), [(BIKE, "document"), (LATER, "document"), (PROBLEM, "problem")])
def test_shipped_documents_are_as_their_schemas_say(path: Path, schema: str) -> None:
    document = json.loads(path.read_text(encoding="utf-8"))
    validator(schema).validate(document)
    assert (path.parent / document["$schema"]).resolve() == (ROOT / "tuning/engine/schemas" / f"{schema}.json")


def test_every_shipped_document_is_tested() -> None:
    assert {path.name for path in SHIPPED.glob("*")} == {path.name for path in (BIKE, LATER, PROBLEM)}


def test_what_the_readme_shows_works() -> None:
    lines = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    bike = next(line for line in lines if line.startswith("bike=")).removeprefix("bike=")
    shown = [line.partition("#")[0].split()[3:] for line in lines if "python -m tuning.engine " in line]
    assert {words[0] for words in shown} == {"derive", "whatif", "solve", "learn", "curve"}
    for words in shown:
        done = run(*(bike if word == "$bike" else word for word in words))
        assert (done.returncode, done.stderr) == (0, b"")
