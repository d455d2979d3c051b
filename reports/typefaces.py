"""The fonts that a sheet may use: those shipped in ``reports/fonts`` and no others."""

import os
import tempfile
from pathlib import Path
from xml.sax.saxutils import escape

FOLDER = Path(__file__).resolve().parent / "fonts"

_CONF = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
  <dir>{fonts}</dir>
  <cachedir>{cache}</cachedir>
  <config><rescan><int>0</int></rescan></config>
</fontconfig>
"""


def use_shipped_fonts(state: Path) -> Path:
    """Point fontconfig at the shipped fonts alone and return the configuration written for it.

    Must run before WeasyPrint is imported: fontconfig reads the variable once per process. ``state`` is a
    folder we may write in (the configuration and fontconfig's cache live there). Raises OSError.
    """
    folder = state / "fontconfig"
    cache = folder / "cache"
    cache.mkdir(parents=True, exist_ok=True)
    conf = folder / "fonts.conf"
    text = _CONF.format(fonts=escape(str(FOLDER)), cache=escape(str(cache)))
    if not conf.exists() or conf.read_text(encoding="utf-8") != text:
        # Written aside and renamed: another process may be reading it.
        handle, name = tempfile.mkstemp(dir=folder, suffix=".conf")
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            out.write(text)
        Path(name).replace(conf)
    os.environ["FONTCONFIG_FILE"] = str(conf)
    return conf
