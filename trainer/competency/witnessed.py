"""What somebody was seen doing, as evidence: one attempt a skill and observation, by the skill's id."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True)
class Witnessed:
    """An attempt made in the work itself; it counts in the same series as an assessed one.

    `right` means unaided from beginning to end; `critical` that what went wrong can hurt somebody.
    """

    skill: str
    right: bool
    critical: bool
    at: datetime
