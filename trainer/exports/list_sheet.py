"""A list as a sheet: columns with their share of the width, rows of texts, what stands above and below."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING

from trainer.exports.pdf import compose

if TYPE_CHECKING:
    from datetime import date

    from trainer.exports.title_block import TitleBlock


@dataclass(frozen=True)
class Column:
    """A column: its head, its share of the width in per cent, and how it is set."""

    head: str
    share: float
    numeric: bool = False
    bold: bool = False


@dataclass(frozen=True)
class ListSheet:
    """A list: `told` are sentences above it, `nothing` stands in the place of no rows, `signs` are boxes to sign.

    `least_height` is the least height of a row in millimetres: rows to be written in by hand are higher.
    `large` sets the heading so that nobody overlooks it.
    """

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    nothing: str
    told: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    least_height: float = 6.4
    large: bool = False


def written(sheet: ListSheet, block: TitleBlock, *, on: date, paper: str) -> bytes:
    """Return the list as PDF, dated by a day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    data = {
        **block.as_data(),
        "heading": sheet.heading,
        "columns": [asdict(column) for column in sheet.columns],
        "rows": [{"cells": list(row)} for row in sheet.rows],
        "nothing": sheet.nothing,
        "told": list(sheet.told),
        "signs": list(sheet.signs),
        "least": sheet.least_height,
        "large": sheet.large,
    }
    at = datetime.combine(on, time(), UTC)
    return compose("list_sheet", data, title=f"{block.title}, {block.number}", at=at, paper=paper)
