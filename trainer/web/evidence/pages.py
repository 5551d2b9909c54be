"""The page on which evidence is asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.ledger import LogStanding
    from trainer.actions.views import CrewLine
    from trainer.records.qualification import CoveredTask


@dataclass(frozen=True)
class EvidenceForm:
    """What was typed, and what is to be said about it."""

    about: str = ""
    first: str = ""
    last: str = ""
    says: str = ""

    def saying(self, words: str) -> EvidenceForm:
        """Return the form with a sentence on it."""
        return replace(self, says=words)


@dataclass(frozen=True)
class CodeForm:
    """What was pasted from the code of a paper, and what came of it: what it names, and what differs."""

    code: str = ""
    says: str = ""
    names: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()

    @property
    def answered(self) -> bool:
        """The register was asked."""
        return bool(self.names)


@dataclass(frozen=True)
class EvidencePage(Page):
    """Whose evidence is wanted, for which time; and where the log stands. `known` are names that can be asked for."""

    TEMPLATE: ClassVar[str] = "evidence/sheet.html"
    log: LogStanding
    known: tuple[tuple[str, str], ...]
    filled: EvidenceForm
    pasted: CodeForm


def evidence_page(
    log: LogStanding,
    crews: tuple[CrewLine, ...],
    tasks: tuple[CoveredTask, ...],
    form: EvidenceForm,
    pasted: CodeForm,
    day: date,
) -> EvidencePage:
    """Return the page; without days of its own the form begins with the year so far."""
    first, last = form.first or f"{day.year}-01-01", form.last or day.isoformat()
    known = (*((crew.crew, "crew") for crew in crews), *((task.id, task.title) for task in tasks))
    block = TitleBlock(title="Evidence", kind="Sheet", day=day)
    return EvidencePage(block, log, known, replace(form, first=first, last=last), pasted)
