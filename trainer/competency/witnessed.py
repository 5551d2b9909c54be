"""What somebody was seen doing, as evidence: one attempt a skill and observation, by the skill's id."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True)
class Witnessed:
    """An attempt made in the work itself; it counts in the same series as an assessed one.

    `right` means unaided from beginning to end; `critical` that what went wrong can hurt somebody. `begun` is when the
    work began, `at` when the one who watched it signed.
    """

    skill: str
    right: bool
    critical: bool
    begun: datetime
    at: datetime


def of_one_job(first: Witnessed, second: Witnessed) -> Witnessed:
    """Return what two who watched the same job say of a skill together.

    A job is one attempt however many watched it: right when all of them say so, critical when one does, at the time of the
    last signature.
    """
    return Witnessed(
        skill=first.skill,
        right=first.right and second.right,
        critical=first.critical or second.critical,
        begun=min(first.begun, second.begun),
        at=max(first.at, second.at),
    )
