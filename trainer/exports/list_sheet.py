"""Lists as a sheet: columns with their share of the width, rows of texts and states, what stands above and below."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.exports.pdf import compose

if TYPE_CHECKING:
    from datetime import date

    from trainer.exports.title_block import TitleBlock
    from trainer.records.qualification import Standing


@dataclass(frozen=True)
class Column:
    """A column: its head, its share of the width in per cent, and how it is set."""

    head: str
    share: float
    numeric: bool = False
    bold: bool = False


@dataclass(frozen=True)
class State:
    """A cell that tells a state by the hatch of a standing and a mark on it; `words` are read aloud in its place."""

    standing: Standing
    mark: str
    words: str

    def as_data(self) -> dict[str, str]:
        """Return what the template asks for."""
        return {"state": self.standing.value, "mark": self.mark, "words": self.words}


Cell = str | State


@dataclass(frozen=True)
class Part:
    """One list of a sheet: `nothing` stands in the place of no rows."""

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    nothing: str


@dataclass(frozen=True)
class ListSheet:
    """A list: `told` are sentences above it, `nothing` stands in the place of no rows, `signs` are boxes to sign.

    `least_height` is the least height of a row in millimetres: rows to be written in by hand are higher.
    `large` sets the heading so that nobody overlooks it. `more` are further lists below, `key` says what hatches mean.
    """

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    nothing: str
    told: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    least_height: float = 6.4
    large: bool = False
    more: tuple[Part, ...] = ()
    key: tuple[State, ...] = ()


def written(sheet: ListSheet, block: TitleBlock, *, on: date, paper: str) -> bytes:
    """Return the lists as PDF, dated by a day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    first = Part(sheet.heading, sheet.columns, sheet.rows, sheet.nothing)
    data = {
        **block.as_data(),
        "lists": [_list(part) for part in (first, *sheet.more)],
        "told": list(sheet.told),
        "signs": list(sheet.signs),
        "least": sheet.least_height,
        "large": sheet.large,
        "key": [state.as_data() for state in sheet.key],
    }
    at = datetime.combine(on, time(), UTC)
    return compose("list_sheet", data, title=f"{block.title}, {block.number}", at=at, paper=paper)


def _list(part: Part) -> dict[str, Any]:
    return {
        "heading": part.heading,
        "columns": [asdict(column) for column in part.columns],
        "rows": [{"cells": [_cell(cell) for cell in row]} for row in part.rows],
        "nothing": part.nothing,
    }


def _cell(cell: Cell) -> str | dict[str, str]:
    return cell if isinstance(cell, str) else cell.as_data()
