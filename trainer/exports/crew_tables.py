"""The crew sheet and the lapse list as tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.table_file import Table

if TYPE_CHECKING:
    from trainer.exports.packets import LapseListPacket
    from trainer.records.qualification import CrewSheet


def standings(sheet: CrewSheet) -> Table:
    """Return one row for each person and task: such a table can be sorted and filtered."""
    return Table(
        "Standings",
        (
            "Day",
            "Number",
            "Name",
            "Grade",
            "Task",
            "Title",
            "Group",
            "Letter",
            "Standing",
            "Last day",
            "Alone",
            "Directed by one, at most",
        ),
        tuple(
            (
                sheet.day,
                row.person_id,
                row.name,
                row.grade,
                task.id,
                task.title,
                task.group,
                cell.letter,
                cell.words,
                cell.until,
                "yes" if cell.standing.may_work_alone else "no",
                task.conditions.span.most,
            )
            for row in sheet.rows
            for task, cell in zip(sheet.tasks, row.cells, strict=True)
        ),
    )


def crossed(sheet: CrewSheet) -> Table:
    """Return the crew by its tasks as the paper has it: a row a person, a column a task, letters within."""
    return Table(
        "Crew",
        ("Number", "Name", "Grade", *(f"{t.id} {t.title}" for t in sheet.tasks), "Tasks signed", "Next end"),
        tuple(
            (
                row.person_id,
                row.name,
                row.grade,
                *(cell.letter for cell in row.cells),
                row.signed,
                row.next_end,
            )
            for row in sheet.rows
        ),
    )


def lapsing(packet: LapseListPacket) -> Table:
    """Return what is over or ends soon, the earliest first."""
    return Table(
        "Lapses",
        ("Last day", "Days left", "Name", "Crew", "Task", "Record", "When it is over"),
        tuple(
            (line.until, line.days, line.person, line.crew, line.task, line.number, line.directed)
            for line in packet.lines
        ),
    )
