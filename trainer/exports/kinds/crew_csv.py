"""The crew by its tasks as CSV: one row for each person and task."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.crew_tables import standings
from trainer.exports.table_file import CSV as MEDIA_TYPE
from trainer.exports.table_file import CSV_ENDING as ENDING
from trainer.exports.table_file import as_csv

if TYPE_CHECKING:
    from trainer.records.qualification import CrewSheet

__all__ = ["ENDING", "MEDIA_TYPE", "NAME", "PERMISSION", "SUBJECT", "TITLE", "write"]

NAME = "crew_csv"
TITLE = "Crew sheet as CSV"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew"


def write(packet: CrewSheet, *, paper: str) -> bytes:  # noqa: ARG001  # a table has no paper
    """Return the standings of the crew as CSV."""
    return as_csv(standings(packet))
