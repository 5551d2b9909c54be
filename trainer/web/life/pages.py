"""The pages of the life of a qualification."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.records.life_cycle import Act
from trainer.records.suspension import Cause
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.life import LifeSheet
    from trainer.actions.notices import NoticeLine, NoticeSheet
    from trainer.actions.qualified import QualifiedSheet
    from trainer.records.qualification import CoveredTask


@dataclass(frozen=True)
class LifeForm:
    """What was typed, by the act it was typed for, and why it was refused."""

    act: str = ""
    cause: str = Cause.INCIDENT.value
    from_day: str = ""
    reason: str = ""
    says: str = ""


@dataclass(frozen=True)
class ActShown:
    """One act on the page: its name in the address, its words, what it means, and why it is not possible."""

    name: str
    title: str
    means: str
    button: str
    why_not: str


@dataclass(frozen=True)
class StoryPage(Page):
    """The story of one person's qualification for one task."""

    TEMPLATE: ClassVar[str] = "life/story.html"
    sheet: LifeSheet
    acts: tuple[ActShown, ...]
    causes: tuple[tuple[str, str], ...]
    form_kept: LifeForm


@dataclass(frozen=True)
class WhoForm:
    """What is asked for, as typed."""

    task: str = ""
    day: str = ""
    known_on: str = ""
    says: str = ""


@dataclass(frozen=True)
class WhoPage(Page):
    """Who was qualified for a task on a day; `sheet` is None before it was asked."""

    TEMPLATE: ClassVar[str] = "life/who.html"
    sentence: str
    tasks: tuple[tuple[str, str], ...]
    asked: WhoForm
    sheet: QualifiedSheet | None


_SHOWN = (
    (
        Act.SUSPEND,
        "Suspend",
        "From that day the person counts nowhere as qualified for this task. "
        "It ends when all of it was shown anew afterwards and signed, or when another supervisor lifts it as unfounded.",
        "Suspend from that day",
    ),
    (
        Act.LIFT,
        "Lift the suspension as unfounded",
        "From today the qualification holds again. The days it was suspended stay as they were. "
        "Another supervisor than the one who suspended does this (house rule: two people).",
        "Lift the suspension",
    ),
    (
        Act.WITHDRAW,
        "Withdraw the qualification",
        "It ends today for good. A new one needs everything anew: assessment, bench, evaluation, signature.",
        "Withdraw",
    ),
    (
        Act.STOP,
        "No longer does this task",
        "The qualification ends today, the task leaves the person's sheet, and the record is kept for five years "
        "from today (49 CFR 192.807(b)).",
        "Note it",
    ),
)


def story_page(sheet: LifeSheet, form: LifeForm) -> StoryPage:
    """Return the story of a qualification, with what may be done about it."""
    return StoryPage(
        block=TitleBlock(
            title=f"{sheet.person.name}: {sheet.task.id}",
            subtitle=sheet.task.title,
            kind="Life of a qualification",
            document=sheet.number,
            day=sheet.day,
        ),
        sheet=sheet,
        acts=tuple(
            ActShown(act.value, title, means, button, sheet.may[act])
            for act, title, means, button in _SHOWN
            if act in sheet.may
        ),
        causes=tuple((cause.value, f"{cause.words[:1].upper()}{cause.words[1:]}") for cause in Cause),
        form_kept=form,
    )


def who_page(
    tasks: tuple[CoveredTask, ...], asked: WhoForm, sheet: QualifiedSheet | None, day: date
) -> WhoPage:
    """Return who was qualified on a day, or the question alone."""
    sentence = "Who was qualified, on which day, and on what evidence?"
    if sheet is not None:
        many = len(sheet.qualified)
        sentence = (
            f"{count(many, 'person', 'people')} qualified for {sheet.task.id} on {sheet.day.isoformat()}."
            if many
            else f"Nobody was qualified for {sheet.task.id} on {sheet.day.isoformat()}."
        )
    return WhoPage(
        block=TitleBlock(
            title="Qualified on a day",
            subtitle=f"{sheet.task.id} {sheet.task.title}" if sheet else "",
            kind="List",
            day=day,
        ),
        sentence=sentence,
        tasks=tuple((task.id, f"{task.id} {task.title}") for task in tasks),
        asked=asked,
        sheet=sheet,
    )


@dataclass(frozen=True)
class ChangesPage(Page):
    """What revisions have to be read, by oneself or by everybody."""

    TEMPLATE: ClassVar[str] = "life/changes.html"
    sentence: str
    lines: tuple[NoticeLine, ...]
    own: bool


@dataclass(frozen=True)
class ChangePage(Page):
    """What one revision changes in work that the reader is qualified for."""

    TEMPLATE: ClassVar[str] = "life/change.html"
    sheet: NoticeSheet


def changes_page(lines: tuple[NoticeLine, ...], day: date, *, own: bool) -> ChangesPage:
    """Return the list of revisions to be read."""
    left = sum(line.read_at is None for line in lines)
    sentence = f"{count(left, 'revision')} to be read." if left else "Every revision is read."
    return ChangesPage(TitleBlock(title="Changes to read", kind="List", day=day), sentence, lines, own)


def change_page(sheet: NoticeSheet, day: date) -> ChangePage:
    """Return what a revision changes."""
    return ChangePage(
        TitleBlock(
            title=f"What changed: {sheet.line.module_title}",
            kind="Notice",
            document=sheet.line.document,
            revision=sheet.line.revision,
            day=day,
        ),
        sheet,
    )
