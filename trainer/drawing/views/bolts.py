"""The bolt circle: a set of bolts as it is seen along the axis, numbered, with the order in which it is tightened.

Turns stand in boxes outside the joint, places in the nuts. Arrows are drawn for four turns at a time: all of them
together are a cobweb. Blank, it shows the places alone and is what a question about the order is asked with.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

from trainer.drawing.controls import TARGET
from trainer.drawing.marks import bowed
from trainer.drawing.set_round import set_round
from trainer.drawing.sheet import DETAIL, PHONE, WIDE
from trainer.drawing.svg import Picture, pair, path, tag, words
from trainer.drawing.view import size_of
from trainer.errors import TrainerError
from trainer.procedure.tightening import order_of
from trainer.procedure.wording import in_sentence, listed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.curves import Point
    from trainer.drawing.set_round import SetRound
    from trainer.procedure.model import Module

TITLE = "Bolt circle with the order of tightening"
GROUP = 4
# Beside the circle there is room for the list of turns from this width on; the circle grows no larger then, in px.
_LIST_FROM, _LARGEST = 760.0, 560.0
_KEY = 30.0
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")


class NoSuchBolts(TrainerError):
    """An order names a bolt that the set does not have, or one of them twice."""

    def __init__(self, order: Sequence[int], count: int) -> None:
        said = ", ".join(map(str, order))
        super().__init__(f"An order of {count} bolts names each of 1 to {count} once at most, not {said}.")


@dataclass(frozen=True)
class _Lay:
    """Where things lie in the picture, in px."""

    middle: Point
    circle: float
    rim: float
    boxes: float
    box: float
    scale: float

    def at(self, number: int, count: int, radius: float) -> Point:
        """Return a place on a circle; 1 stands at the top, the others follow clockwise."""
        turn = 2 * pi * (number - 1) / count
        return self.middle[0] + radius * sin(turn), self.middle[1] - radius * cos(turn)


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    part: str = "",
    order: Sequence[int] = (),
    pattern: bool = False,
    group: int = 1,
    crossed: int = 0,
    controls: bool = False,
    tokens: Sequence[str] = (),
    prefix: str = "bolts",
) -> str:
    """Return the bolt circle of a set.

    Args:
        module: the procedure; one without shapes is drawn after the number of its bolts.
        size: the size; the first one unless given.
        width: width in CSS px; 360 and 1200 are what it is looked at.
        part: the set; the first one that has a pattern unless given.
        order: the numbers of the bolts in the order of tightening; none for a blank.
        pattern: the order is the one that the procedure tightens in.
        group: for which four turns arrows are drawn, from 1; 0 for none.
        crossed: a turn, from 1, that is marked with a cross.
        controls: bolts can be chosen: each has a named control, in the order of their numbers.
        tokens: other names of the controls, in the order of their numbers.
        prefix: in front of every id.

    Raises:
        NoBoltCircle: the module has no such set.
        NoSuchBolts: the order names a bolt that there is not.
        NoCrossPattern: the pattern is asked for, and there is none for so many bolts.
    """
    chosen = size_of(module, size)
    joint = set_round(module, chosen, part)
    turns = tuple(order) or (order_of(joint.fastener, chosen) if pattern else ())
    if len(set(turns)) != len(turns) or not set(turns) <= set(range(1, joint.count + 1)):
        raise NoSuchBolts(turns, joint.count)
    side = min(width, _LARGEST)
    wide = width >= _LIST_FROM
    lay = _lay(joint, side, (side if wide else width) / 2)
    shown = range(max(0, (group - 1) * GROUP), min(len(turns), group * GROUP)) if group else range(0)
    content = [
        _joint(joint, lay),
        _arrows(joint, lay, turns, shown),
        *(
            _bolt(joint, lay, number, turns, shown, tokens, controls=controls)
            for number in range(1, joint.count + 1)
        ),
        _cross(joint, lay, turns, crossed),
        _list(turns, shown, side + 48, lay) if wide else "",
        _key(
            14.0 if wide else max(8.0, (width - 306) / 2),
            side + _KEY / 2,
            width,
            boxes=bool(turns) or controls,
        ),
    ]
    name = in_sentence(joint.fastener.name)
    return Picture(
        prefix,
        width,
        side + _KEY,
        f"Bolt circle of the {name}, {chosen}",
        _told(joint, turns, shown, crossed),
        "".join(content),
        (WIDE if wide else PHONE if side < 420 else DETAIL).name,
        controls,
    ).text()


def _lay(joint: SetRound, side: float, middle: float) -> _Lay:
    box = 10.0 if side < 420 else 12.0
    boxes = side / 2 - box - 3
    rim = boxes - box - 5
    scale = rim / joint.rim
    return _Lay((middle, side / 2), joint.circle * scale, rim, boxes, box, scale)


def _flats(joint: SetRound, lay: _Lay) -> float:
    """Return the nuts across flats in px: to scale where a finger can hit them and neighbours stay apart."""
    apart = 2 * lay.circle * sin(pi / joint.count)
    return min(max(joint.flats * lay.scale, 2 * TARGET + 2), 0.83 * apart)


def _joint(joint: SetRound, lay: _Lay) -> str:
    x, y = lay.middle
    over = lay.rim + 4
    cross = f"M{pair(x - over, y)}H{over + x:.1f}M{pair(x, y - over)}V{y + over:.1f}"
    return tag(
        "g",
        tag("circle", class_="face", cx=x, cy=y, r=lay.rim),
        *(tag("circle", class_="edge", cx=x, cy=y, r=r * lay.scale) for r in joint.rings),
        path(cross, "axis"),
        tag("circle", class_="axis", cx=x, cy=y, r=lay.circle),
        class_="cast",
    )


def _bolt(
    joint: SetRound,
    lay: _Lay,
    number: int,
    turns: Sequence[int],
    shown: range,
    tokens: Sequence[str],
    *,
    controls: bool,
) -> str:
    """Return a nut with its number, and its turn in a box outside the joint."""
    flats = _flats(joint, lay)
    x, y = lay.at(number, joint.count, lay.circle)
    corners = [
        (x + flats / sqrt(3) * sin(radians(60 * n)), y - flats / sqrt(3) * cos(radians(60 * n)))
        for n in range(6)
    ]
    turn = turns.index(number) + 1 if number in turns else 0
    content = [
        path("M" + "L".join(pair(*corner) for corner in corners) + "Z", "face"),
        tag("circle", class_="edge", cx=x, cy=y, r=max(joint.thread * lay.scale / 2, 9.0))
        if flats > 30
        else "",
        words(x, y, str(number), "number"),
    ]
    if controls:
        content.append(tag("circle", class_="target", cx=x, cy=y, r=max(TARGET, flats / 2)))
    if turn or controls:
        bx, by = lay.at(number, joint.count, lay.boxes)
        content += [
            tag("rect", class_="box", x=bx - lay.box, y=by - lay.box, width=2 * lay.box, height=2 * lay.box),
            words(bx, by, str(turn) if turn else "", "number turn"),
        ]
    current = "next" if turn - 1 in shown else "" if turn and turn <= shown.start else "coming"
    return tag(
        "g",
        *content,
        class_=f"whole {current}".strip() if turns else "whole",
        data_control=(tokens[number - 1] if tokens else str(number)) if controls else None,
        role="button" if controls else None,
        tabindex="0" if controls and number == 1 else None,
        aria_label=f"Number {number}, {360 * (number - 1) / joint.count:.0f}° from the top"
        if controls
        else None,
    )


def _arrows(joint: SetRound, lay: _Lay, turns: Sequence[int], shown: range) -> str:
    """Return an arrow from each bolt of the four to the next, and a dashed one on to the four after it."""
    free = _flats(joint, lay) / sqrt(3) + 3
    drawn = []
    for here in shown:
        if here + 1 >= len(turns):
            break
        start, end = (lay.at(turns[n], joint.count, lay.circle) for n in (here, here + 1))
        drawn.append(bowed(start, end, free, "arrow" if here + 1 in shown else "onward"))
    return "".join(drawn)


def _cross(joint: SetRound, lay: _Lay, turns: Sequence[int], crossed: int) -> str:
    if not 0 < crossed <= len(turns):
        return ""
    # Inside of the nut, so that its number can still be read.
    x, y = lay.at(turns[crossed - 1], joint.count, lay.circle - _flats(joint, lay) * 0.6 - 13)
    lines = f"M{pair(x - 6, y - 6)}L{pair(x + 6, y + 6)}M{pair(x - 6, y + 6)}L{pair(x + 6, y - 6)}"
    return tag("circle", class_="paper", cx=x, cy=y, r=11) + path(lines, "cross")


def _list(turns: Sequence[int], shown: range, left: float, lay: _Lay) -> str:
    """Return the turns by fours, one line a four."""
    if not turns:
        return ""
    fours = [turns[n : n + GROUP] for n in range(0, len(turns), GROUP)]
    top = lay.middle[1] - 34 * len(fours) / 2
    lines = [words(left, top - 20, "Order of one pass", "head")]
    for n, four in enumerate(fours):
        y = top + 34 * n + 14
        current = n * GROUP in shown
        said = f"{_ORDINALS[n]} four" if len(four) == GROUP else f"last {len(four)}"
        lines.append(words(left, y, said, None))
        lines += [
            words(left + 150 + 44 * m, y, str(bolt), "number accent" if current else "number")
            for m, bolt in enumerate(four)
        ]
        lines.append(path(f"M{pair(left, y + 17)}h{150 + 44 * GROUP - 20}", "rule"))
    return "".join(lines)


def _key(left: float, y: float, width: float, *, boxes: bool) -> str:
    """Return what nut and box stand for."""
    hexagon = "M" + "L".join(
        pair(left + 11 + 11 * sin(radians(60 * n)), y - 11 * cos(radians(60 * n))) for n in range(6)
    )
    shown = [
        tag("g", path(f"{hexagon}Z", "face"), words(left + 11, y, "n", "number"), class_="whole"),
        words(left + 28, y, "place on the joint", None),
    ]
    if boxes:
        shown += [
            tag("rect", class_="box", x=left + 156, y=y - 9, width=18, height=18),
            words(left + 165, y, "n", "number"),
            words(left + 180, y, "turn, first to last" if width > 294 else "turn", None),
        ]
    return "".join(shown)


def _told(joint: SetRound, turns: Sequence[int], shown: range, crossed: int) -> str:
    said = f"{joint.count} of them on a circle, numbered clockwise from the top."
    if not turns:
        return f"{said} No order is shown."
    said += f" Order: {', '.join(map(str, turns))}."
    if shown:
        said += f" Arrows join {listed([str(turns[n]) for n in shown])}."
    if 0 < crossed <= len(turns):
        said += f" Turn {crossed}, at number {turns[crossed - 1]}, is crossed out."
    return said
