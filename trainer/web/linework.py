"""Line work as SVG path data: hatches and bars drawn line by line, and the curves from a line to its place.

Never an SVG `pattern`: printers and some viewers turn one into a bitmap, and it draws many times slower.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.drills.mark import PlacedLine

# A cell shows the part of the hatch that fits; the path is larger than any cell of the crew sheet.
CELL_WIDTH, CELL_HEIGHT = 132, 60
# Bars beside a signal word: as wide as a panel gets, and exactly as high as its head.
PANEL_WIDTH, PANEL_HEIGHT = 760, 52
CURVE_WIDTH = 100


def rising(width: int, height: int, step: float) -> str:
    """Return lines rising at 45 degrees, `step` apart along the bottom edge, over a field in px."""
    count = int((width + height) / step) + 1
    return f"M{-height} {height}" + f"l{height} {-height}m{_short(step - height)} {height}" * count


def falling(width: int, height: int, step: float) -> str:
    """Return lines falling at 45 degrees, `step` apart along the top edge, over a field in px."""
    count = int((width + height) / step) + 1
    return f"M{-height} 0" + f"l{height} {height}m{_short(step - height)} {-height}" * count


def flat(width: int, height: int, step: int) -> str:
    """Return horizontal lines `step` px apart."""
    return "".join(f"M0 {y}h{width}" for y in range(step // 2, height, step))


def upright(width: int, height: int, step: int) -> str:
    """Return vertical lines `step` px apart."""
    return "".join(f"M{x} 0v{height}" for x in range(step // 2, width, step))


def curves(lines: Iterable[PlacedLine]) -> tuple[tuple[str, str], ...]:
    """Return (kind, path data) for each line of a marked order, heavy ones last so that they lie on top.

    The field is 100 wide and one unit a row high; kind is moved, room or stays.
    """
    drawn = [(_kind(line), _curve(line.position - 0.5, line.place - 0.5)) for line in lines]
    return tuple(sorted(drawn, key=lambda pair: pair[0] == "moved"))


def _kind(line: PlacedLine) -> str:
    if line.moved:
        return "moved"
    return "stays" if line.position == line.place else "room"


def _curve(start: float, end: float) -> str:
    if start == end:
        return f"M0 {start:g}H{CURVE_WIDTH}"
    return f"M0 {start:g}C60 {start:g} 40 {end:g} {CURVE_WIDTH} {end:g}"


def _short(value: float) -> str:
    return f"{value:g}"


# What each state of the crew sheet is hatched with, by the letter that stands in the cell.
HATCHES: dict[str, str] = {
    "S": rising(CELL_WIDTH, CELL_HEIGHT, 11),
    "E": rising(CELL_WIDTH, CELL_HEIGHT, 5),
    "A": flat(CELL_WIDTH, CELL_HEIGHT, 6),
    "P": upright(CELL_WIDTH, CELL_HEIGHT, 11),
    "L": rising(CELL_WIDTH, CELL_HEIGHT, 8) + falling(CELL_WIDTH, CELL_HEIGHT, 8),
    "X": flat(CELL_WIDTH, CELL_HEIGHT, 8) + upright(CELL_WIDTH, CELL_HEIGHT, 8),
}
# Bars beside every signal word: the worse the hazard, the heavier the line; the width is in the style sheet.
BARS = rising(PANEL_WIDTH, PANEL_HEIGHT, 17)
# The knurled grip of a line that can be dragged.
KNURL = rising(34, 140, 11) + falling(34, 140, 11)
