"""The readers of the environment: what fits is read, what does not names its variable."""

from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from config.env import Env


def test_text_wants_a_value_or_a_default() -> None:
    assert Env({"A": "x"}).text("A") == "x"
    assert Env({"A": ""}).text("A", "y") == "y"
    with pytest.raises(ImproperlyConfigured, match="A is not set"):
        Env({}).text("A")


@pytest.mark.parametrize(("raw", "value"), [("1", True), ("Yes", True), ("off", False), ("FALSE", False)])
def test_flag_reads_the_usual_words(raw: str, value: bool) -> None:
    assert Env({"A": raw}).flag("A", not value) is value


def test_flag_refuses_anything_else() -> None:
    with pytest.raises(ImproperlyConfigured, match="A='perhaps'"):
        Env({"A": "perhaps"}).flag("A", False)


def test_integer() -> None:
    assert Env({"A": "12"}).integer("A", 1) == 12
    assert Env({}).integer("A", 1) == 1
    with pytest.raises(ImproperlyConfigured, match="not a whole number"):
        Env({"A": "1.5"}).integer("A", 1)
    with pytest.raises(ImproperlyConfigured, match="A=0 is below 1"):
        Env({"A": "0"}).integer("A", 1, at_least=1)


def test_listing() -> None:
    assert Env({"A": "a, b"}).listing("A", []) == ["a", "b"]
    with pytest.raises(ImproperlyConfigured, match="empty entry"):
        Env({"A": "a,,b"}).listing("A", [])


def test_secret_from_a_file(tmp_path: Path) -> None:
    file = tmp_path / "key"
    file.write_text("hush\n", encoding="utf-8")
    assert Env({"A_FILE": str(file)}).secret("A") == "hush"
    with pytest.raises(ImproperlyConfigured, match="not both"):
        Env({"A": "x", "A_FILE": str(file)}).secret("A")
    file.write_text("\n", encoding="utf-8")
    with pytest.raises(ImproperlyConfigured, match="is empty"):
        Env({"A_FILE": str(file)}).secret("A")
    with pytest.raises(ImproperlyConfigured, match="cannot be read"):
        Env({"A_FILE": str(tmp_path / "none")}).secret("A")
