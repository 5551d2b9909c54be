"""Where the things of a station come to lie in px, and where their tags find room."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import dist, hypot
from typing import TYPE_CHECKING

from trainer.drawing.labels import text_width
from trainer.drawing.station_symbols import DOME, FACE, SCALE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from trainer.procedure.station import Drawn, Element, Pipe, Run, Spot, Station

Point = tuple[float, float]
# Left, top, right, bottom in px.
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Grid:
    """The grid of one drawing: the station, wide or upright, with its steps and left upper corner in px."""

    station: Station
    upright: bool
    step_x: float
    step_y: float
    left: float
    top: float
    # Half the length of a valve, and the thickness of a pipe, in px.
    half: float
    thick: float

    def at(self, spot: Spot) -> Point:
        """Return where a spot of the grid lies."""
        return self.left + spot[0] * self.step_x, self.top + spot[1] * self.step_y

    def spot(self, element: Element) -> Point:
        """Return where an element stands."""
        return self.at(element.upright if self.upright else element.wide)

    def drawn(self, piece: Pipe) -> Drawn:
        """Return the lines of a piece in this drawing."""
        return piece.upright if self.upright else piece.wide

    def line(self, run: Run) -> list[Point]:
        """Return a line in px."""
        return [self.at(spot) for spot in run]

    def cut(self, line: list[Point]) -> list[Point]:
        """Return a line that ends at the faces of the symbols at its ends, not in their middle."""
        return [self._face(line[0], line[1]), *line[1:-1], self._face(line[-1], line[-2])]

    def _face(self, end: Point, beyond: Point) -> Point:
        for element in self.station.whole:
            away = dist(end, beyond)
            if dist(self.spot(element), end) < 1 and away:
                back = (
                    min(self.half * SCALE.get(element.form, 1.0) * FACE.get(element.form, 1.0), away) / away
                )
                return end[0] + (beyond[0] - end[0]) * back, end[1] + (beyond[1] - end[1]) * back
        return end

    def tube(self, run: Run) -> list[Point]:
        """Return a thin line in px; an end near the top of a dome is drawn on to it."""
        line = self.line(run)
        return [self._at_dome(line[0]), *line[1:-1], self._at_dome(line[-1])]

    def _at_dome(self, end: Point) -> Point:
        for element in self.station.whole:
            if not element.form.regulates:
                continue
            x, y = self.spot(element)
            up = self.beside(element)
            dx, dy = end[0] - x, end[1] - y
            high, aside = dx * up[0] + dy * up[1], abs(dx * up[1] - dy * up[0])
            if aside < 1 and 0 < high <= max(self.step_x, self.step_y):
                size = self.half * SCALE.get(element.form, 1.0) * DOME
                return x + up[0] * size, y + up[1] * size
        return end

    def axis(self, element: Element) -> Point:
        """Return the direction of the gas through an element, or out at it, as a step of one px."""
        here = self.spot(element)
        first = self._leaving(element.joins[0], here)
        last = self._leaving(element.joins[-1], here) if len(element.joins) > 1 else None
        if last is not None:
            return last
        return (-first[0], -first[1]) if first is not None else (1.0, 0.0)

    def _leaving(self, name: str, here: Point) -> Point | None:
        """Return the direction in which a piece leaves an element."""
        drawn = self.drawn(self.station.pieces[name])
        for run in (*drawn.pipe, *drawn.tubes):
            line = self.line(run)
            for end, beyond in ((line[0], line[1]), (line[-1], line[-2])):
                away = dist(end, beyond)
                if dist(end, here) < 1 and away:
                    return (beyond[0] - end[0]) / away, (beyond[1] - end[1]) / away
        return None

    def beside(self, element: Element) -> Point:
        """Return the direction in which the top of an element points: a dome, a stem, a spring."""
        ax, ay = self.axis(element)
        return (-abs(ay), -abs(ax))

    def free_ends(self, piece: Pipe) -> list[Point]:
        """Return where a piece leaves the drawing: ends of lines at no element and on no other line of it."""
        runs = [self.line(run) for run in self.drawn(piece).pipe]
        spots = [self.spot(element) for element in self.station.whole]
        found = []
        for number, line in enumerate(runs):
            others = [s for n, other in enumerate(runs) if n != number for s in segments(other)]
            for end in (line[0], line[-1]):
                taken = any(dist(end, spot) < 1 for spot in spots)
                if not taken and not any(away(end, segment) < 1 for segment in others):
                    found.append(end)
        return found


def segments(line: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield the straight pieces of a line."""
    yield from itertools.pairwise(line)


