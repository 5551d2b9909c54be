"""The pages of who answers for a crew."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from trainer.records.qualification import DUTY_OF_CARE, MEANING_SIGNED
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock
from trainer.web.supervisor.crew_cells import cells

if TYPE_CHECKING:
    from datetime import date

    from markupsafe import Markup

    from trainer.actions.changes import ChangeDue
    from trainer.actions.views import CrewLine, LapseLine, NotYetLine, QueueLine
    from trainer.records.qualification import CoveredTask, CrewChange, CrewSheet, QualificationRecord

# So many of what ends first stand beside the crews; the files to take along hold all of it.
LAPSES_SHOWN = 100
# The list of changes beside the key holds so many; the printed sheet is the place for more.
_CHANGES_SHOWN = 6


@dataclass(frozen=True)
class CrewsPage(Page):
    """All crews, and what ends next."""

    TEMPLATE: ClassVar[str] = "supervisor/crews.html"
    crews: tuple[CrewLine, ...]
    lapses: tuple[LapseLine, ...]
    more: bool
    changes_due: tuple[ChangeDue, ...]
    today: date
    may_confirm: bool


@dataclass(frozen=True)
class RowShown:
    """One person's row of the crew sheet."""

    person_id: str
    name: str
    grade: str
    cells: Markup
    signed: int
    next_end: date | None


@dataclass(frozen=True)
class FootCell:
    """How many are signed of how many are needed, and how many are short."""

    signed: int
    needed: int

    @property
    def short(self) -> int:
        """How many are missing."""
        return max(0, self.needed - self.signed)


@dataclass(frozen=True)
class ChangeShown:
    """One line of the list of changes, with the number of the task on this sheet."""

    change: CrewChange
    number: int


@dataclass(frozen=True)
class TrainingDay:
    """What is filled in for the sign-in sheet of a training day, and between which procedures to choose."""

    modules: tuple[tuple[str, str], ...]
    day: str
    module: str = ""
    approved_by: str = ""
    says: str = ""


@dataclass(frozen=True)
class CrewPage(Page):
    """The crew by its tasks; `people` is the address below which each person has a sheet, built once."""

    TEMPLATE: ClassVar[str] = "supervisor/crew.html"
    crew: str
    people: str
    groups: tuple[tuple[str, int], ...]
    tasks: tuple[tuple[int, CoveredTask, bool], ...]
    rows: tuple[RowShown, ...]
    foot: tuple[tuple[FootCell, bool], ...]
    spans: tuple[tuple[CoveredTask, bool], ...]
    changes: tuple[ChangeShown, ...]
    may_print: bool
    changes_due: tuple[ChangeDue, ...]
    today: date
    may_confirm: bool
    training: TrainingDay


@dataclass(frozen=True)
class QueuePage(Page):
    """Who waits for a signature."""

    TEMPLATE: ClassVar[str] = "supervisor/queue.html"
    sentence: str
    lines: tuple[QueueLine, ...]
    not_yet: tuple[NotYetLine, ...]
    papers: int
    shown: tuple[ChangeDue, ...]
    today: date


@dataclass(frozen=True)
class SignPage(Page):
    """What is signed, on which evidence, and what the signature means."""

    TEMPLATE: ClassVar[str] = "supervisor/sign.html"
    line: QueueLine
    meaning: str
    duty: str
    says: str


@dataclass(frozen=True)
class QualificationPage(Page):
    """One qualification record in full."""

    TEMPLATE: ClassVar[str] = "supervisor/record.html"
    record: QualificationRecord
    duty: str
    papers: tuple[tuple[str, str], ...]


def crews_page(
    crews: tuple[CrewLine, ...],
    lapses: tuple[LapseLine, ...],
    changes_due: tuple[ChangeDue, ...],
    day: date,
    *,
    may_confirm: bool,
) -> CrewsPage:
    """Return the list of crews, with what lapses and what changes have to be shown."""
    more = len(lapses) > LAPSES_SHOWN
    block = TitleBlock(title="Crews", kind="List", day=day)
    return CrewsPage(block, crews, lapses[:LAPSES_SHOWN], more, changes_due, day, may_confirm)


