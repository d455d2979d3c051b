"""Static files under names that change with their content, the form's script modules among themselves too."""

import re
from typing import Any

from django.core.files.base import ContentFile
from whitenoise.storage import CompressedManifestStaticFilesStorage

_COMMENT = re.compile(rb"^[ ]*//.*\n", re.MULTILINE)


def lean(script: bytes) -> bytes:
    """Return a script without the lines that are comments: they are for us, not for a phone's connection."""
    return _COMMENT.sub(b"", script)


class Storage(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # whitenoise has no types  # type: ignore[misc]  # WhiteNoise has no types
    """Names are hashed inside CSS, as Django does, and in the imports of our own modules.

    Django's own switch for modules would read every script there is; the API page's bundles are no business of ours.
    A module imports as ``import { name } from "./file.js";``, on one line, and its comments have lines of their own.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("intake/*.js", ((r'(?P<matched> from "(?P<url>\./[a-z]+\.js)";)', ' from "%(url)s";'),)),
    )

    def _save(self, name: str, content: Any) -> str:
        if re.fullmatch(r"intake/[\w.]+\.js", name):
            content = ContentFile(lean(b"".join(content.chunks())))
        return str(super()._save(name, content))


def version() -> str:
    """Return what changes when any static file does; "plain" where names are not hashed."""
    from django.contrib.staticfiles.storage import staticfiles_storage

    return getattr(staticfiles_storage, "manifest_hash", "") or "plain"
