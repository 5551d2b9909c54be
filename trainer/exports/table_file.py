"""Tables as files for a spreadsheet: CSV by the standard library, XLSX by XlsxWriter; no text of ours becomes a formula."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

CSV, CSV_ENDING = "text/csv; charset=utf-8", "csv"
XLSX, XLSX_ENDING = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", "xlsx"

# By this mark spreadsheets know UTF-8; programs that do not want it cut it off.
BOM = "\ufeff".encode()

# What a spreadsheet takes for the begin of a formula (OWASP, CSV Injection), full-width signs among them.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
_WIDEST = 44
_LONGEST_NAME = 31

Cell = str | int | date | None


@dataclass(frozen=True)
class Table:
    """A table: its name, its heads, and rows as long as the heads."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def as_csv(table: Table) -> bytes:
    """Return the table as CSV (RFC 4180) in UTF-8 with a mark in front.

    A text that a spreadsheet would take for a formula gets an apostrophe in front; numbers stay numbers.
    """
    written = io.StringIO(newline="")
    writer = csv.writer(written)
    writer.writerow([_harmless(head) for head in table.heads])
    writer.writerows([[_plain(cell) for cell in row] for row in table.rows])
    return BOM + written.getvalue().encode()


def as_xlsx(tables: Sequence[Table], *, title: str, company: str, on: date) -> bytes:
    """Return the tables as sheets of one XLSX file dated by a day; every text is a text, never a formula.

    Args:
        tables: one a sheet.
        title: title of the file.
        company: legal owner, as the file's properties have it.
        on: the day the tables speak of; it stands as the moment of making, so that the same tables give the same bytes.
    """
    from xlsxwriter import Workbook  # only who wants such a file waits for it

    held = io.BytesIO()
    book = Workbook(held, {"in_memory": True, "default_date_format": "yyyy-mm-dd"})
    book.set_properties(
        {"title": title, "company": company, "created": datetime.combine(on, time(), tzinfo=UTC)}
    )
    bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
    # The spreadsheet's own way to say that a text stays a text when somebody edits the cell.
    text = book.add_format({"quote_prefix": True})
    for table in tables:
        sheet = book.add_worksheet(_sheet_name(table.name))
        for column, head in enumerate(table.heads):
            sheet.write_string(0, column, head, bold)
            longest = max((len(_plain(row[column])) for row in table.rows), default=0)
            sheet.set_column(column, column, min(max(longest, len(head) // 2, 8) + 2, _WIDEST))
        for number, row in enumerate(table.rows, start=1):
            for column, cell in enumerate(row):
                if isinstance(cell, int):
                    sheet.write_number(number, column, cell)
                elif isinstance(cell, date):
                    sheet.write_datetime(number, column, cell)
                elif cell:
                    sheet.write_string(number, column, cell, text if _harmless(cell) != cell else None)
        sheet.freeze_panes(1, 0)
        sheet.autofilter(0, 0, max(len(table.rows), 1), len(table.heads) - 1)
    book.close()
    return held.getvalue()


def _plain(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, date):
        return cell.isoformat()
    return str(cell) if isinstance(cell, int) else _harmless(cell)


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA) else text


def _sheet_name(name: str) -> str:
    """Return a name that a sheet may have: 31 characters without signs that part addresses."""
    return "".join("-" if sign in "[]:*?/\\'" else sign for sign in name)[:_LONGEST_NAME]
