"""Ways to read a finished sheet with programs that are not the one that wrote it."""

from __future__ import annotations

import io
import math
import re
import shutil
import subprocess
from html import unescape
from typing import TYPE_CHECKING, Any

from pypdf import PdfReader

from tests.databases import missing

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pypdf import PageObject

_WORD = re.compile(r'<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*?)</word>')
_PAGE = re.compile(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', re.DOTALL)
# Thin and no-break spaces count as spaces; the zero-width space only marks where a long word may break.
_SPACES = re.compile(r"[\s\u200b]+")

POINTS_A_MM = 72 / 25.4


def reader(pdf: bytes) -> PdfReader:
    """Return pypdf's view of a sheet."""
    return PdfReader(io.BytesIO(pdf))


def squeezed(text: str) -> str:
    """Return the text with single blanks, so that line breaks do not matter."""
    return _SPACES.sub(" ", text).strip()


def pages(pdf: bytes) -> list[str]:
    """Return the text of each page."""
    return [squeezed(page.extract_text()) for page in reader(pdf).pages]


def text(pdf: bytes) -> str:
    """Return all text."""
    return " ".join(pages(pdf))


def elements(pdf: bytes) -> list[tuple[str, str]]:
    """Return the structure of the document in reading order: each element's type and alternative text."""
    return list(_walk(reader(pdf).root_object["/StructTreeRoot"]))


def _walk(node: Any) -> Iterator[tuple[str, str]]:
    node = node.get_object()
    if not isinstance(node, dict):
        return
    if "/S" in node:
        yield str(node["/S"]), str(node.get("/Alt", ""))
    children = node.get("/K", [])
    for child in children if isinstance(children, list) else [children]:
        yield from _walk(child)


def run(program: str, *arguments: str | Path) -> str:
    """Return what a program from the system says on standard output; without it the test is skipped, or fails in CI."""
    path = shutil.which(program)
    if path is None:
        missing(f"{program} is not installed")
    done = subprocess.run(  # noqa: S603  # a fixed program on a file that the test wrote
        [path, *map(str, arguments)], check=True, capture_output=True, text=True
    )
    return done.stdout


Point = tuple[float, float]


def lines(page: PageObject) -> list[tuple[Point, Point]]:
    """Return the straight lines drawn on a page: begin and end in millimetres from its lower left corner."""
    found: list[tuple[Point, Point]] = []
    begun: list[Point] = []

    def seen(operator: Any, operands: Any, matrix: Any, _text: Any) -> None:
        if operator not in (b"m", b"l"):
            return
        x, y = (float(number) for number in operands)
        a, b, c, d, e, f = (float(number) for number in matrix)
        here = ((a * x + c * y + e) / POINTS_A_MM, (b * x + d * y + f) / POINTS_A_MM)
        if operator == b"l":
            found.append((begun[-1], here))
        begun.append(here)

    page.extract_text(visitor_operand_before=seen)
    return found


def length(line: tuple[Point, Point]) -> float:
    """Return how long a line is in millimetres."""
    return math.dist(*line)


def words_outside_frame(pdf: bytes, folder: Path) -> list[str]:
    """Return the words that stand outside the frame and are no zone figure or letter."""
    path = folder / "sheet.pdf"
    path.write_bytes(pdf)
    outside = []
    for page in _PAGE.finditer(run("pdftotext", "-bbox", path, "-")):
        width, height = float(page[1]), float(page[2])
        left, edge = 20 * POINTS_A_MM, 10 * POINTS_A_MM
        for word in _WORD.finditer(page[3]):
            x1, y1, x2, y2 = (float(word[index]) for index in range(1, 5))
            inside = x1 >= left and x2 <= width - edge and y1 >= edge and y2 <= height - edge
            if not inside and len(unescape(word[5])) > 1:
                outside.append(unescape(word[5]))
    return outside
