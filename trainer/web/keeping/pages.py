"""The pages of the end of keeping."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.records.keeping import Word
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.destruction import KeptLine, KeptSheet


@dataclass(frozen=True)
class KeepingForm:
    """What was typed, by the word it was typed for, and why it was refused."""

    word: str = ""
    reason: str = ""
    says: str = ""


@dataclass(frozen=True)
class WordShown:
    """One word that may be said: its name in the address, its title, what it means, and why it is not possible."""

    name: str
    title: str
    means: str
    button: str
    why_not: str


@dataclass(frozen=True)
class KeepingListPage(Page):
    """Who does a task no more, and how the keeping of it stands."""

    TEMPLATE: ClassVar[str] = "keeping/list.html"
    sentence: str
    lines: tuple[KeptLine, ...]


@dataclass(frozen=True)
class KeepingSheetPage(Page):
    """What is kept of one person at one task, what was said about it, and what may be said now."""

    TEMPLATE: ClassVar[str] = "keeping/sheet.html"
    sheet: KeptSheet
    counted: tuple[tuple[str, int], ...]
    said: tuple[tuple[str, str, date, str, str], ...]
    words: tuple[WordShown, ...]
    form_kept: KeepingForm


_SHOWN = (
    (
        Word.PROPOSED,
        "propose",
        "Propose to destroy it",
        "Nothing goes yet: the keeper of the register or another supervisor has to confirm it.",
        "Propose it",
    ),
    (
        Word.CONFIRMED,
        "confirm",
        "Destroy it",
        "Record, evaluations, observations with their photographs, sittings and answers of this person at this task are "
        "gone for good, and with them the content of their entries in the log. Nobody can bring them back. Backups and "
        "packets made before still hold them; whoever keeps those decides about those.",
        "Destroy it for good",
    ),
    (
        Word.HELD,
        "hold",
        "Hold it back",
        "Because of a dispute or an investigation it is kept on, whatever the calendar says; an open proposal ends.",
        "Hold it back",
    ),
    (
        Word.LIFTED,
        "lift",
        "End the hold",
        "The dispute is over. Destroying takes two people afterwards, as before.",
        "End the hold",
    ),
)
_SAID = {
    Word.PROPOSED: "Proposed to destroy it",
    Word.CONFIRMED: "Destroyed",
    Word.HELD: "Held back",
    Word.LIFTED: "Hold ended",
}
_COUNTED = (
    ("qualifications", "Qualification records"),
    ("papers", "Records brought on paper"),
    ("evaluations", "Evaluations"),
    ("observations", "Observations at the bench"),
    ("sittings", "Sittings"),
    ("attempts", "Answers in practice"),
)


def list_page(lines: tuple[KeptLine, ...], day: date) -> KeepingListPage:
    """Return the list of whoever does a task no more."""
    due = sum(line.is_due for line in lines)
    sentence = (
        f"{count(due, 'person and task', 'people and tasks')} whose records may be destroyed, if two people decide so."
        if due
        else "Nothing may be destroyed today."
    )
    return KeepingListPage(TitleBlock(title="End of keeping", kind="List", day=day), sentence, lines)


def sheet_page(sheet: KeptSheet, form: KeepingForm) -> KeepingSheetPage:
    """Return what is kept of a person at a task, with what may be done about it."""
    numbers = sheet.counted.as_data()
    return KeepingSheetPage(
        block=TitleBlock(
            title=f"{sheet.person.name}: {sheet.task.id}",
            subtitle=sheet.task.title,
            kind="End of keeping",
            day=sheet.day,
        ),
        sheet=sheet,
        counted=tuple((words, numbers[name]) for name, words in _COUNTED),
        said=tuple(
            (_SAID[event.act], event.by_name, event.on, event.reason, event.at.strftime("%H:%M"))
            for event in sheet.events
        ),
        words=tuple(
            WordShown(name, title, means, button, sheet.may[word])
            for word, name, title, means, button in _SHOWN
            if word in sheet.may
        ),
        form_kept=form,
    )
