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
