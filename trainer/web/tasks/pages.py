"""The pages of the covered tasks: what is set for each, how it changed, and the form that changes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.actions import task_form
from trainer.records.conditions import MOST_DIRECTED, Ground
from trainer.records.methods import Method
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from trainer.actions.covered_tasks import ChangeLine, TaskSheet, TasksSheet
    from trainer.records.conditions import Finding
    from trainer.records.qualification import CoveredTask

_USES = (
    (task_form.NOT, "not allowed"),
    (task_form.MAY, "may be used"),
    (task_form.ONE_OF, "one of these at least"),
    (task_form.ALWAYS, "in every evaluation"),
)


@dataclass(frozen=True)
class TasksPage(Page):
    """All covered tasks, and every change of the programme in them."""

    TEMPLATE: ClassVar[str] = "tasks/list.html"
    sentence: str
    tasks: tuple[CoveredTask, ...]
    changes: tuple[ChangeLine, ...]


@dataclass(frozen=True)
class TaskPage(Page):
    """One covered task with all that is set for it and why; `grounds` are the four tests with what was found."""

    TEMPLATE: ClassVar[str] = "tasks/task.html"
    task: CoveredTask
    grounds: tuple[tuple[Ground, Finding | None], ...]
    procedures: tuple[tuple[str, str], ...]
    changes: tuple[ChangeLine, ...]
    may_set: bool


@dataclass(frozen=True)
class TaskForm:
    """What was typed: the task's fields, and what is said of the change."""

    fields: Mapping[str, str]
    seen: str
    because: str = ""
    significant: str = ""
    told_on: str = ""
    wrong: Mapping[str, str] | None = None
    says: str = ""


@dataclass(frozen=True)
class ChangePage(Page):
    """The form that sets a task anew."""

    TEMPLATE: ClassVar[str] = "tasks/change.html"
    task: CoveredTask
    fields: Mapping[str, str]
    wrong: Mapping[str, str]
    grounds: tuple[Ground, ...]
    methods: tuple[Method, ...]
    uses: tuple[tuple[str, str], ...]
    spans: tuple[tuple[str, str], ...]
    seen: str
    because: str
    significant: str
    told_on: str
    says: str


@dataclass(frozen=True)
class ToldPage(Page):
    """One change in full, and whether the agency was told of it."""

    TEMPLATE: ClassVar[str] = "tasks/made.html"
    line: ChangeLine
    may_set: bool
    told_on: str
    says: str


def tasks_page(sheet: TasksSheet, day: date) -> TasksPage:
    """Return the list of covered tasks."""
    waiting = sum(line.waits_to_be_told for line in sheet.changes)
    sentence = f"{count(len(sheet.tasks), 'covered task')}."
    if waiting:
        sentence += f" The agency is not told yet of {count(waiting, 'significant change')}."
    return TasksPage(
        TitleBlock(title="Covered tasks", kind="Programme", day=day), sentence, sheet.tasks, sheet.changes
    )


def task_page(sheet: TaskSheet, day: date, *, may_set: bool) -> TaskPage:
    """Return the page of one task."""
    grounds = sheet.task.grounds
    return TaskPage(
        _block(sheet.task, "Covered task", day),
        sheet.task,
        tuple((ground, grounds.of(ground)) for ground in Ground),
        sheet.procedures,
        sheet.changes,
        may_set,
    )


def change_page(sheet: TaskSheet, day: date, form: TaskForm) -> ChangePage:
    """Return the form; what was typed stays in it."""
    return ChangePage(
        block=_block(sheet.task, "Change of a covered task", day),
        task=sheet.task,
        fields=form.fields,
        wrong=form.wrong or {},
        grounds=tuple(Ground),
        methods=tuple(Method),
        uses=_USES,
        spans=tuple((str(most), _span_words(most)) for most in range(MOST_DIRECTED + 1)),
        seen=form.seen,
        because=form.because,
        significant=form.significant,
        told_on=form.told_on,
        says=form.says,
    )


def _span_words(most: int) -> str:
    return f"{most} at a time" if most else "none: nobody works at it unqualified"


def told_page(line: ChangeLine, day: date, *, may_set: bool, told_on: str = "", says: str = "") -> ToldPage:
    """Return the page of one change."""
    return ToldPage(_block(line.change.after, "Change of a covered task", day), line, may_set, told_on, says)


def _block(task: CoveredTask, kind: str, day: date) -> TitleBlock:
    return TitleBlock(title=f"{task.id} {task.title}", kind=kind, document=task.id, day=day)
