"""The pages of records transcribed from earlier papers: those that wait for a supervisor, and one in full."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.records.earlier import MEANING_CHECKED
from trainer.records.qualification import DUTY_OF_CARE, Standing
from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.views import EarlierView


@dataclass(frozen=True)
class PapersPage(Page):
    """The transcribed records that wait to be held against their papers; `ticked` are those ticked before."""

    TEMPLATE: ClassVar[str] = "supervisor/papers.html"
    heading: str
    lines: tuple[EarlierView, ...]
    ticked: tuple[str, ...]
    because: str
    meaning: str
    duty: str
    says: str


@dataclass(frozen=True)
class PaperPage(Page):
    """One transcribed record in full."""

    TEMPLATE: ClassVar[str] = "supervisor/paper.html"
    one: EarlierView
    duty: str
    papers: tuple[tuple[str, str], ...]
    may_withdraw: bool
    because: str
    says: str


def papers_page(
    lines: tuple[EarlierView, ...],
    day: date,
    *,
    ticked: tuple[str, ...] = (),
    because: str = "",
    says: str = "",
) -> PapersPage:
    """Return the list of what waits."""
    heading = (
        f"{count(len(lines), 'record waits', 'records wait')} to be held against the paper."
        if lines
        else "No transcribed record waits."
    )
    block = TitleBlock(title="From earlier papers", kind="Sign-off", day=day)
    return PapersPage(block, heading, lines, ticked, because, MEANING_CHECKED, DUTY_OF_CARE, says)


def paper_page(
    one: EarlierView,
    papers: tuple[tuple[str, str], ...],
    *,
    may_withdraw: bool,
    because: str = "",
    says: str = "",
) -> PaperPage:
    """Return the page of a transcribed record; `papers` are (name, words) of the papers it can be printed on."""
    record = one.record
    block = TitleBlock(
        title=f"{record.person}: {record.task} {record.task_title}",
        kind="Transcribed record",
        document=record.number,
        day=record.transcribed.at.date(),
        issued_by=record.transcribed.name,
    )
    runs = one.standing is not None and one.standing is not Standing.LAPSED and one.ended_on is None
    return PaperPage(block, one, DUTY_OF_CARE, papers, may_withdraw and runs, because, says)
