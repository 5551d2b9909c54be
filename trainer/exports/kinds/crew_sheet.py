"""The crew by its tasks on one day: hatches and letters, ends that matter, and where too few are signed."""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day
from trainer.records.qualification import MARK, MARK_WORDS, Standing

if TYPE_CHECKING:
    from datetime import date

    from trainer.records.qualification import CoveredTask, CrewCell, CrewChange, CrewRow, CrewSheet

NAME = "crew_sheet"
TITLE = "Crew sheet"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew"

MOST_TASKS = 14
MOST_CHANGES = 5
# The order of the key: what may be worked alone first.
_KEY = (
    Standing.SIGNED,
    Standing.ENDS_SOON,
    Standing.READY,
    Standing.IN_PRACTICE,
    Standing.LAPSED,
    Standing.SUSPENDED,
    Standing.NOT_ASSIGNED,
)
_DATED = (Standing.ENDS_SOON, Standing.LAPSED)


def write(packet: CrewSheet, *, paper: str) -> bytes:
    """Return the crew sheet as PDF, dated by its day; further sheets for further tasks and people.

    Args:
        packet: the crew on its day.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    return compose(
        NAME,
        _data(packet),
        title=f"{packet.title}, {day(packet.day)}",
        at=datetime.combine(packet.day, time(), tzinfo=UTC),
        paper=paper,
    )


def _data(sheet: CrewSheet) -> dict[str, Any]:
    newest = sorted(sheet.changes, key=lambda change: change.on)[-MOST_CHANGES:]
    return {
        **_block(sheet).as_data(),
        "most_tasks": MOST_TASKS,
        "year": sheet.day.year,
        "tasks": [_task(task) for task in sheet.tasks],
        "rows": [_row(row, sheet.day) for row in sheet.rows],
        "spans": [str(task.conditions.span.most or "nobody") for task in sheet.tasks],
        "foot": [{"signed": signed, "needed": needed} for signed, needed in sheet.signed_of_needed()],
        "key": [{"state": s.value, "letter": s.letter, "words": s.words} for s in _KEY],
        "mark": _mark(sheet),
        "changes": [_change(change) for change in newest],
        "earlier_changes": len(sheet.changes) - len(newest),
    }


def _mark(sheet: CrewSheet) -> str:
    """Return what the mark behind a letter means, when a letter has one."""
    return f"{MARK}  {MARK_WORDS}." if any(cell.on_paper for row in sheet.rows for cell in row.cells) else ""


def _block(sheet: CrewSheet) -> TitleBlock:
    return TitleBlock(
        legal_owner=sheet.company,
        title=sheet.title,
        number=sheet.document,
        type=TITLE,
        date=sheet.day,
        issued_by=sheet.issued_by,
        approved_by="",
    )


def _task(task: CoveredTask) -> dict[str, str]:
    return {"id": task.id, "title": task.title, "group": task.group}


def _row(row: CrewRow, today: date) -> dict[str, Any]:
    return {
        "name": row.name,
        "grade": row.grade,
        "signed": row.signed,
        "next_end": _short(row.next_end, today),
        "cells": [_cell(cell, today) for cell in row.cells],
    }


def _cell(cell: CrewCell, today: date) -> dict[str, str]:
    return {
        "state": cell.standing.value,
        "letter": cell.letter,
        "words": _words(cell),
        "until": _short(cell.until, today) if cell.standing in _DATED else "",
    }


def _words(cell: CrewCell) -> str:
    """Return what is read aloud for a cell."""
    if cell.until is None or cell.standing is Standing.SUSPENDED:
        return cell.words
    return f"{cell.words} {'after' if cell.standing is Standing.LAPSED else 'until'} {day(cell.until)}"


def _short(value: date | None, today: date) -> str:
    """Return month-day for a date in the sheet's year, else the whole date."""
    if value is None:
        return ""
    return f"{value:%m-%d}" if value.year == today.year else day(value)


def _change(change: CrewChange) -> dict[str, str]:
    return {
        "on": day(change.on),
        "name": change.name,
        "task": change.task,
        "was": change.was.letter,
        "now": change.now.letter,
    }
