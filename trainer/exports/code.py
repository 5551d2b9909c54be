"""A QR code to be printed: what a record or a card is found by."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import segno

# Any of the eight patterns is read alike. They are there to break up even areas, which hashes do not have, and weighing
# all eight takes longer than setting the sheet.
_MASK = 3


def made(text: str) -> segno.QRCode:
    """Return a QR code (ISO/IEC 18004) of which a quarter may be damaged."""
    import segno

    return segno.make_qr(text, error="q", mask=_MASK)


def code(text: str) -> str:
    """Return a QR code as SVG, black on white with its quiet zone."""
    drawn = io.BytesIO()
    made(text).save(drawn, kind="svg", scale=1, border=4, xmldecl=False, svgns=True)
    return drawn.getvalue().decode()
