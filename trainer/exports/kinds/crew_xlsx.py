"""The crew by its tasks as a workbook: the sheet as the paper has it, and one row for each person and task."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.crew_tables import crossed, standings
from trainer.exports.table_file import XLSX as MEDIA_TYPE
from trainer.exports.table_file import XLSX_ENDING as ENDING
from trainer.exports.table_file import as_xlsx

if TYPE_CHECKING:
    from trainer.records.qualification import CrewSheet

__all__ = ["ENDING", "MEDIA_TYPE", "NAME", "PERMISSION", "SUBJECT", "TITLE", "write"]

NAME = "crew_xlsx"
TITLE = "Crew sheet as a workbook"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew"


def write(packet: CrewSheet, *, paper: str) -> bytes:  # noqa: ARG001  # a table has no paper
    """Return the crew as XLSX, dated by its day."""
    tables = (crossed(packet), standings(packet))
    return as_xlsx(tables, title=packet.title, company=packet.company, on=packet.day)
