"""Static files as they are served: names by content, in the form's modules too, and nothing in them for us alone."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.core.management import call_command
from django.templatetags.static import static
from django.test import Client

from config import statics
from intake.views.live import ASSETS


@pytest.fixture
def built(settings, tmp_path: Path) -> Path:
    settings.STATIC_ROOT = tmp_path
    settings.STORAGES = settings.STORAGES | {"staticfiles": {"BACKEND": "config.statics.Storage"}}
    call_command("collectstatic", "--noinput", "--verbosity", "0", "--ignore", "drf_spectacular_sidecar")
    return tmp_path


@pytest.mark.slow
def test_modules_import_each_other_by_names_that_change_with_their_content(built: Path, client: Client) -> None:
    scripts = [name for name in ASSETS if name.endswith(".js")]
    imported = set()
    for name in scripts:
        text = (built / static(name).removeprefix("/static/")).read_text(encoding="utf-8")
        found = re.findall(r'from "\./([^"]+)"', text)
        assert all(re.fullmatch(r"[a-z]+\.[0-9a-f]{12}\.js", one) for one in found), name
        assert all((built / "intake" / one).exists() for one in found), name
        assert "\n//" not in "\n" + text
        imported |= {f"intake/{one.partition('.')[0]}.js" for one in found}
    assert imported
    assert imported <= set(scripts)

    # The worker names them all, and another file anywhere makes it another worker.
    worker = client.get("/worker.js").content.decode()
    assert all(f'"{static(name)}"' in worker for name in ASSETS)
    assert f'"version": "{statics.version()}"' in worker
    assert statics.version() != "plain"


def test_a_script_loses_its_comments_and_nothing_else() -> None:
    given = b'// What it does.\nconst a = "//no comment"; // kept\n  // gone\nconst b = a;\n'
    assert statics.lean(given) == b'const a = "//no comment"; // kept\nconst b = a;\n'


def test_the_worker_is_served_from_the_root_as_a_script(client: Client) -> None:
    answer = client.get("/worker.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer.content.decode().startswith("const KEPT = {")
    assert all(finders.find(name) for name in ASSETS)
