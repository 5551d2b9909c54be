"""The title block of a sheet, and the sentences that stand on every sheet above it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from trainer.exports.words import NOTHING, day
from trainer.records.qualification import DUTY_OF_CARE

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True)
class TitleBlock:
    """The fields of a title block (ISO 7200, as a public help page lists them), and two of the document's.

    The levels say as which heading title and subtitle stand in the outline of the file; 0 is none.
    """

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
    title_level: int = 1
    subtitle_level: int = 0

    def as_data(self, *more_duty: str) -> dict[str, Any]:
        """Return what each template asks for: the fields, and the duty of care after further sentences."""
        return {
            "owner": self.legal_owner,
            "block": {**asdict(self), "date": day(self.date)},
            "duty": [*more_duty, DUTY_OF_CARE],
        }
