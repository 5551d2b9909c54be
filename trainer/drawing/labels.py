"""Balloons and names in straight columns beside the drawing, with leaders that do not cross.

Source: M. A. Bekos, M. Kaufmann, A. Symvonis, A. Wolff 2007, Boundary labeling: models and efficient algorithms for
rectangular maps, Computational Geometry 36, 215-236. Positions by pool-adjacent-violators; swapping two labels whose
leaders cross shortens both together, so it comes to an end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

from trainer.drawing.svg import pair, path, tag, words

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.drawing.curves import Point


@dataclass(frozen=True)
class Label:
    """What is pointed at: its number (empty for a spot without one), its name, and the spot in px."""

    thing: str
    number: str
    name: str
    anchor: Point


@dataclass(frozen=True)
class Balloon:
    """A label with its place: the middle of the balloon, and the side of the drawing (-1 left, 1 right)."""

    label: Label
    x: float
    y: float
    r: float
    side: int

    @property
    def leader(self) -> tuple[Point, Point]:
        """The leader, from the edge of the balloon to the spot."""
        ax, ay = self.label.anchor
        length = hypot(ax - self.x, ay - self.y) or 1.0
        # A spot without a number has no balloon: its leader begins beside the name.
        reach = self.r if self.label.number else 0.0
        return (self.x + (ax - self.x) / length * reach, self.y + (ay - self.y) / length * reach), (ax, ay)


def column(
    labels: Sequence[Label], x: float, side: int, r: float, gap: float, top: float, bottom: float
) -> list[Balloon]:
    """Return labels in a column at `x`, each as near to the height of its spot as the others let it.

    Args:
        labels: in any order.
        x: middle of the balloons, in px.
        side: -1 left of the drawing, 1 right of it.
        r: radius of a balloon in px.
        gap: least distance between the middles of two balloons in px.
        top: least y of a middle.
        bottom: greatest y of a middle.
    """
    ordered = sorted(labels, key=lambda label: (label.anchor[1], label.anchor[0] * side, label.thing))
    heights = spread([label.anchor[1] for label in ordered], gap, top, bottom)
    balloons = [Balloon(label, x, y, r, side) for label, y in zip(ordered, heights, strict=True)]
    return uncrossed(balloons)


def spread(wanted: Sequence[float], gap: float, top: float, bottom: float) -> list[float]:
    """Return positions at least `gap` apart, as near as can be to those wanted, which are in rising order."""
    if not wanted:
        return []
    room = (bottom - top) / max(1, len(wanted) - 1)
    gap = min(gap, room) if len(wanted) > 1 else gap
    # Pool adjacent violators: what is left after the gaps are taken off must not fall.
    pools: list[list[float]] = []
    for n, y in enumerate(wanted):
        pools.append([y - n * gap, 1.0])
        while len(pools) > 1 and pools[-2][0] >= pools[-1][0]:
            value, count = pools.pop()
            before = pools[-1]
            before[0] = (before[0] * before[1] + value * count) / (before[1] + count)
            before[1] += count
    flat = [value for value, count in pools for _ in range(int(count))]
    limit = bottom - gap * (len(wanted) - 1)
    return [min(max(value, top), limit) + n * gap for n, value in enumerate(flat)]


def uncrossed(balloons: list[Balloon]) -> list[Balloon]:
    """Return the balloons with labels swapped until no two leaders cross."""
    current = list(balloons)
    for _ in range(len(current) ** 2 + 1):
        pair = next(
            (
                (i, j)
                for i in range(len(current))
                for j in range(i + 1, len(current))
                if crossing(current[i].leader, current[j].leader)
            ),
            None,
        )
        if pair is None:
            break
        i, j = pair
        current[i], current[j] = (
            replace(current[i], label=current[j].label),
            replace(current[j], label=current[i].label),
        )
    return current


def crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Tell whether two leaders cross or touch."""
    (a, b), (c, d) = one, other

    def turn(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    first, second = turn(a, b, c), turn(a, b, d)
    third, fourth = turn(c, d, a), turn(c, d, b)
    return first * second <= 0 and third * fourth <= 0 and not (first == second == third == fourth == 0)


def paint_leaders(balloons: Iterable[Balloon]) -> str:
    """Return all leaders: a halo of paper under each, a dot at its end."""
    ends = [balloon.leader for balloon in balloons]
    data = "".join(f"M{pair(*start)}L{pair(*end)}" for start, end in ends)
    # A line of no length with round ends is a dot.
    dots = "".join(f"M{pair(*end)}h0" for _, end in ends)
    return path(data, "halo") + path(data, "leader") + path(dots, "dot")


def paint_balloon(balloon: Balloon, *, names: bool) -> str:
    """Return one balloon with its number, and the name beside it on the outer side."""
    label, x, y = balloon.label, balloon.x, balloon.y
    parts = []
    if label.number:
        parts.append(tag("circle", class_="balloon", cx=x, cy=y, r=balloon.r))
        parts.append(words(x, y, label.number, "number"))
    if label.name and (names or not label.number):
        away = (balloon.r + 6 if label.number else 4) * balloon.side
        anchor = None if balloon.side > 0 else "end"
        kind = None if label.number else "spot"
        parts.append(words(x + away, y, label.name, kind, text_anchor=anchor))
    return "".join(parts)


# Widths of the letters of a semi-condensed sans serif as shares of the type size, by groups; near enough for margins.
_NARROW, _WIDE = set("iljftrI.,:;'|()[] -"), set("mwMW@%")


def text_width(said: str, size: float) -> float:
    """Return about how wide a text comes out, in px; rather too much than too little."""
    return sum(0.3 if c in _NARROW else 0.78 if c in _WIDE else 0.52 for c in said) * size
