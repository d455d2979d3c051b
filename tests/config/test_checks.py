"""Each numbered check, made to fail."""

from pathlib import Path
from typing import Any

import pytest
from django.core.checks import run_checks

from config import checks

GOOD_KEY = "k7Qw" * 15


def found(*tags: str) -> set[str]:
    return {str(message.id) for message in run_checks() if str(message.id).startswith("farpaddock.")}


@pytest.fixture(autouse=True)
def _sound(settings: Any, tmp_path: Path) -> None:
    settings.SECRET_KEY = GOOD_KEY
    settings.MEDIA_ROOT = tmp_path / "media"


def test_a_sound_set_up_has_no_fault() -> None:
    assert found() == set()


@pytest.mark.parametrize("key", ["short", "changeme" * 10, "django-insecure-" + GOOD_KEY])
def test_e001_key(settings: Any, key: str) -> None:
    settings.SECRET_KEY = key
    assert found() == {"farpaddock.E001"}


@pytest.mark.parametrize("name", ["DEBUG", "DEMO"])
def test_e002_debug_or_demo_in_public(settings: Any, name: str) -> None:
    setattr(settings, name, True)
    assert found() == set()
    settings.HTTPS = True
    assert found() == {"farpaddock.E002"}


def test_w003_files_as_broker_beside_postgresql(settings: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(settings.DATABASES["default"], "ENGINE", "django.db.backends.postgresql")
    monkeypatch.setattr(settings, "CELERY_BROKER_URL", "farpaddock-files://")
    assert [message.id for message in checks.broker_is_shared(None)] == ["farpaddock.W003"]
    monkeypatch.setattr(settings, "CELERY_BROKER_URL", "redis://127.0.0.1:1/0")
    assert checks.broker_is_shared(None) == []


def test_e004_media_folder(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The test may run as root, to whom every folder is writable; so the system's answer is stood in for."""
    monkeypatch.setattr(checks.os, "access", lambda path, mode: False)
    assert found() == {"farpaddock.E004"}


def test_e004_media_folder_is_a_file(settings: Any, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    settings.MEDIA_ROOT = tmp_path / "file"
    assert found() == {"farpaddock.E004"}


def test_e005_fonts(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(checks, "FONT_FOLDER", tmp_path)
    assert found() == {"farpaddock.E005"}


def test_e006_rates(settings: Any) -> None:
    settings.THROTTLE_RATES = {"api": "lots"}
    assert found() == {"farpaddock.E006"}
