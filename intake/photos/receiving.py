"""Takes the files of a form as they arrive: never in memory, never under a name, never beyond the limit."""

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, SkipFile, StopUpload

from intake.photos import limits

#: Addresses that take files end so; a file sent anywhere else is passed over unread.
TAKES_FILES = ("/photos/", "/import/")


def incoming() -> Path:
    """Return the folder in which files grow, on the disk they will be kept on."""
    folder = Path(settings.MEDIA_ROOT) / "incoming"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


class BoundedUpload(FileUploadHandler):
    """Keeps a form's files in the folder's unnamed temporary files: one that is cut off leaves nothing behind, even
    when the process is killed.

    A form beyond ``limits.FORM_BYTES`` is marked on the request (``upload_refused``) and read on only so that the
    answer reaches the sender.
    """

    def __init__(self, request: Any = None) -> None:
        super().__init__(request)
        self.total = 0
        self.kept: Any = None
        self.cut_off = False

    def handle_raw_input(
        self,
        input_data: Any,
        META: Mapping[str, Any],  # noqa: N803  (as Django names it)
        content_length: int,
        boundary: Any,
        encoding: Any = None,
    ) -> Any:
        if content_length > limits.FORM_BYTES:
            self._refuse("form_too_large")
        self.cut_off = content_length > limits.DRAINED_BYTES
        return None

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        super().new_file(*args, **kwargs)
        if self.cut_off:
            raise StopUpload(connection_reset=True)
        if self.request is None or not self.request.path.endswith(TAKES_FILES) or self._refused():
            raise SkipFile
        self.kept = tempfile.TemporaryFile(dir=incoming(), prefix="part-")  # noqa: SIM115  (closed with the request)

    def receive_data_chunk(self, raw_data: bytes, start: int) -> None:
        self.total += len(raw_data)
        if self.total > limits.FORM_BYTES:
            self._refuse("form_too_large")
            raise StopUpload(connection_reset=True)
        self.kept.write(raw_data)

    def file_complete(self, file_size: int) -> "UploadedFile[Any] | None":
        self.kept.seek(0)
        # What the sender calls the file, and what it says it is, are left behind here.
        return UploadedFile(file=self.kept, name="file", content_type=None, size=file_size)

    def upload_interrupted(self) -> None:
        if self.kept is not None:
            self.kept.close()

    def _refuse(self, reason: str) -> None:
        if self.request is not None:
            self.request.upload_refused = reason  # type: ignore[attr-defined]

    def _refused(self) -> bool:
        return bool(getattr(self.request, "upload_refused", ""))
