"""Invented photographs as a camera writes them: sideways, with place, time, device and a comment inside."""

from __future__ import annotations

from io import BytesIO

from PIL import Image, ImageCms
from PIL.TiffImagePlugin import IFDRational

# What must not be found in anything that was kept.
SECRETS = (
    b"Exif",
    b"Invented Camera Works",
    b"Bench tablet 7",
    b"2027:03:22",
    b"said in a comment",
    b"ICC_PROFILE",
    b"GPS",
)
MAKE, MODEL, ORIENTATION, WHEN, GPS = 0x010F, 0x0110, 0x0112, 0x0132, 0x8825
RED, BLUE = (200, 30, 30), (30, 30, 200)


def scene(width: int = 400, height: int = 300) -> Image.Image:
    """Return a picture whose left half is red and whose right half is blue."""
    picture = Image.new("RGB", (width, height), RED)
    picture.paste(BLUE, (width // 2, 0, width, height))
    return picture


def from_camera(width: int = 400, height: int = 300, *, orientation: int = 1, form: str = "JPEG") -> bytes:
    """Return the file that a camera would write."""
    tags = Image.Exif()
    tags[MAKE], tags[MODEL], tags[WHEN] = "Invented Camera Works", "Bench tablet 7", "2027:03:22 14:00:00"
    tags[ORIENTATION] = orientation
    tags[GPS] = {1: "N", 2: (IFDRational(52), IFDRational(31), IFDRational(12)), 3: "E"}
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    written = BytesIO()
    more = {"comment": b"said in a comment"} if form == "JPEG" else {}
    scene(width, height).save(written, form, exif=tags, icc_profile=profile, **more)
    return written.getvalue()
