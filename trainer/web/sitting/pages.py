"""The pages of a sitting."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.sitting_views import AskedLine, ClassResult, ReleaseSheet, SittingSheet


@dataclass(frozen=True)
class ReleasePage(Page):
    """What a mentor reads before they release somebody, and the forms; `about` is "change" when that one was sent."""

    TEMPLATE: ClassVar[str] = "sitting/release.html"
    sheet: ReleaseSheet
    because: str
    says: str
    about: str


@dataclass(frozen=True)
class SittingPage(Page):
    """A sitting: what awaits its person, where it stands, or what it came to."""

    TEMPLATE: ClassVar[str] = "sitting/sheet.html"
    sheet: SittingSheet
    sentence: str
    own: bool
    results: tuple[ClassResult, ...]
    asked: tuple[AskedLine, ...]
    because: str
    says: str


def release_page(
    sheet: ReleaseSheet, day: date, *, because: str = "", says: str = "", about: str = ""
) -> ReleasePage:
    """Return the page on which a sitting is released."""
    block = TitleBlock(
        title=f"Release {sheet.person_name} for a sitting",
        subtitle=sheet.module_title,
        kind="Release",
        document=sheet.document,
        revision=sheet.revision,
        day=day,
    )
    return ReleasePage(block, sheet, because, says, about)


def sitting_page(
    sheet: SittingSheet, day: date, *, own: bool, because: str = "", says: str = ""
) -> SittingPage:
    """Return the page of a sitting."""
    block = TitleBlock(
        title=f"Sitting: {sheet.module_title}",
        subtitle=sheet.person_name,
        kind="Assessment sitting",
        document=sheet.document,
        revision=sheet.sitting.revision,
        day=sheet.begun_at.date() if sheet.begun_at else day,
        issued_by=sheet.released_by,
    )
    return SittingPage(
        block=block,
        sheet=sheet,
        sentence=_sentence(sheet, own=own),
        own=own,
        results=sheet.results,
        asked=sheet.asked,
        because=because,
        says=says,
    )


def _sentence(sheet: SittingSheet, *, own: bool) -> str:
    if sheet.sitting.end is None:
        if sheet.begun_at is None:
            return "You are released for a sitting." if own else f"{sheet.person_name} has not begun yet."
        return f"Under way: {count(sheet.answered, 'question')} answered."
    return f"{sheet.state[:1].upper()}{sheet.state[1:]}."
