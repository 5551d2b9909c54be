"""Photographs that go with a record: looked at before they are kept, turned upright, without place or device."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from datetime import datetime

    from PIL.Image import Image

# Own choices: what a tablet's camera makes passes, what fills a server's memory when it is opened does not.
MOST_BYTES = 12 * 1024 * 1024
MOST_PIXELS = 50_000_000
LONGEST_SIDE = 1600
QUALITY = 82
MEDIA_TYPE = "image/jpeg"
_TAKEN = ("JPEG", "PNG", "WEBP")
# Exif 2.32, tag 274: where row 0 and column 0 of what was stored lie in the scene, and what brings it upright.
_ORIENTATION = 0x0112
_TURNS = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


class PhotographUnfit(TrainerError):
    """A file cannot be kept as a photograph; the text says why."""


@dataclass(frozen=True)
class Photograph:
    """A photograph as it is kept: JPEG, upright, `width` and `height` in pixels, nothing in it but the picture."""

    data: bytes
    width: int
    height: int

    @property
    def sha256(self) -> str:
        """The hash under which it is kept and signed for."""
        return hashlib.sha256(self.data).hexdigest()


@dataclass(frozen=True)
class Pictured:
    """That a photograph goes with a step of an observation; `at` is when it was taken into it."""

    step: str
    sha256: str
    width: int
    height: int
    at: datetime


def prepared(data: bytes) -> Photograph:
    """Return a file as a photograph that can be kept.

    It is turned upright as its camera says, made at most 1600 pixels long, and written anew from its pixels alone,
    so that nothing of place, time, device or maker stays in it.

    Raises:
        PhotographUnfit: too many bytes or pixels, or no JPEG, PNG or WebP that can be read.
    """
    if len(data) > MOST_BYTES:
        raise PhotographUnfit(f"A photograph holds {MOST_BYTES // 1024**2} MB at most; this file has more.")
    # Loaded when the first photograph comes: the start of the site does not wait for it.
    from PIL import Image

    try:
        with Image.open(BytesIO(data), formats=_TAKEN) as sent:
            if sent.width * sent.height > MOST_PIXELS:
                raise _too_many_pixels()
            # A camera's JPEG is decoded at a fraction of its size straight away.
            sent.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            plain = _on_white(sent)
            plain.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
            plain = _upright(plain, sent.getexif().get(_ORIENTATION, 1))
            # A picture that was opened carries comments and profiles along; a new one has pixels and nothing else.
            bare = Image.new("RGB", plain.size)
            bare.paste(plain)
    except PhotographUnfit:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise _too_many_pixels() from bomb
    except Exception as broken:  # whatever a broken file makes the decoder stumble over
        raise PhotographUnfit(
            "This file is no photograph that can be read: JPEG, PNG and WebP are."
        ) from broken
    written = BytesIO()
    bare.save(written, "JPEG", quality=QUALITY)
    return Photograph(written.getvalue(), *bare.size)


def _too_many_pixels() -> PhotographUnfit:
    return PhotographUnfit(
        f"A photograph has {MOST_PIXELS // 1_000_000} million pixels at most; this one has more."
    )


def _upright(picture: Image, orientation: int) -> Image:
    from PIL.Image import Transpose

    turn = _TURNS.get(orientation)
    return picture.transpose(Transpose[turn]) if turn else picture


def _on_white(picture: Image) -> Image:
    """Return a picture in plain colours; what is see-through in it lies on white."""
    from PIL import Image

    if not picture.has_transparency_data:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    ground = Image.new("RGBA", clear.size, "white")
    return Image.alpha_composite(ground, clear).convert("RGB")