def crew_page(
    crew: str,
    sheet: CrewSheet,
    people: str,
    changes_due: tuple[ChangeDue, ...],
    training: TrainingDay,
    *,
    may_print: bool,
    may_confirm: bool,
) -> CrewPage:
    """Return the crew sheet, with what changes its people have to show.

    `may_print` says whether this reader may have the records of the crew, `may_confirm` whether they confirm changes.
    """
    starts = _group_starts(sheet.tasks)
    numbers = {task.id: number for number, task in enumerate(sheet.tasks, start=1)}
    newest = sorted(sheet.changes, key=lambda change: change.on, reverse=True)[:_CHANGES_SHOWN]
    return CrewPage(
        block=TitleBlock(
            title=sheet.title,
            subtitle="Who may do which covered task without being directed and observed",
            kind="Crew sheet",
            document=sheet.document,
            day=sheet.day,
            issued_by=sheet.issued_by,
        ),
        crew=crew,
        people=people,
        groups=tuple((name, len(list(tasks))) for name, tasks in groupby(sheet.tasks, lambda t: t.group)),
        tasks=tuple((numbers[task.id], task, start) for task, start in zip(sheet.tasks, starts, strict=True)),
        rows=tuple(
            RowShown(row.person_id, row.name, row.grade, cells(row.cells, starts), row.signed, row.next_end)
            for row in sheet.rows
        ),
        foot=tuple(
            (FootCell(signed, needed), start)
            for (signed, needed), start in zip(sheet.signed_of_needed(), starts, strict=True)
        ),
        spans=tuple(zip(sheet.tasks, starts, strict=True)),
        changes=tuple(ChangeShown(change, numbers.get(change.task, 0)) for change in newest),
        may_print=may_print,
        changes_due=changes_due,
        today=sheet.day,
        may_confirm=may_confirm,
        training=training,
    )


def _group_starts(tasks: tuple[CoveredTask, ...]) -> list[bool]:
    return [index == 0 or tasks[index - 1].group != task.group for index, task in enumerate(tasks)]


def queue_page(
    lines: tuple[QueueLine, ...],
    not_yet: tuple[NotYetLine, ...],
    papers: int,
    shown: tuple[ChangeDue, ...],
    day: date,
) -> QueuePage:
    """Return the sign-off queue; `papers` transcribed records and the changes `shown` wait beside it."""
    sentence = (
        f"{count(len(lines), 'waits', 'wait')} for a signature." if lines else "Nobody waits for a signature."
    )
    block = TitleBlock(title="Sign-off", kind="List", day=day)
    return QueuePage(block, sentence, lines, not_yet, papers, shown, day)


def sign_page(line: QueueLine, day: date, *, says: str = "") -> SignPage:
    """Return the page on which a qualification is signed."""
    block = TitleBlock(
        title=f"Sign-off: {line.person_name}",
        subtitle=f"{line.task_id} {line.task_title}",
        kind="Sign-off",
        document=line.document,
        revision=line.revision,
        day=day,
    )
    return SignPage(block, line, MEANING_SIGNED, DUTY_OF_CARE, says)


def qualification_page(record: QualificationRecord, papers: tuple[tuple[str, str], ...]) -> QualificationPage:
    """Return the page of a record; `papers` are (name, words) of the papers it can be printed on."""
    block = TitleBlock(
        title=f"{record.person}: {record.task} {record.task_title}",
        kind="Qualification record",
        document=record.number,
        revision=record.revision,
        day=record.supervisor.at.date(),
        issued_by=record.supervisor.name,
    )
    return QualificationPage(block, record, DUTY_OF_CARE, papers)
