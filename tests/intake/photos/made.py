"""Files as clients and others send them: photos made here, videos by their first bytes, and hostile ones."""

import base64
import io
import struct
import tempfile
import zlib
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile, UploadedFile
from PIL import Image

#: A 64 × 48 px photo in HEIC with a camera's name in it; the corner at the upper left is blue, the rest red.
HEIC = base64.b64decode(
    """
AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAb5tZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAAAAAAAAAAAAAAADRpbG9jAA
AAAERAAAIAAQAAAAAB4gABAAAAAAAAADUAAgAAAAACFwABAAAAAAAAAEYAAAA4aWluZgAAAAAAAgAAABVpbmZlAgAAAAABAABodmMxAAAAABVp
bmZlAgAAAQACAABFeGlmAAAAAA5waXRtAAAAAAABAAAA/WlwcnAAAADdaXBjbwAAAHZodmNDAQNwAAAAkAAAAAAAHvAA/P34+AAADwNgAAEAGE
ABDAH//wNwAAADAJAAAAMAAAMAHroCQGEAAQAqQgEBA3AAAAMAkAAAAwAAAwAeoCCBBZbq5Ka5uAhoMCAAAAMDIAAAAwAhYgABAAZEAcFzwIkA
AAATY29scm5jbHgAAQANAAaAAAAAFGlzcGUAAAAAAAAAQAAAAEAAAAAoY2xhcAAAAEAAAAABAAAAMAAAAAEAAAAAAAAAAv////AAAAACAAAAEH
BpeGkAAAAAAwgICAAAABhpcG1hAAAAAAAAAAEAAQWBAgMFhAAAABppcmVmAAAAAAAAAA5jZHNjAAIAAQABAAAAg21kYXQAAAAxKAGvWPkS3f/n
suR0j/8+cvHMNQtOZP44ddh2tqZTsfWrdRIf8xj9+ZX2hEyUNPcT6AAAAAZFeGlmAABNTQAqAAAACAACAQ8AAgAAAAgAAAAmARAAAgAAAA4AAA
AuAAAAAENvcnZhbmUAU2VjcmV0IENhbWVyYQA=
"""
)
MP4 = b"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42isom" + b"\x00" * 100
MOV = b"\x00\x00\x00\x14ftypqt  \x00\x00\x02\x00qt  " + b"\x00" * 100
WEBM = (
    b"\x1a\x45\xdf\xa3\x9fB\x86\x81\x01B\xf7\x81\x01B\xf2\x81\x04B\xf3\x81\x08B\x82\x84webmB\x87\x81\x04"
    + b"\x00" * 100
)
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><secret>where I live</secret></x:xmpmeta>'


def photo(form: str = "JPEG", size: tuple[int, int] = (60, 40), mode: str = "RGB", **options: Any) -> bytes:
    """Return a photo: red, with the upper left quarter blue."""
    red, blue = ((200, 30, 30), (20, 20, 200)) if mode == "RGB" else ((200, 30, 30, 255), (20, 20, 200, 128))
    picture = Image.new(mode, size, red)
    picture.paste(blue, (0, 0, size[0] // 2, size[1] // 2))
    out = io.BytesIO()
    picture.save(out, form, **options)
    return out.getvalue()


def with_everything(form: str = "JPEG", orientation: int = 6) -> bytes:
    """Return a photo lying on its side with camera, place, thumbnail-like comment, XMP and a profile of its own."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Corvane", "Secret Camera", orientation
    exif.get_ifd(0x8825)[2] = (47.0, 30.0, 0.0)
    exif.get_ifd(0x8769)[0x9003] = "2026:11:25 10:00:00"
    options: dict[str, Any] = {"exif": exif, "icc_profile": b"private profile " * 20}
    if form in {"JPEG", "WEBP"}:
        options["xmp"] = XMP
    if form == "JPEG":
        options["comment"] = b"where I live"
    return photo(form, **options)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, rows: bytes = b"", *more: bytes) -> bytes:
    """Return a PNG that says it is of this size, whatever its rows hold."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = (chunk(b"IHDR", head), *more, chunk(b"IDAT", zlib.compress(rows, 9)), chunk(b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HOSTILE: dict[str, bytes] = {
    "empty": b"",
    "one byte": b"\xff",
    "svg": SVG,
    "html": b"<!doctype html><script>alert(1)</script>",
    "jpeg magic alone": b"\xff\xd8\xff",
    "cut short": photo(size=(400, 300))[:200],
    "png cut in its head": photo("PNG")[:20],
    "webp cut": photo("WEBP")[:30],
    "heic cut": HEIC[:200],
    "heic of zeros": HEIC[:48] + b"\x00" * 500,
    "svg behind a jpeg's magic": b"\xff\xd8\xff\xe0" + SVG,
    "svg behind a png's magic": b"\x89PNG\r\n\x1a\n" + SVG,
    "huge png": png(60_000, 60_000, b"\x00" * 1000),
    "long thin png": png(2_000_000, 1, b"\x00" * 1000),
    "png of no width": png(0, 10),
    "png bomb": png(7_000, 7_200, b"\x00" * (7_001 * 3 * 7_200)),
    "png of text": png(10, 10, b"\x00" * 310, chunk(b"zTXt", b"a\x00\x00" + zlib.compress(b"\x00" * 80_000_000, 9))),
    "png with a lying length": photo("PNG").replace(b"IDAT", b"IDAT", 1)[:40]
    + b"\xff\xff\xff\xff"
    + photo("PNG")[44:],
    "gif": photo("GIF"),
    "tiff": photo("TIFF"),
    "bmp": photo("BMP"),
    "pdf": b"%PDF-1.7\n1 0 obj\n",
    "zip": b"PK\x03\x04" + b"\x00" * 100,
    "matroska": b"\x1a\x45\xdf\xa3\x93B\x82\x88matroska" + b"\x00" * 100,
    "ftyp of nothing known": b"\x00\x00\x00\x18ftypevil" + b"\x00" * 100,
    "avif": b"\x00\x00\x00\x18ftypavif" + b"\x00" * 100,
}


def sent(data: bytes, name: str = "IMG_0001.jpg", content_type: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type)


def arrived(data: bytes) -> UploadedFile:
    """Return a file as the service has it in hand once it has arrived."""
    file = tempfile.TemporaryFile()  # noqa: SIM115  (closed with the test)
    file.write(data)
    file.seek(0)
    return UploadedFile(file=file, name="file", size=len(data))
