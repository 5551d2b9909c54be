"""The keys that say how a station is piped; they belong to the one table of keys in `keys.py`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from trainer.procedure.blocks import Block, Key, ListOf, TableOf
from trainer.procedure.source import Scalar, Sequence
from trainer.procedure.station import Form, Position, SourceOf
from trainer.procedure.values import Name, OneOf, Text, Value

if TYPE_CHECKING:
    from trainer.procedure.source import Node
    from trainer.procedure.values import Path, Reading

_NUMBER = re.compile(r"-?[0-9]{1,3}(?:\.[0-9]{1,2})?\Z")


class GridSpot(Value):
    """A spot on the grid."""

    words = "a spot on the grid, `[across, down]`"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[float, float] | None:
        """Return across and down, in steps of the grid."""
        items = node.items if isinstance(node, Sequence) else ()
        figures = [item.text for item in items if isinstance(item, Scalar) and _NUMBER.match(item.text)]
        if len(figures) != 2 or len(items) != 2:
            self.wrong(node, path, reading)
            return None
        return float(figures[0]), float(figures[1])

    def schema(self) -> dict[str, Any]:
        """Two numbers."""
        return {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}


class GridLines(Value):
    """Lines over the grid; one line alone counts as a list of one."""

    words = "lines over the grid, each a list of spots `[across, down]`"

    def read(self, node: Node, path: Path, reading: Reading) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Return the lines that have two spots at least."""
        if not isinstance(node, Sequence) or not node.items:
            self.wrong(node, path, reading)
            return ()
        first = node.items[0]
        single = isinstance(first, Sequence) and bool(first.items) and isinstance(first.items[0], Scalar)
        lines = []
        for item in (node,) if single else node.items:
            spots = item.items if isinstance(item, Sequence) else ()
            line = tuple(
                spot for spot in (GridSpot().read(one, path, reading) for one in spots) if spot is not None
            )
            if len(spots) < 2:
                self.wrong(item, path, reading)
            elif len(line) == len(spots):
                lines.append(line)
        return tuple(lines)

    def schema(self) -> dict[str, Any]:
        """An array of arrays of spots."""
        line = {"type": "array", "items": GridSpot().schema(), "minItems": 2}
        return {"anyOf": [line, {"type": "array", "items": line, "minItems": 1}]}


_LINE = "[[0, 4], [3, 4]]"
PIECE = Block(
    "a piece of pipe",
    (
        Key("name", Text(), "What it is called in a sentence.", "pipe from HV-11 to the filter"),
        Key("source", OneOf(SourceOf), "What stands behind it, if it is an end.", "inlet"),
        Key("pipe", GridLines(), "Where it runs in the wide drawing.", _LINE),
        Key("tubes", GridLines(), "Its thin tubes: sensing lines, feed of a pilot.", _LINE),
        Key(
            "pipe_upright",
            GridLines(),
            "Where it runs in the upright drawing; across and down exchanged unless said.",
            _LINE,
        ),
        Key("tubes_upright", GridLines(), "Its tubes there; likewise.", _LINE),
    ),
)
ELEMENT = Block(
    "an element of a station",
    (
        Key("tag", Text(), "Its tag on the pipe; the id in capitals unless said.", "HV-11"),
        Key("name", Text(), "What it is.", "inlet valve of run 1", required=True),
        Key("form", OneOf(Form), "How it is drawn and lets gas through.", "ball_valve", required=True),
        Key(
            "joins",
            ListOf(Name("pieces")),
            "The piece or the two pieces that it joins, in the way of the gas.",
            "[inlet, before_filter]",
            required=True,
        ),
        Key("at", GridSpot(), "Where it stands in the wide drawing.", "[4, 4]", required=True),
        Key("upright", GridSpot(), "Where it stands in the upright one; exchanged unless said.", "[4, 4]"),
        Key("stands", OneOf(Position), "How it stands in service; `open` unless said.", "closed"),
        Key(
            "other_when",
            ListOf(Name("facts")),
            "It stands the other way while all of these facts hold.",
            "inlet_locked",
        ),
        Key("unless", ListOf(Name("facts")), "One of these puts it back.", "inlet_open"),
        Key("locked_when", ListOf(Name("facts")), "It carries a lock while these hold.", "inlet_locked"),
        Key(
            "opened_by",
            ListOf(Name("parts", "fasteners")),
            "A filter stands open to the air while one of these is off.",
            "[cover_nuts]",
        ),
        Key(
            "when_dead",
            OneOf(Position),
            "How a regulator, monitor or pilot stands without pressure; only an open one lets the far side empty.",
            "open",
        ),
    ),
)
STATION = Block(
    "the station",
    (
        Key("pieces", TableOf(PIECE), "The pieces of pipe.", f"{{inlet: {{source: inlet, pipe: {_LINE}}}}}"),
        Key(
            "elements",
            TableOf(ELEMENT),
            "What stands between them.",
            "{hv: {name: inlet valve, form: ball_valve, joins: [inlet, run], at: [3, 4]}}",
        ),
    ),
)
BLOCKS: tuple[tuple[str, Block], ...] = (
    ("station", STATION),
    ("station: pieces", PIECE),
    ("station: elements", ELEMENT),
)

__all__ = ["BLOCKS", "STATION"]
