"""``manage.py texts``: take every message from code and templates into the .po files, and compile those.

Each app keeps its own ``locale/<language>/LC_MESSAGES/django.po``. A message that is gone leaves the file; a new one
comes in empty, never filled by guess. Needs Debian's gettext. The .po files hold no date and no line numbers, and a
message stands on one line, so that a difference shows what was said differently and nothing else.
"""

import os
import re
import subprocess
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser
from django.core.management.commands import makemessages

#: Where each app's messages are kept, below the project's folder.
LOCALES = ("config/locale", "intake/locale", "tuning/desk/locale", "reports/locale")
#: Lines of a .po file's head that say when and for whom a tool made it.
_HEAD = re.compile(
    r'^"(?:Project-Id-Version|Report-Msgid-Bugs-To|POT-Creation-Date|PO-Revision-Date|Last-Translator|Language-Team):.*\n',
    re.MULTILINE,
)
#: One, and more than one. Counts here stay far below a million, for which Spanish has a form of its own.
PLURALS = "nplurals=2; plural=(n != 1);"
_PREAMBLE = re.compile(r"\A(?:#.*\n)+")


def languages() -> list[str]:
    """Return the languages that need translations: all but the one the code is written in."""
    return [code for code, _name in settings.LANGUAGES if code != settings.LANGUAGE_CODE]


def po_files(root: Path) -> list[Path]:
    return [root / place / code / "LC_MESSAGES" / "django.po" for place in LOCALES for code in languages()]


class Command(makemessages.Command):
    help = "Renew the .po files from code and templates, and compile them."
    # Sentences that differ a little are not the same: nothing is guessed from the likes of a new message.
    msgmerge_options = [*makemessages.Command.msgmerge_options, "--no-fuzzy-matching"]
    # Beside gettext_lazy as _, some modules word things at once and call that "now".
    xgettext_options = [*makemessages.Command.xgettext_options, "--keyword=now"]

    def add_arguments(self, parser: CommandParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("--root", default=str(settings.BASE_DIR), help="the project's folder, or a copy of it")
        parser.add_argument("--no-compile", action="store_true", help="leave the .mo files as they are")

    def handle(self, *args: Any, **options: Any) -> None:
        root = Path(options["root"])
        for place in LOCALES:
            (root / place).mkdir(exist_ok=True)
        before = Path.cwd()
        os.chdir(root)  # Django's command looks below the folder it is started in
        try:
            super().handle(
                *args,
                **{
                    **options,
                    "locale": languages(),
                    "ignore_patterns": [*options["ignore_patterns"], "tests/*", "static-built/*", "var/*"],
                    "add_location": "file",
                    "no_wrap": True,
                    "no_obsolete": True,
                },
            )
        finally:
            os.chdir(before)
        files = [path for path in po_files(root) if path.exists()]
        for path in files:
            text = tidied(path.read_text(encoding="utf-8"), path.parts[-3])
            path.write_text(text, encoding="utf-8")
        for path in files if not options["no_compile"] else ():
            compile_po(path)


def tidied(text: str, language: str) -> str:
    """Return the text of a .po file without what differs from run to run, and with its language told."""
    text = _PREAMBLE.sub("", _HEAD.sub("", text))
    text = re.sub(r'^"Language:.*$', rf'"Language: {language}\\n"', text, count=1, flags=re.MULTILINE)
    return re.sub(r'^"Plural-Forms:.*$', rf'"Plural-Forms: {PLURALS}\\n"', text, count=1, flags=re.MULTILINE)


def compile_po(path: Path) -> None:
    """Write the .mo file beside a .po file. Raises CalledProcessError for placeholders that do not fit."""
    command = ["msgfmt", "--check-format", "--no-hash", "-o", str(path.with_suffix(".mo")), str(path)]
    subprocess.run(command, check=True)  # noqa: S603
