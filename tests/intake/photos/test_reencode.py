"""A photo is written anew: upright, no larger than need be, and without anything but its pixels."""

import io
import subprocess
import sys
import tempfile

import pytest
from PIL import Image

from intake.photos import reencode
from intake.photos.kinds import kind_of
from tests.intake.photos import made


def written(data: bytes, kind: str) -> bytes:
    out = io.BytesIO()
    reencode.reencode(io.BytesIO(data), out, kind)
    return out.getvalue()


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_nothing_but_pixels_survives(form: str) -> None:
    before = made.with_everything(form)
    assert b"Secret Camera" in before
    after = written(before, form)
    with Image.open(io.BytesIO(after)) as picture:
        assert picture.format == "JPEG"
        assert not picture.getexif()
        assert not {"exif", "icc_profile", "xmp", "comment", "photoshop", "adobe"} & set(picture.info)
    for secret in (b"Secret Camera", b"Corvane", b"where I live", b"private profile", b"Exif", b"http", b"2026:11"):
        assert secret not in after


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(
    ("orientation", "size", "blue"),
    [(1, (60, 40), (2, 2)), (6, (40, 60), (37, 2)), (3, (60, 40), (57, 37)), (8, (40, 60), (2, 57))],
)
def test_it_is_turned_upright(form: str, orientation: int, size: tuple[int, int], blue: tuple[int, int]) -> None:
    with Image.open(io.BytesIO(written(made.with_everything(form, orientation), form))) as picture:
        assert picture.size == size
        red, _green, much_blue = picture.convert("RGB").getpixel(blue)  # type: ignore[misc]
        assert much_blue > 150 > red


def test_heic_is_taken_and_loses_its_camera() -> None:
    assert b"Secret Camera" in made.HEIC
    after = written(made.HEIC, "HEIF")
    assert b"Secret Camera" not in after
    with Image.open(io.BytesIO(after)) as picture:
        assert (picture.format, picture.size) == ("JPEG", (64, 48))


@pytest.mark.parametrize(("size", "after"), [((3000, 1500), (2000, 1000)), ((1000, 4000), (500, 2000)),
                                             ((300, 200), (300, 200))])  # fmt: skip
def test_the_longest_side_is_bounded_and_nothing_is_blown_up(size: tuple[int, int], after: tuple[int, int]) -> None:
    with Image.open(io.BytesIO(written(made.photo("JPEG", size), "JPEG"))) as picture:
        assert picture.size == after


def test_what_is_see_through_becomes_white() -> None:
    with Image.open(io.BytesIO(written(made.photo("PNG", mode="RGBA"), "PNG"))) as picture:
        red, _green, _blue = picture.getpixel((2, 2))  # type: ignore[misc]
        assert 100 < red < 180


@pytest.mark.parametrize(("size", "side"), [((7001, 7200), "pixels"), ((20_001, 10), "side")])
def test_a_picture_beyond_the_limit_is_refused_before_it_is_decoded(size: tuple[int, int], side: str) -> None:
    with pytest.raises(reencode.Refusal, match="too_many_pixels"):
        written(made.png(*size), "PNG")


def test_only_the_decoder_named_is_tried() -> None:
    with pytest.raises(reencode.Refusal, match="not_readable"):
        written(made.photo("TIFF"), "JPEG")


def test_the_process_is_bounded_in_memory_and_says_so_by_its_end() -> None:
    """What asks for more memory than it may have ends there, not in the web process."""
    program = (
        "import sys; sys.path.insert(0, sys.argv[1]); import reencode; reencode.bound(200_000_000); bytearray(10**9)"
    )
    folder = reencode.__file__.rpartition("/")[0]
    done = subprocess.run([sys.executable, "-c", program, folder], capture_output=True, check=False)
    assert done.returncode != 0
    assert b"MemoryError" in done.stderr


def test_the_program_stands_alone() -> None:
    with tempfile.TemporaryFile() as source:
        source.write(made.photo())
        source.seek(0)
        done = subprocess.run(
            [sys.executable, "-I", reencode.__file__, "JPEG"], stdin=source, capture_output=True, env={}, check=True
        )
    assert done.stderr == b"60x40"
    assert done.stdout.startswith(b"\xff\xd8\xff")


@pytest.mark.parametrize(
    ("head", "name"),
    [(made.MP4, "MP4"), (made.MOV, "MOV"), (made.WEBM, "WEBM"), (made.HEIC, "HEIF"), (made.photo(), "JPEG")],
)
def test_a_file_is_what_its_first_bytes_say(head: bytes, name: str) -> None:
    kind = kind_of(head[:64])
    assert kind
    assert kind.name == name
