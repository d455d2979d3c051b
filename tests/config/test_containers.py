"""The container files say what the code reads. That they run as containers is not shown here."""

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.config.test_documented_settings import read_by_the_settings

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text(encoding="utf-8"))
    return loaded


def test_the_services_are_there(compose: dict[str, Any]) -> None:
    assert set(compose["services"]) == {"migrate", "web", "worker", "beat", "redis", "postgres", "proxy"}


@pytest.mark.parametrize("service", ["migrate", "web", "worker", "beat"])
def test_every_variable_set_is_one_that_is_read(compose: dict[str, Any], service: str) -> None:
    variables = compose["services"][service]["environment"]
    assert {name.removesuffix("_FILE") for name in variables} <= read_by_the_settings()
    assert not {"FARPADDOCK_DEBUG", "FARPADDOCK_DEMO"} & set(variables)


@pytest.mark.parametrize("service", ["migrate", "web", "worker", "beat"])
def test_secrets_come_as_files_that_exist_in_the_container(compose: dict[str, Any], service: str) -> None:
    declared = compose["services"][service]
    files = {value for name, value in declared["environment"].items() if name.endswith("_FILE")}
    assert files == {f"/run/secrets/{name}" for name in declared["secrets"]}
    assert set(declared["secrets"]) <= set(compose["secrets"])
    named = set(declared["environment"])
    assert not named & {"FARPADDOCK_SECRET_KEY", "FARPADDOCK_LINK_KEY", "FARPADDOCK_DATABASE_URL"}


def test_the_image_installs_from_the_lock_with_hashes_and_runs_unprivileged() -> None:
    text = (ROOT / "Dockerfile").read_text(encoding="utf-8")
    assert "--require-hashes -r requirements/run.lock.txt" in text
    assert re.search(r"^USER farpaddock$", text, flags=re.MULTILINE)
    for folder in re.findall(r"^COPY (\S+) ", text, flags=re.MULTILINE):
        assert (ROOT / folder).exists(), folder


def test_the_proxy_reaches_the_service_and_no_file(compose: dict[str, Any]) -> None:
    """Sheets go out by the service, which asks who wants them; a proxy with the folder at hand would not."""
    proxy = compose["services"]["proxy"]
    assert "volumes" not in proxy
    written = compose["configs"]["proxy"]["content"]
    assert not re.search(r"\b(root|alias|autoindex)\b", written)
    assert re.findall(r"location ([^{]+) {", written) == ["/", "~ /photos/$$"]
    assert re.findall(r"proxy_pass (\S+);", written) == ["http://web:8000"] * 2


def test_the_secrets_are_kept_out_of_the_build(compose: dict[str, Any]) -> None:
    kept_out = (ROOT / ".dockerignore").read_text(encoding="utf-8").split()
    folders = {Path(secret["file"]).parts[0] for secret in compose["secrets"].values()}
    assert folders <= set(kept_out)


def test_every_service_that_others_wait_for_tells_its_health(compose: dict[str, Any]) -> None:
    services = compose["services"]
    for name, service in services.items():
        for needed, when in (service.get("depends_on") or {}).items():
            if when["condition"] == "service_healthy":
                assert services[needed].get("healthcheck"), (name, needed)
