"""What a file is, by its first bytes alone: neither its name nor what the sender calls it is asked."""

from dataclasses import dataclass

#: How many bytes of a file tell what it is.
LOOKED_AT = 64
_HEIF_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"mif1", b"msf1"})
_MP4_BRANDS = frozenset(
    {b"isom", b"iso2", b"iso4", b"iso5", b"iso6", b"mp41", b"mp42", b"avc1", b"M4V ", b"MSNV", b"3gp4", b"3gp5"}
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: photo or video, the decoder it goes to or its own ending, and its content type."""

    video: bool
    name: str
    ending: str
    content_type: str


JPEG = Kind(False, "JPEG", "jpg", "image/jpeg")
PNG = Kind(False, "PNG", "png", "image/png")
WEBP = Kind(False, "WEBP", "webp", "image/webp")
HEIF = Kind(False, "HEIF", "heic", "image/heic")
MP4 = Kind(True, "MP4", "mp4", "video/mp4")
MOV = Kind(True, "MOV", "mov", "video/quicktime")
WEBM = Kind(True, "WEBM", "webm", "video/webm")


def kind_of(head: bytes) -> Kind | None:
    """Return what a file that begins so is, or None for what is not taken."""
    if head.startswith(b"\xff\xd8\xff"):
        return JPEG
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return WEBP
    if head.startswith(b"\x1a\x45\xdf\xa3"):
        return WEBM if b"\x42\x82\x84webm" in head[:LOOKED_AT] else None
    if head[4:8] == b"ftyp":
        brand = head[8:12]
        if brand in _HEIF_BRANDS:
            return HEIF
        if brand == b"qt  ":
            return MOV
        return MP4 if brand in _MP4_BRANDS else None
    return None
