"""Photographs before they are kept: what is taken, what is refused, and that nothing but the picture stays."""

from __future__ import annotations

import hashlib
import struct
import zlib
from io import BytesIO

import pytest
from PIL import Image

from tests import pictures
from trainer.records import photograph
from trainer.records.photograph import PhotographUnfit


def opened(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data))


def near(got: object, wanted: tuple[int, int, int]) -> bool:
    """JPEG changes colours a little."""
    assert isinstance(got, tuple)
    return all(abs(a - b) < 12 for a, b in zip(got, wanted, strict=True))


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_nothing_of_place_time_device_or_maker_stays(form: str) -> None:
    sent = pictures.from_camera(form=form)
    assert b"Invented Camera Works" in sent
    kept = photograph.prepared(sent)
    assert [secret for secret in pictures.SECRETS if secret in kept.data] == []
    read_back = opened(kept.data)
    assert (read_back.format, read_back.mode, read_back.size) == ("JPEG", "RGB", (400, 300))
    assert dict(read_back.getexif()) == {}
    assert {"exif", "comment", "icc_profile", "xmp"} & set(read_back.info) == set()
    assert kept.sha256 == hashlib.sha256(kept.data).hexdigest()


# Exif 2.32, tag Orientation: where row 0 and column 0 of the stored picture lie in the scene. Stored, the left is
# red and the right is blue; in the scene that is then, by the table of the standard:
@pytest.mark.parametrize(
    ("orientation", "red_lies"),
    [
        (1, "left"),
        (2, "right"),
        (3, "right"),
        (4, "left"),
        (5, "top"),
        (6, "top"),
        (7, "bottom"),
        (8, "bottom"),
    ],
)
def test_it_is_turned_upright_as_the_camera_says(orientation: int, red_lies: str) -> None:
    kept = photograph.prepared(pictures.from_camera(orientation=orientation))
    upright = opened(kept.data)
    assert upright.size == ((400, 300) if orientation < 5 else (300, 400)) == (kept.width, kept.height)
    wide, high = upright.size
    edges = {"left": (10, high // 2), "right": (wide - 10, high // 2), "top": (wide // 2, 10)}
    edges["bottom"] = (wide // 2, high - 10)
    for edge, place in edges.items():
        if (edge in ("left", "right")) is (red_lies in ("left", "right")):
            colour = pictures.RED if edge == red_lies else pictures.BLUE
            assert near(upright.getpixel(place), colour), edge


@pytest.mark.parametrize(
    ("width", "height", "wanted"),
    [(3200, 2400, (1600, 1200)), (1000, 4000, (400, 1600)), (1600, 10, (1600, 10)), (20, 30, (20, 30))],
)
def test_it_is_made_at_most_1600_pixels_long_and_never_larger(
    width: int, height: int, wanted: tuple[int, int]
) -> None:
    kept = photograph.prepared(pictures.from_camera(width, height))
    assert opened(kept.data).size == wanted == (kept.width, kept.height)


def test_what_is_see_through_lies_on_white() -> None:
    written = BytesIO()
    Image.new("RGBA", (40, 40), (0, 0, 0, 0)).save(written, "PNG")
    assert near(opened(photograph.prepared(written.getvalue()).data).getpixel((20, 20)), (255, 255, 255))


def test_the_same_file_gives_the_same_bytes() -> None:
    sent = pictures.from_camera()
    assert photograph.prepared(sent) == photograph.prepared(sent)


def _gif() -> bytes:
    written = BytesIO()
    pictures.scene().save(written, "GIF")
    return written.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"no picture",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        _gif(),
        pictures.from_camera()[:900],
        pictures.from_camera(form="PNG")[:-300],
        pictures.from_camera(form="WEBP")[:-300],
    ],
    ids=["empty", "text", "svg", "gif", "cut JPEG", "cut PNG", "cut WebP"],
)
def test_what_is_no_photograph_is_refused_in_one_sentence(data: bytes) -> None:
    with pytest.raises(PhotographUnfit) as told:
        photograph.prepared(data)
    assert str(told.value) == "This file is no photograph that can be read: JPEG, PNG and WebP are."


def test_a_file_with_too_many_bytes_is_refused_before_it_is_opened() -> None:
    with pytest.raises(PhotographUnfit, match="12 MB at most; this file has more"):
        photograph.prepared(bytes(12 * 1024 * 1024 + 1))


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def claims(width: int, height: int) -> bytes:
    """Return a PNG of a few bytes that says it is so large (PNG, third edition, 5.3 and 11.2.1)."""
    said = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    pixels = zlib.compress(bytes(1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", said) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [7_072, 10_000, 60_000], ids=str)
def test_a_small_file_that_unfolds_to_a_huge_picture_is_refused(side: int) -> None:
    with pytest.raises(PhotographUnfit, match="50 million pixels at most"):
        photograph.prepared(claims(side, side))
