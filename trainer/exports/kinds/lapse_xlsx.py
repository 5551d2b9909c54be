"""The lapse list as a workbook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.crew_tables import lapsing
from trainer.exports.table_file import XLSX as MEDIA_TYPE
from trainer.exports.table_file import XLSX_ENDING as ENDING
from trainer.exports.table_file import as_xlsx

if TYPE_CHECKING:
    from trainer.exports.packets import LapseListPacket

__all__ = ["ENDING", "MEDIA_TYPE", "NAME", "PERMISSION", "SUBJECT", "TITLE", "write"]

NAME = "lapse_xlsx"
TITLE = "Lapse list as a workbook"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew, or * for all"


def write(packet: LapseListPacket, *, paper: str) -> bytes:  # noqa: ARG001  # a table has no paper
    """Return what is over or ends soon as XLSX, dated by its day."""
    return as_xlsx(
        (lapsing(packet),), title=f"Lapse list, {packet.crew}", company=packet.company, on=packet.on
    )
