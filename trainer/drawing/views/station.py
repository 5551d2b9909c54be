"""The station: pipes by what they hold, valves by how they stand, after any step or in any line-up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drawing.scene import NoSuchSize
from trainer.drawing.sheet import PHONE, WIDE
from trainer.drawing.station_grid import Grid, Tag, grown, place_tags, segments
from trainer.drawing.station_symbols import SCALE, Frame, joined, padlock, reach, swatch, symbol
from trainer.drawing.svg import Picture, path, tag, words
from trainer.errors import TrainerError
from trainer.procedure.line_up_words import describe
from trainer.procedure.line_ups import line_up_after, locked_in, states_after
from trainer.procedure.pipe_states import Holds, LineUp, Stands
from trainer.procedure.station import Form, SourceOf
from trainer.procedure.window import UnknownStep, prepare
from trainer.procedure.wording import capital

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.sheet import Weight
    from trainer.drawing.station_grid import Box
    from trainer.procedure.model import Module
    from trainer.procedure.station import Element, Station

TITLE = "Station, with its valves and what its pipes hold after a step"
# Below that width, in px, the station stands upright.
WIDE_FROM = 620
_ROW_WIDE, _ROW_UPRIGHT = 36.0, 28.0
_PIPE = {
    Holds.INLET: "inlet",
    Holds.OUTLET: "outlet",
    Holds.VENTED: "vented",
    Holds.SHUT_IN: "shut-in",
    Holds.NITROGEN: "nitrogen",
    Holds.BLOWING: "blowing",
}


class NoStation(TrainerError):
    """A module says nothing of a station."""

    def __init__(self, module: Module) -> None:
        super().__init__(f"{module.id or module.file} says nothing of its pipes and valves: add `station`.")


class NoSuchElement(TrainerError):
    """An element is named that the station does not have."""

    def __init__(self, name: str, module: Module) -> None:
        super().__init__(f"The station of {module.id or module.file} has nothing to move named '{name}'.")


@dataclass(frozen=True)
class _Look:
    """A line-up to be drawn: what is locked, and what the last step has moved."""

    line_up: LineUp
    locked: frozenset[str] = frozenset()
    moved: frozenset[str] = frozenset()


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    after: str | None = None,
    done: Sequence[str] | None = None,
    standing_open: Sequence[str] | None = None,
    prefix: str = "station",
    told: bool = True,
) -> str:
    """Return the station with every valve in its position and every pipe by what it holds.

    Args:
        module: the procedure.
        size: one of the procedure's; a station looks the same at each.
        width: width in CSS px; below 620 it is drawn upright.
        after: the step just done, all before it in the file being done too; in service unless given.
        done: the steps done, in their order, instead of `after`.
        standing_open: the elements that stand open, instead of steps; of a filter that its cover is off.
        prefix: in front of every id.
        told: the description tells every position and pipe; without it, for a question, it tells none.

    Raises:
        NoStation: the module has no station.
        NoSuchSize: the module does not have the size.
        UnknownStep, NoSuchElement: a name is not there.
    """
    if module.station is None or not module.station.whole:
        raise NoStation(module)
    if size is not None and size not in module.sizes:
        raise NoSuchSize(size, module)
    look = _look(module, after, done, standing_open)
    upright = width < WIDE_FROM
    weight = PHONE if upright else WIDE
    grid, height = _grid(module.station, width, upright=upright)
    key = _Key(width, height, weight, upright=upright)
    content = "".join(
        (_pipes(grid, look.line_up), _elements(grid, look), _names(grid, look, weight, width, height))
    )
    description = (
        describe(look.line_up, look.locked) if told else "The words beside it say how the station stands."
    )
    return Picture(
        prefix,
        width,
        key.bottom,
        _title(module, after, done, standing_open),
        description,
        content + key.text(),
        weight.name,
    ).text()


def _title(
    module: Module, after: str | None, done: Sequence[str] | None, standing_open: Sequence[str] | None
) -> str:
    last = after or (done[-1] if done else None)
    if standing_open is not None:
        return "The station in a line-up"
    return f"The station after: {module.steps[last].do}" if last else "The station in service"


def _look(
    module: Module, after: str | None, done: Sequence[str] | None, standing_open: Sequence[str] | None
) -> _Look:
    station = module.station
    assert station is not None  # noqa: S101  # looked at before
    if standing_open is not None:
        for name in standing_open:
            if name not in station.moved:
                raise NoSuchElement(name, module)
        return _Look(LineUp(station, frozenset(standing_open)))
    order = list(module.steps)
    for name in (*(done or ()), *((after,) if after else ())):
        if name not in module.steps:
            raise UnknownStep(name, module)
    if done is None:
        done = order[: order.index(after) + 1] if after else []
    procedure = prepare(module)
    states = states_after(procedure, done)
    line_up = line_up_after(procedure, done)
    before = line_up_after(procedure, done[:-1])
    return _Look(line_up, locked_in(module, states), line_up.open ^ before.open)


# ------------------------------------------------------------------------------------------------ places


def _grid(station: Station, width: float, *, upright: bool) -> tuple[Grid, float]:
    """Return the grid of a drawing so many px wide, and how high it comes out without its key."""
    spots = [
        spot
        for piece in station.pieces.values()
        for run in (piece.upright if upright else piece.wide).runs()
        for spot in run
    ]
    spots += [element.upright if upright else element.wide for element in station.whole]
    x0, x1 = min(x for x, _ in spots), max(x for x, _ in spots)
    y0, y1 = min(y for _, y in spots), max(y for _, y in spots)
    # What stands at the end of a pipe points out of it, and leaves as a jet: room for that on every side.
    margin_x, margin_y, beyond = (18.0, 22.0, 10.0) if upright else (24.0, 22.0, 0.0)
    below = 30.0 if upright else 46.0
    step_x = (width - 2 * margin_x - beyond) / max(x1 - x0, 1)
    step_y = _ROW_UPRIGHT if upright else _ROW_WIDE
    half = min(9.5, step_x * 0.42) if upright else min(13.0, step_x * 0.42)
    grid = Grid(
        station,
        upright,
        step_x,
        step_y,
        margin_x - x0 * step_x,
        margin_y - y0 * step_y,
        half,
        7.0 if upright else 9.0,
    )
    return grid, margin_y + (y1 - y0) * step_y + below


def _frame(grid: Grid, element: Element) -> Frame:
    x, y = grid.spot(element)
    return Frame(x, y, grid.axis(element), grid.beside(element), grid.half * SCALE.get(element.form, 1.0))


def _obstacles(grid: Grid) -> list[Box]:
    """Return the boxes of all pipes, tubes and symbols."""
    boxes = [reach(element.form, _frame(grid, element)) for element in grid.station.whole]
    for piece in grid.station.pieces.values():
        drawn = grid.drawn(piece)
        for runs, wide in ((drawn.pipe, grid.thick / 2), (drawn.tubes, grid.thick / 4)):
            for run in runs:
                for (ax, ay), (bx, by) in segments(grid.line(run)):
                    boxes.append(grown((min(ax, bx), min(ay, by), max(ax, bx), max(ay, by)), wide))
    return boxes


# ------------------------------------------------------------------------------------------------ painting


def _pipes(grid: Grid, line_up: LineUp) -> str:
    """Return all pieces: tubes first, so that pipes close over their ends."""
    found: dict[str, list[str]] = {"tube": [], "pipe": []}
    for name, piece in grid.station.pieces.items():
        kind = _PIPE[line_up.holds[name]]
        drawn = grid.drawn(piece)
        for how, lines in (
            ("tube", [grid.cut(grid.tube(run)) for run in drawn.tubes]),
            ("pipe", [grid.cut(grid.line(run)) for run in drawn.pipe]),
        ):
            data = joined(lines)
            if data:
                found[how].append(tag("g", _laid(data), class_=f"{how} {kind}", data_part=name))
    return "".join((*found["tube"], *found["pipe"]))


def _laid(data: str) -> str:
    return path(data, "casing") + path(data, "core") + path(data, "fill")


def _elements(grid: Grid, look: _Look) -> str:
    drawn = []
    for element in grid.station.whole:
        blowing = any(look.line_up.holds.get(name) is Holds.BLOWING for name in element.joins)
        shown = look.line_up.stands(element)
        jets = blowing and shown is Stands.OPEN and element.form in (Form.VENT, Form.RELIEF)
        text = symbol(element.form, _frame(grid, element), shown, blowing=jets)
        kind = "element moved" if element.id in look.moved else "element"
        drawn.append(tag("g", text, class_=kind, data_part=element.id))
    return "".join(drawn)


def _names(grid: Grid, look: _Look, weight: Weight, width: float, height: float) -> str:
    """Return tags, the names of the ends, and locks."""
    size = weight.type_size - 1
    tags = [
        Tag(
            element.id,
            element.tag,
            reach(element.form, _frame(grid, element)),
            size * 0.9 if element.id in look.locked else 0.0,
        )
        for element in sorted(grid.station.whole, key=lambda e: e.form in _LAST)
    ]
    for piece in grid.station.pieces.values():
        for number, (x, y) in enumerate(grid.free_ends(piece) if piece.source else ()):
            box = grown((x, y, x, y), grid.thick / 2)
            tags.append(Tag(f"{piece.id} {number}", capital(str(piece.source)), box))
            if piece.source is SourceOf.OUTLET and not look.line_up.fed:
                tags.append(Tag(f"{piece.id} {number} fed", "not fed", box))
    within = (3.0, 2.0, width - 3, height)
    found = place_tags(tags, _obstacles(grid), size, within, sideways=grid.upright)
    drawn = []
    for item in tags:
        box = found[item.thing]
        y = (box[1] + box[3]) / 2
        drawn.append(words((box[0] + box[2] - item.extra) / 2, y, item.text, "tag"))
        if item.extra:
            drawn.append(padlock(box[2] - item.extra / 2 + 1, y - 1, size * 0.8))
    return "".join(drawn)


# These find room anywhere; what stands in the run comes first.
_LAST = (Form.GAUGE, Form.VENT, Form.NITROGEN_COCK, Form.RESTRICTOR)


@dataclass(frozen=True)
class _Key:
    """The key under the drawing: the six states of a pipe, and how valves are drawn."""

    width: float
    top: float
    weight: Weight
    upright: bool

    @property
    def _columns(self) -> int:
        return 2 if self.upright else 3

    @property
    def _row(self) -> float:
        return 22.0 if self.upright else 26.0

    @property
    def bottom(self) -> float:
        """Where it ends."""
        rows = -(-len(_PIPE) // self._columns)
        more = -(-len(_POSITIONS) // (2 if self.upright else 4))
        return self.top + 14 + (rows + more) * self._row + 4

    def text(self) -> str:
        """Return it as SVG."""
        left, swatch_length = 14.0, 34.0 if self.upright else 50.0
        drawn = [path(f"M{left - 6:.1f} {self.top:.1f}H{self.width - left + 6:.1f}", "rule")]
        y = self.top + 18
        for number, (held, kind) in enumerate(_PIPE.items()):
            x = left + number % self._columns * (self.width - 2 * left) / self._columns
            row = y + number // self._columns * self._row
            drawn.append(tag("g", _laid(swatch(x + 4, row, swatch_length)), class_=f"pipe {kind}"))
            drawn.append(words(x + swatch_length + 14, row, _short(held, upright=self.upright), "plain"))
        y += -(-len(_PIPE) // self._columns) * self._row
        columns = 2 if self.upright else 4
        for number, (shown, said) in enumerate(_POSITIONS):
            x = left + number % columns * (self.width - 2 * left) / columns
            row = y + number // columns * self._row
            half = 9.0 if self.upright else 12.0
            spot = x + 4 + swatch_length / 2
            drawn.append(
                padlock(spot, row - 1, 12)
                if shown is None
                else symbol(Form.VALVE, Frame(spot, row, (1, 0), (0, -1), half), shown)
            )
            drawn.append(words(x + swatch_length + 14, row, said, "plain"))
        return tag("g", *drawn, class_="key")


_POSITIONS: tuple[tuple[Stands | None, str], ...] = (
    (Stands.OPEN, "open"),
    (Stands.CLOSED, "closed"),
    (Stands.REGULATING, "regulating"),
    (None, "locked"),
)


def _short(held: Holds, *, upright: bool) -> str:
    return "shut in, may hold" if upright and held is Holds.SHUT_IN else str(held)
