"""The lapse list as CSV."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.crew_tables import lapsing
from trainer.exports.table_file import CSV as MEDIA_TYPE
from trainer.exports.table_file import CSV_ENDING as ENDING
from trainer.exports.table_file import as_csv

if TYPE_CHECKING:
    from trainer.exports.packets import LapseListPacket

__all__ = ["ENDING", "MEDIA_TYPE", "NAME", "PERMISSION", "SUBJECT", "TITLE", "write"]

NAME = "lapse_csv"
TITLE = "Lapse list as CSV"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew, or * for all"


def write(packet: LapseListPacket, *, paper: str) -> bytes:  # noqa: ARG001  # a table has no paper
    """Return what is over or ends soon as CSV."""
    return as_csv(lapsing(packet))
