"""An entry of the log as a projection reads it, and what can be wrong with one."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime


class EntryUnfit(TrainerError):
    """No rows can be made of an entry."""

    def __init__(self, number: int, action: str, why: str) -> None:
        super().__init__(
            f"Entry {number} of the log ({action}) gives no rows: {why}. `trainer ledger check` tells whether it was changed."
        )


@dataclass(frozen=True)
class Entry:
    """What was done, when and by whom ("" for the command line on the host); `told` is the payload."""

    number: int
    at: datetime
    by: str
    action: str
    told: Mapping[str, Any]

    def unfit(self, why: str) -> EntryUnfit:
        """Return the error that no rows can be made of this entry."""
        return EntryUnfit(self.number, self.action, why)


def day(text: str) -> date | None:
    """Return a day as it stands in the log, None for none."""
    return date.fromisoformat(text) if text else None
