"""The pages on which a procedure is published: choose the file, look at what it changes for whom, decide."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.web.filters import count
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.revise import Publication
    from trainer.procedure.findings import Finding


@dataclass(frozen=True)
class Decided:
    """What the keeper chose and wrote: "yes", "no" or "", and why; `says` is why it was refused."""

    must_show: str = ""
    because: str = ""
    says: str = ""


@dataclass(frozen=True)
class ChooseRevisionPage(Page):
    """The field for the file of a procedure, with what the checker found in the one chosen before."""

    TEMPLATE: ClassVar[str] = "modules/choose_revision.html"
    says: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class RevisionPage(Page):
    """What publishing would do; `carried` is the file itself, sent again with the decision."""

    TEMPLATE: ClassVar[str] = "modules/publish_revision.html"
    heading: str
    found: Publication
    decided: Decided
    carried: str
    file: str


def choose_revision_page(*, says: str = "", findings: tuple[Finding, ...] = ()) -> ChooseRevisionPage:
    """Return the page that asks for the file of a procedure."""
    return ChooseRevisionPage(
        TitleBlock(title="Publish a revision", kind="Register of procedures"), says, findings
    )


def revision_page(found: Publication, decided: Decided, carried: str, file: str, day: date) -> RevisionPage:
    """Return what publishing a file would do."""
    block = TitleBlock(
        title=f"Publish: {found.title}",
        kind="Register of procedures",
        document=found.document,
        revision=found.revision,
        day=day,
    )
    return RevisionPage(block, _heading(found), found, decided, carried, file)


def _heading(found: Publication) -> str:
    if not found.is_new:
        return "This very revision is in force already. Nothing to do."
    if not found.replaces:
        return f"{found.title} would be published for the first time."
    many = count(len(found.concerned), "person", "people")
    verb = "is" if len(found.concerned) == 1 else "are"
    return f"{found.title}: {many} {verb} qualified under an earlier revision."
