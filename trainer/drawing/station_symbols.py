"""The shapes of valves and instruments in a piping drawing.

Bow-tie = valve, circle at its waist = ball valve, filled = closed, dome = diaphragm operator, circle with letters =
instrument (ISO 10628-2 and ISA-5.1, from memory); one half filled = regulating, a choice of ours.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drawing.svg import pair, path, tag, words
from trainer.procedure.pipe_states import Stands
from trainer.procedure.station import Form

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from trainer.drawing.station_grid import Box, Point


@dataclass(frozen=True)
class Frame:
    """Where a symbol stands: its middle, the way of the gas, where its top points, and half its length in px."""

    x: float
    y: float
    axis: Point
    top: Point
    half: float

    def at(self, along: float, up: float) -> Point:
        """Return a point that lies so many halves along the way of the gas, and up."""
        a, u = along * self.half, up * self.half
        return self.x + a * self.axis[0] + u * self.top[0], self.y + a * self.axis[1] + u * self.top[1]

    def line(self, *spots: Point, closed: bool = False) -> str:
        """Return path data through points given in halves."""
        points = [pair(*self.at(*spot)) for spot in spots]
        return f"M{'L'.join(points)}{'Z' if closed else ''}"

    def box(self, low: Point, high: Point) -> Box:
        """Return the box between two corners given in halves."""
        (x0, y0), (x1, y1) = self.at(*low), self.at(*high)
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def circle(self, r: float, kind: str) -> str:
        """Return a circle round the middle, its radius in halves."""
        return tag("circle", cx=self.x, cy=self.y, r=r * self.half, class_=kind)


def symbol(form: Form, frame: Frame, shown: Stands, *, blowing: bool = False) -> str:
    """Return an element as SVG."""
    return _DRAWN[form](frame, shown, blowing)


def reach(form: Form, frame: Frame) -> Box:
    """Return the box that a symbol takes up in whatever position, so that its tag stays where it is."""
    return frame.box(*_REACH.get(form, ((-1.0, -0.66), (1.0, 0.66))))


# Half the height of a bow-tie, and where the top of a dome lies, in halves of its length.
_H = 0.64
DOME = 1.85


def _bow_tie(frame: Frame, shown: Stands) -> str:
    left = ((0.0, 0.0), (-1.0, _H), (-1.0, -_H))
    right = ((0.0, 0.0), (1.0, _H), (1.0, -_H))
    if shown is Stands.REGULATING:
        hollow, full = frame.line(*left, closed=True), frame.line(*right, closed=True)
        return path(hollow, "valve") + path(full, "valve shut")
    both = frame.line(*left, closed=True) + frame.line(*right, closed=True)
    return path(both, "valve shut" if shown is Stands.CLOSED else "valve")


def _valve(frame: Frame, shown: Stands, _: bool) -> str:
    return _bow_tie(frame, shown)


def _ball(frame: Frame, shown: Stands, _: bool) -> str:
    kind = "valve shut" if shown is Stands.CLOSED else "valve"
    return _bow_tie(frame, shown) + frame.circle(0.38, kind)


def _filling(frame: Frame, shown: Stands, _: bool) -> str:
    wheel = frame.line((0, 0), (0, 1.2)) + frame.line((-0.6, 1.2), (0.6, 1.2))
    return path(wheel, "stem") + _bow_tie(frame, shown)


def _slam_shut(frame: Frame, shown: Stands, _: bool) -> str:
    stem = path(frame.line((0, 0), (0, 0.9)), "stem")
    box = path(frame.line((-0.62, 0.9), (0.62, 0.9), (0.62, 2.1), (-0.62, 2.1), closed=True), "valve")
    return stem + box + _bow_tie(frame, shown) + words(*frame.at(0, 1.5), "S", "letters")


def _filter(frame: Frame, shown: Stands, _: bool) -> str:
    if shown is Stands.CLOSED:
        body = path(frame.line((-1, -1), (1, -1), (1, 1), (-1, 1), closed=True), "valve")
        return body + path(frame.line((-1, -1), (1, 1)), "mesh")
    body = path(frame.line((-1, 1), (-1, -1), (1, -1), (1, 1)), "valve")
    lid = path(frame.line((-1.15, 1.25), (0.85, 2.05)), "lid")
    return body + lid


def _operated(frame: Frame, shown: Stands, _: bool) -> str:
    stem = path(frame.line((0, 0), (0, 1.0)), "stem")
    (x0, y0), (x1, y1) = frame.at(-0.85, 1.0), frame.at(0.85, 1.0)
    r = 0.85 * frame.half
    # The half circle bulges towards the top: to the left of the way along when top and axis turn so.
    turn = frame.axis[0] * frame.top[1] - frame.axis[1] * frame.top[0]
    dome = f"M{pair(x0, y0)}A{pair(r, r)} 0 0 {1 if turn < 0 else 0} {pair(x1, y1)}Z"
    return stem + path(dome, "valve") + _bow_tie(frame, shown)


def _restrictor(frame: Frame, _: Stands, __: bool) -> str:
    body = path(frame.line((-0.5, -0.8), (0.5, -0.8), (0.5, 0.8), (-0.5, 0.8), closed=True), "clear-spot")
    plates = frame.line((-0.3, -0.8), (-0.3, 0.8)) + frame.line((0.3, -0.8), (0.3, 0.8))
    return body + path(plates, "stem")


def _vent(frame: Frame, shown: Stands, blowing: bool) -> str:
    out = frame.line((0.9, 0), (1.7, 0)) + frame.line((1.35, 0.35), (1.75, 0), (1.35, -0.35))
    drawn = path(out, "stem") + _bow_tie(frame, shown)
    if blowing:
        jets = ((1.9, 0.0, 2.9, 0.0), (1.85, 0.3, 2.75, 0.75), (1.85, -0.3, 2.75, -0.75))
        drawn += path("".join(frame.line((a, b), (c, d)) for a, b, c, d in jets), "jet")
    return drawn


def _relief(frame: Frame, shown: Stands, blowing: bool) -> str:
    coil = ((0, 0), (0, 0.7), (-0.5, 0.95), (0.5, 1.3), (-0.5, 1.65), (0.5, 2.0), (0, 2.2))
    return path(frame.line(*coil), "stem") + _vent(frame, shown, blowing)


def _nitrogen(frame: Frame, shown: Stands, _: bool) -> str:
    if shown is Stands.CLOSED:
        cap = frame.line((0.9, 0), (1.35, 0)) + frame.line((1.35, 0.6), (1.35, -0.6))
        return path(cap, "lid") + _bow_tie(frame, shown)
    hose = path(frame.line((0.9, 0), (1.4, 0)), "stem")
    box = path(frame.line((1.4, -0.95), (2.9, -0.95), (2.9, 0.95), (1.4, 0.95), closed=True), "valve")
    return hose + box + _bow_tie(frame, shown) + words(*frame.at(2.15, 0), "N₂", "letters")


def _gauge(frame: Frame, _: Stands, __: bool) -> str:
    return frame.circle(1.0, "valve") + words(*frame.at(0, 0), "PI", "letters")


_DRAWN: dict[Form, Callable[[Frame, Stands, bool], str]] = {
    Form.VALVE: _valve,
    Form.BALL_VALVE: _ball,
    Form.FILLING_VALVE: _filling,
    Form.SLAM_SHUT: _slam_shut,
    Form.FILTER: _filter,
    Form.REGULATOR: _operated,
    Form.MONITOR: _operated,
    Form.PILOT: _operated,
    Form.RESTRICTOR: _restrictor,
    Form.VENT: _vent,
    Form.RELIEF: _relief,
    Form.NITROGEN_COCK: _nitrogen,
    Form.GAUGE: _gauge,
}
_REACH: dict[Form, tuple[Point, Point]] = {
    Form.FILLING_VALVE: ((-1.0, -0.66), (1.0, 1.25)),
    Form.SLAM_SHUT: ((-1.0, -0.66), (1.0, 2.15)),
    Form.FILTER: ((-1.0, -1.0), (1.0, 1.0)),
    Form.REGULATOR: ((-1.0, -0.66), (1.0, 1.9)),
    Form.MONITOR: ((-1.0, -0.66), (1.0, 1.9)),
    Form.PILOT: ((-1.0, -0.66), (1.0, 1.9)),
    Form.RESTRICTOR: ((-0.5, -0.8), (0.5, 0.8)),
    Form.VENT: ((-1.0, -0.8), (2.9, 0.8)),
    Form.RELIEF: ((-1.0, -0.66), (2.9, 2.25)),
    Form.NITROGEN_COCK: ((-1.0, -0.95), (3.1, 0.95)),
    Form.GAUGE: ((-1.0, -1.0), (1.0, 1.0)),
}
# How large the symbols are against a valve in the run.
SCALE = {
    Form.FILLING_VALVE: 0.8,
    Form.PILOT: 0.85,
    Form.RESTRICTOR: 0.75,
    Form.VENT: 0.72,
    Form.RELIEF: 0.8,
    Form.NITROGEN_COCK: 0.72,
    Form.GAUGE: 0.86,
    Form.FILTER: 1.0,
}
# How far from the middle a pipe ends, in halves, where that is not a whole one.
FACE = {Form.RESTRICTOR: 0.3}


def padlock(x: float, y: float, size: float) -> str:
    """Return a lock with its middle at a point."""
    w, h = size * 0.8, size * 0.55
    shackle = f"M{pair(x - w * 0.3, y)}v{-size * 0.28:.1f}a{pair(w * 0.3, w * 0.3)} 0 0 1 {pair(w * 0.6, 0)}v{size * 0.28:.1f}"
    body = f"M{pair(x - w / 2, y)}h{w:.1f}v{h:.1f}h{-w:.1f}Z"
    return path(shackle, "stem") + path(body, "valve shut")


def swatch(x: float, y: float, length: float) -> str:
    """Return the data of a short level piece of pipe for the key."""
    return f"M{pair(x, y)}h{length:.1f}"


def joined(lines: Sequence[Sequence[Point]]) -> str:
    """Return path data of several lines."""
    return "".join("M" + "L".join(pair(*point) for point in line) for line in lines)
