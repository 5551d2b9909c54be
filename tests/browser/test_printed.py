"""What the browser prints of a sheet: on the paper that lies in the printer, the frame where our own papers have it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PIL import Image

from tests.exports import reading
from tests.people import SOL

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from tests.browser.conftest import Window

pytestmark = pytest.mark.browser

DOTS_A_MM = 100 / 25.4
# Width and height in millimetres: ISO 216, and 8 1/2 × 11 inches.
SIZES = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
# From the left, from above, from the right, from below: the filing margin and the others of ISO 5457, from memory.
MARGINS = (20, 10, 10, 10)


@pytest.mark.parametrize("paper", SIZES)
def test_a_sheet_stands_in_its_frame_on_either_paper(
    open_window: Callable[..., Window], paper: str, tmp_path: Path
) -> None:
    window = open_window(1280)
    window.sign_in(SOL)
    window.go("/crew")
    file = tmp_path / "sheet.pdf"
    window.page.pdf(path=file, format=paper, prefer_css_page_size=True)
    (page,) = reading.reader(file.read_bytes()).pages
    size = [
        float(page.mediabox.width) / reading.POINTS_A_MM,
        float(page.mediabox.height) / reading.POINTS_A_MM,
    ]
    assert size == pytest.approx(SIZES[paper], abs=0.5)
    reading.run("pdftoppm", "-r", "100", "-gray", "-png", "-singlefile", file, tmp_path / "sheet")
    with Image.open(tmp_path / "sheet.png") as picture:
        dark = picture.point(lambda grey: 255 if grey < 128 else 0).getbbox()
        assert dark is not None
        left, top, right, bottom = dark
        found = (left, top, picture.width - right, picture.height - bottom)
    assert [dots / DOTS_A_MM for dots in found] == pytest.approx(MARGINS, abs=0.6)


@pytest.mark.parametrize("paper", SIZES)
def test_the_crew_sheet_lies_across(open_window: Callable[..., Window], paper: str, tmp_path: Path) -> None:
    window = open_window(1280)
    window.sign_in(SOL)
    window.go("/crew")
    window.page.locator("main table a").first.click()
    window.page.wait_for_url("**/crew/*")
    file = tmp_path / "sheet.pdf"
    window.page.pdf(path=file, format=paper, prefer_css_page_size=True)
    high, wide = SIZES[paper]
    for page in reading.reader(file.read_bytes()).pages:
        size = [
            float(page.mediabox.width) / reading.POINTS_A_MM,
            float(page.mediabox.height) / reading.POINTS_A_MM,
        ]
        assert size == pytest.approx((wide, high), abs=0.5)
