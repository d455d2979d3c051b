"""The .po files are complete: every message of code and templates is there and translated, with its placeholders,
tags and lines, and nothing else is; what is compiled is what they say."""

import re
import shutil
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import polib
import pytest
from django.conf import settings
from django.core.management import call_command

from config.management.commands.texts import LOCALES, languages, po_files, tidied

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("config", "intake", "tuning", "reports")
Key = tuple[str, str, str]

#: What has to be the same in a translation, as often as in the original.
KEPT = re.compile(r"%\(\w+\)[sdgf]|%%|%[sdgf]|\{\w*\}|</?[a-z][^>]*>|&\w+;|\n|\u00a0")
WORD = re.compile(r"[^\W\d_]")
#: Messages that read the same in another language, by why.
SIGNS = (
    *("bar psi kPa N/mm kgf/mm lbf/in N·m lbf·ft mm A4 L L1 L2".split()),
    *("mm, kg, bar, N/mm", "in, lb, psi, lbf/in", "PDF, A4", "PDF, %(paper)s", "%(count)d min", "%(count)d h"),
)
SAME = {
    "de": {
        "units, paper, lengths": (*SIGNS, "US Letter", "PDF, US Letter"),
        "the same word": ("3: normal", "Sand", "Start", "Tuner", "Budget", "Imperial", "Version %(n)s",
                          "Version %(n)s, %(who)s, %(when)s UTC"),
    },
    "es": {
        "units, paper, lengths": SIGNS,
        "the same word": ("3: normal", "enduro", "motocross", "supermoto", "cruiser", "manual", "No", "no",
                          "Imperial"),
    },
}  # fmt: skip


def same(language: str) -> set[str]:
    return {text for texts in SAME[language].values() for text in texts}


def entries(path: Path) -> dict[Key, polib.POEntry]:
    return {(entry.msgctxt or "", entry.msgid, entry.msgid_plural): entry for entry in polib.pofile(str(path))}


def pairs(entry: polib.POEntry) -> Iterator[tuple[str, str]]:
    """Yield each form of a message with its translation."""
    if entry.msgid_plural:
        yield entry.msgid, entry.msgstr_plural.get(0, "")
        yield entry.msgid_plural, entry.msgstr_plural.get(1, "")
    else:
        yield entry.msgid, entry.msgstr


def place(path: Path) -> str:
    return str(path.relative_to(ROOT))


def test_there_is_a_file_for_every_app_and_language() -> None:
    assert languages() == ["de", "es"]
    assert sorted(LOCALES) == sorted(
        str(path.relative_to(ROOT)) for package in PACKAGES for path in (ROOT / package).rglob("locale")
    )
    assert all(path.exists() for path in po_files(ROOT))


def test_code_and_templates_ask_for_what_the_files_hold_and_nothing_else(tmp_path: Path) -> None:
    for package in PACKAGES:
        shutil.copytree(
            ROOT / package,
            tmp_path / package,
            ignore=shutil.ignore_patterns("__pycache__", "*.mo", "static", "fonts"),
        )
    call_command("texts", root=str(tmp_path), no_compile=True, verbosity=0)
    told = []
    for path in po_files(ROOT):
        kept, taken = entries(path), entries(tmp_path / path.relative_to(ROOT))
        told += [f"{place(path)}: new: {key[1]!r}" for key in taken.keys() - kept.keys()]
        told += [f"{place(path)}: no longer asked for: {key[1]!r}" for key in kept.keys() - taken.keys()]
    assert not told, "run `make texts`, then translate:\n" + "\n".join(sorted(told))


@pytest.mark.parametrize("path", po_files(ROOT), ids=place)
def test_everything_is_translated_with_all_that_belongs_to_it(path: Path) -> None:
    language, told = path.parts[-3], []
    for entry in entries(path).values():
        where = ", ".join(name for name, _line in entry.occurrences)
        if entry.fuzzy or entry.obsolete:
            told.append(f"{where}: unsure: {entry.msgid!r}")
        for original, translation in pairs(entry):
            if not translation.strip():
                told.append(f"{where}: not translated: {original!r}")
            elif Counter(KEPT.findall(original)) != Counter(KEPT.findall(translation)):
                told.append(f"{where}: other placeholders, tags or lines: {original!r} → {translation!r}")
            elif [original[:1].isspace(), original[-1:].isspace()] != [
                translation[:1].isspace(),
                translation[-1:].isspace(),
            ]:
                told.append(f"{where}: other space around it: {original!r} → {translation!r}")
            # What holds placeholders and no word of its own may stay as it is.
            elif original == translation and WORD.search(KEPT.sub("", original)) and original not in same(language):
                told.append(f"{where}: still English: {original!r}")
    assert not told, "\n".join(told)


@pytest.mark.parametrize("language", languages())
def test_what_may_stay_the_same_still_does(language: str) -> None:
    unchanged = {
        original
        for path in po_files(ROOT)
        if path.parts[-3] == language
        for entry in entries(path).values()
        for original, translation in pairs(entry)
        if original == translation
    }
    assert same(language) <= unchanged


@pytest.mark.parametrize("language", languages())
def test_a_message_of_two_apps_is_translated_alike(language: str) -> None:
    # Django merges the apps' files, and the last one wins everywhere.
    found: dict[Key, dict[str, tuple[str, ...]]] = {}
    for path in po_files(ROOT):
        if path.parts[-3] == language:
            for key, entry in entries(path).items():
                found.setdefault(key, {})[place(path)] = tuple(translation for _original, translation in pairs(entry))
    assert not {key: texts for key, texts in found.items() if len(set(texts.values())) > 1}


@pytest.mark.parametrize("path", po_files(ROOT), ids=place)
def test_what_is_compiled_is_what_the_file_says(path: Path) -> None:
    compiled = polib.mofile(str(path.with_suffix(".mo")))
    told = {(e.msgctxt or "", e.msgid, e.msgid_plural): [t for _o, t in pairs(e)] for e in compiled}
    wanted = {key: [t for _o, t in pairs(entry)] for key, entry in entries(path).items() if entry.translated()}
    assert told == wanted, "run `make texts`"
    text = path.read_text(encoding="utf-8")
    assert tidied(text, path.parts[-3]) == text


def test_the_settings_speak_these_languages() -> None:
    assert [code for code, _name in settings.LANGUAGES] == [settings.LANGUAGE_CODE, *languages()]
