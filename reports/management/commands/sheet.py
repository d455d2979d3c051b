"""``manage.py sheet request.json -o sheet.pdf``: a request document becomes a sheet, without browser or worker."""

import os
import sys
import tempfile
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from rest_framework.exceptions import APIException

from intake.api import faults, reasons
from intake.api.parsers import BodyTooLarge, read_json
from intake.document import DocumentError
from intake.services.requests import NotReady
from reports import pdf, shell
from tuning.engine.errors import EngineInputError

#: The document is at fault, not the machine.
BAD_DOCUMENT = 2


class Command(BaseCommand):
    help = "Read, check, derive, draft and print a request document; say what was found and what is recommended."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("document", help="the request document (JSON, as the API takes it), or - for stdin")
        parser.add_argument(
            "-o", "--output", type=Path, help="where to write the PDF; without it only text is printed"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        found: list[faults.Fault] = []
        document: object = None
        try:
            document = read_json(self._read(options["document"]))
            worked = shell.work(document)
        except APIException as error:
            found = faults.of(error, document)
        except (DocumentError, EngineInputError) as error:
            found = reasons.from_engine(error.faults)
        except NotReady as error:
            found = reasons.not_ready(error)
        if found:
            self._complain(found)
            sys.exit(BAD_DOCUMENT)
        self.stdout.write(shell.as_text(worked), ending="")
        if options["output"]:
            sheet = pdf.render(worked.document, worked.document["paper"])
            self._write(options["output"], sheet.data)
            self.stdout.write(
                _("Sheet: %(path)s, %(pages)d pages") % {"path": options["output"], "pages": sheet.pages}
            )

    def _read(self, place: str) -> bytes:
        limit = int(settings.DATA_UPLOAD_MAX_MEMORY_SIZE)
        try:
            if place == "-":
                body = sys.stdin.buffer.read(limit + 1)
            else:
                with Path(place).open("rb") as handle:
                    body = handle.read(limit + 1)
        except OSError as error:
            raise CommandError(f"{place}: {error.strerror}") from error
        if len(body) > limit:
            raise BodyTooLarge
        return body

    def _complain(self, found: list[faults.Fault]) -> None:
        for one in found:
            where = one["path"] or _("document")
            self.stderr.write(f"{where}: {one['message']} [{one['reason']}; {_('given')}: {one['value']!r}]")

    def _write(self, place: Path, data: bytes) -> None:
        """Write the file whole or not at all."""
        try:
            handle, name = tempfile.mkstemp(dir=place.parent, prefix=f".{place.name}.")
            try:
                with os.fdopen(handle, "wb") as out:
                    out.write(data)
                umask = os.umask(0)
                os.umask(umask)
                Path(name).chmod(0o666 & ~umask)
                Path(name).replace(place)
            except OSError:
                Path(name).unlink(missing_ok=True)
                raise
        except OSError as error:
            raise CommandError(f"{place}: {error.strerror}") from error
