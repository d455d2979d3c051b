"""Writes a photo anew: upright, at most 2000 px, and without anything but its pixels.

Run as a process of its own, with the sent file as standard input and the new one as standard output, so that whatever
a hostile file does to a decoder ends with this process. Ends with 0 and the pixels' size on standard error, or with 3
and the id of a refusal. Knows nothing of the service: no settings, no database, no environment.
"""

import resource
import sys
from typing import IO

MOST_PIXELS = 50_000_000
MOST_SIDE = 20_000
LONGEST_SIDE = 2000
QUALITY = 85
MEMORY_BYTES = 1_500_000_000
CPU_SECONDS = 10
REFUSED = 3


class Refusal(Exception):
    """The file is refused; the argument is the refusal's id."""


def bound(memory: int = MEMORY_BYTES, cpu: int = CPU_SECONDS) -> None:
    """Set what this process may take, before it reads a byte."""
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def reencode(source: IO[bytes], target: IO[bytes], kind: str) -> tuple[int, int]:
    """Write the photo in ``source`` as a JPEG; return width and height. Raises Refusal.

    ``kind``: the one decoder that is tried. Only pixels are carried over, into a new picture, so that nothing that
    was beside them (place, camera, thumbnail, colour profile, comments) can come along.
    """
    from PIL import Image, ImageOps

    if kind == "HEIF":
        import pi_heif

        pi_heif.register_heif_opener(thumbnails=False)
    # Pillow's own limit is only a warning up to twice its size; ours is checked below, before any pixel is decoded.
    Image.MAX_IMAGE_PIXELS = None
    try:
        with Image.open(source, formats=[kind]) as sent:
            width, height = sent.size
            if width * height > MOST_PIXELS or max(width, height) > MOST_SIDE:
                raise Refusal("too_many_pixels")
            sent.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            sent.load()
            upright = ImageOps.exif_transpose(sent)
            upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
            plain = Image.new("RGB", upright.size, "white")
            if upright.mode in {"RGBA", "LA", "PA"} or "transparency" in upright.info:
                seen = upright.convert("RGBA")
                plain.paste(seen, mask=seen.getchannel("A"))
            else:
                plain.paste(upright.convert("RGB"))
            plain.save(target, "JPEG", quality=QUALITY, optimize=True)
            return plain.size
    except Refusal:
        raise
    except MemoryError as error:
        raise Refusal("too_many_pixels") from error
    except Exception as error:
        # A decoder may fail in any way on bytes meant to make it fail; whatever it is, the file is no photo for us.
        raise Refusal("not_readable") from error


def main() -> int:
    bound()
    try:
        width, height = reencode(sys.stdin.buffer, sys.stdout.buffer, sys.argv[1])
        sys.stdout.flush()
    except Refusal as refusal:
        sys.stderr.write(str(refusal))
        return REFUSED
    sys.stderr.write(f"{width}x{height}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
