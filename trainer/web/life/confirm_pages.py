"""The page on which a supervisor confirms that a change was shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from trainer.actions.confirm_change import MEANING
from trainer.records.qualification import DUTY_OF_CARE
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.confirm_change import ConfirmLine


@dataclass(frozen=True)
class ConfirmPage(Page):
    """What would be confirmed, on which evidence, and the form."""

    TEMPLATE: ClassVar[str] = "life/confirm.html"
    line: ConfirmLine
    sentence: str
    meaning: str
    duty: str
    says: str


def confirm_page(line: ConfirmLine, day: date, *, says: str = "") -> ConfirmPage:
    """Return the page on which a change is confirmed."""
    due = line.due
    block = TitleBlock(
        title=f"Change shown: {due.person_name}",
        subtitle=due.module_title,
        kind="Confirmation",
        document=due.number,
        revision=due.revision,
        day=day,
    )
    return ConfirmPage(block, line, due.sentence(day), MEANING, DUTY_OF_CARE, says)
