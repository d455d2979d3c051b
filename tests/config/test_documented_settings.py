"""The operator's table of settings is complete: generated from what the code reads."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
READ = re.compile(r"""["'](FARPADDOCK_[A-Z_]+)["']""")


def read_by_the_settings() -> set[str]:
    return set(READ.findall((ROOT / "config" / "settings.py").read_text(encoding="utf-8")))


def told_in_the_manual() -> set[str]:
    manual = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| `(FARPADDOCK_[A-Z_]+)` \|", manual, flags=re.MULTILINE))


def test_every_setting_read_is_in_the_table_and_no_other() -> None:
    assert read_by_the_settings() == told_in_the_manual()