def away(point: Point, segment: tuple[Point, Point]) -> float:
    """Return the distance of a point from a straight piece."""
    (ax, ay), (bx, by) = segment
    dx, dy = bx - ax, by - ay
    length = dx * dx + dy * dy
    share = max(0.0, min(1.0, ((point[0] - ax) * dx + (point[1] - ay) * dy) / length)) if length else 0.0
    return hypot(point[0] - ax - share * dx, point[1] - ay - share * dy)


def grown(box: Box, by: float) -> Box:
    """Return a box with a margin."""
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def common(one: Box, other: Box) -> float:
    """Return the area that two boxes share."""
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    return width * height if width > 0 and height > 0 else 0.0


@dataclass(frozen=True)
class Tag:
    """A text to be placed beside something: what, its text, and the box that it belongs to.

    `extra` is room in px behind the text, for a lock.
    """

    thing: str
    text: str
    box: Box
    extra: float = 0.0


def place_tags(
    tags: Iterable[Tag], obstacles: Sequence[Box], size: float, within: Box, *, sideways: bool
) -> dict[str, Box]:
    """Return a box for each tag that overlaps nothing if there is one, else the one that overlaps least.

    Args:
        tags: in the order in which they choose.
        obstacles: what is drawn, in px.
        size: of the type in px.
        within: the picture.
        sideways: right and left are tried before below and above.
    """
    taken = list(obstacles)
    found: dict[str, Box] = {}
    for tag in tags:
        # Tags are capitals and figures in bold: wider than running text.
        width, height = text_width(tag.text, size) * 1.14 + tag.extra, size * 0.86
        best = _best([box for _, box in _places(tag.box, width, height, sideways=sideways)], taken, within)
        found[tag.thing] = best
        taken.append(grown(best, 1.0))
    return found


def _best(options: Sequence[Box], taken: Sequence[Box], within: Box) -> Box:
    """Return the first of the boxes that overlap least."""
    reach = (
        min(box[0] for box in options),
        min(box[1] for box in options),
        max(box[2] for box in options),
        max(box[3] for box in options),
    )
    near = [box for box in taken if common(reach, box)]
    best, least = options[0], float("inf")
    for option in options:
        over = round(sum(common(option, box) for box in near) + 40 * _outside(option, within))
        if over < least:
            best, least = option, over
        if not least:
            break
    return best


def _outside(box: Box, within: Box) -> float:
    over = (within[0] - box[0], within[1] - box[1], box[2] - within[2], box[3] - within[3])
    return sum(max(0.0, by) for by in over)


def _places(box: Box, width: float, height: float, *, sideways: bool) -> Iterator[tuple[int, Box]]:
    """Yield boxes round another one, each with its rank: the four sides, pushed along and away step by step."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    rank = 0
    for gap in (3.0, 7.0, 12.0, 18.0):
        for shift in (0.0, 0.35, -0.35, 0.62, -0.62):
            along_x, along_y = shift * width, shift * (box[3] - box[1] + height)
            rows = [
                (x - width / 2 + along_x, box[3] + gap),
                (x - width / 2 + along_x, box[1] - gap - height),
            ]
            sides = [
                (box[2] + gap + 1, y - height / 2 + along_y),
                (box[0] - gap - 1 - width, y - height / 2 + along_y),
            ]
            for left, top in (*sides, *rows) if sideways else (*rows, *sides):
                rank += 1
                yield rank, (left, top, left + width, top + height)
