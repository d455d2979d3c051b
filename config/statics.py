"""Static files under names that change with their content, the form's script modules among themselves too."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class Storage(CompressedManifestStaticFilesStorage):
    """Names are hashed inside CSS, as Django does, and in the imports of our own modules.

    Django's own switch for modules would read every script there is; the API page's bundles are no business of ours.
    A module imports as ``import { name } from "./file.js";``, on one line.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        ("intake/*.js", ((r'(?P<matched> from "(?P<url>\./[a-z]+\.js)";)', ' from "%(url)s";'),)),
    )


def version() -> str:
    """Return what changes when any static file does; "plain" where names are not hashed."""
    from django.contrib.staticfiles.storage import staticfiles_storage

    return getattr(staticfiles_storage, "manifest_hash", "") or "plain"
