"""Reading a table that somebody made elsewhere: CSV with a header, every bad line told by its number.

Nothing in a cell is ever worked out: a cell that looks like a formula is the text that stands in it.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

MOST_BYTES = 128 * 1024
MOST_LINES = 500


@dataclass(frozen=True)
class Column:
    """A column that may stand in the header: what stands in it, and whether it must be there."""

    meaning: str
    must: bool = True


@dataclass(frozen=True)
class Line:
    """One line of the table: the number of the line it begins on in the file, and its cells by column."""

    number: int
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Fault:
    """What is wrong with a line: its number, the column ("" for the whole line) and one sentence."""

    line: int
    column: str
    sentence: str

    def __str__(self) -> str:
        """Return line, column and sentence as one text."""
        where = f"line {self.line}, {self.column}" if self.column else f"line {self.line}"
        return f"{where}: {self.sentence}"


@dataclass(frozen=True)
class Table:
    """The lines that can be read, and what is wrong with the others."""

    lines: tuple[Line, ...]
    faults: tuple[Fault, ...]


class TableUnreadable(TrainerError):
    """The file as a whole cannot be read as a table."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The file cannot be read as a table: {why}.")


class LinesRefused(TrainerError):
    """Some lines cannot be taken over, so none is."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        more = f", and {len(faults) - 1} more" if len(faults) > 1 else ""
        first = str(faults[0]).rstrip(".")
        super().__init__(f"Nothing was taken over: {first}{more}.")


def read(data: bytes, columns: Mapping[str, Column]) -> Table:
    """Return the table in a CSV file.

    UTF-8 with or without a byte order mark; comma or semicolon, whichever the header uses more; blank lines
    are passed over; every cell is tidied to single spaces.

    Args:
        data: the file.
        columns: the columns that may stand in the header, by name.

    Raises:
        TableUnreadable: too large, not UTF-8, no or a wrong header, no line below it, or broken quotes.
    """
    text = _decoded(data)
    rows = _rows(text)
    header = [_column_name(cell) for cell in next(rows, (0, []))[1]]
    _must_be_header(header, columns)
    lines: list[Line] = []
    faults: list[Fault] = []
    for number, row in rows:
        if len(row) != len(header):
            faults.append(Fault(number, "", f"It has {len(row)} cells, the header has {len(header)}."))
        else:
            cells = dict.fromkeys(columns, "")
            cells.update({name: " ".join(cell.split()) for name, cell in zip(header, row, strict=True)})
            lines.append(Line(number, cells))
    if not lines and not faults:
        raise TableUnreadable("there is no line below the header")
    if len(lines) + len(faults) > MOST_LINES:
        raise TableUnreadable(f"it has more than {MOST_LINES} lines; divide it")
    return Table(tuple(lines), tuple(faults))


def _decoded(data: bytes) -> str:
    if len(data) > MOST_BYTES:
        raise TableUnreadable(f"it is larger than {MOST_BYTES // 1024} KiB; divide it")
    if not data.strip():
        raise TableUnreadable("it is empty")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        raise TableUnreadable(f"line {line} is not UTF-8; save it again as CSV in UTF-8") from problem
    if "\0" in text:
        raise TableUnreadable("it holds characters that are no text; save it again as CSV in UTF-8")
    return text


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each row that is not blank with the number of the line it begins on."""
    first = text.lstrip().splitlines()[0]
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield begins, row
            begins = reader.line_num + 1
    except csv.Error as problem:
        raise TableUnreadable(f"the quotes of line {begins} are broken") from problem


def _column_name(cell: str) -> str:
    return "_".join(cell.casefold().split())


def _must_be_header(header: Sequence[str], columns: Mapping[str, Column]) -> None:
    for name in header:
        if name not in columns:
            raise TableUnreadable(f"its header names '{name[:40]}', which is none of {', '.join(columns)}")
        if header.count(name) > 1:
            raise TableUnreadable(f"its header names '{name}' twice")
    missing = [name for name, column in columns.items() if column.must and name not in header]
    if missing:
        raise TableUnreadable(f"its header lacks {', '.join(missing)}")
