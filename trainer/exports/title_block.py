"""The title block of a sheet, and the sentences that stand on every sheet above it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from trainer.records.qualification import DUTY_OF_CARE

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

NOTHING = "–"
REVISION_SHOWN = 12


@dataclass(frozen=True)
class TitleBlock:
    """The fields of a title block (ISO 7200, as a public help page lists them), and two of the document's."""

    legal_owner: str
    title: str
    number: str
    type: str
    date: date
    issued_by: str
    approved_by: str
    revision: str = NOTHING
    subtitle: str = ""
    subject_label: str = ""
    subject: str = ""
    extra_label: str = ""
    extra: str = ""

    def as_data(self, *more_duty: str) -> dict[str, Any]:
        """Return what each template asks for: the fields, and the duty of care after further sentences."""
        return {
            "block": {**asdict(self), "date": day(self.date)},
            "duty": [*more_duty, DUTY_OF_CARE],
        }


def day(value: date) -> str:
    """Return the date as every sheet writes it: year-month-day."""
    return value.isoformat()


def moment(value: datetime) -> str:
    """Return a moment to the minute, in UTC as it was kept."""
    return f"{value:%Y-%m-%d %H:%M} UTC"


def short_revision(revision: str) -> str:
    """Return the start of a revision's hash, long enough to tell revisions apart; a dash for none."""
    return revision[:REVISION_SHOWN] or NOTHING


def listed(names: Iterable[str]) -> str:
    """Return the names parted by commas; a dash for none."""
    return ", ".join(names) or NOTHING
