"""What counts for the next signature: a round of one person with one covered task.

A round begins at the person's last signature for the task, or at the suspension, withdrawal, end of the task or change found
not shown after it, whichever is latest. Only work begun after that counts: a renewal is a new event that shows all of it
again, not a changed date (49 U.S.C. 60131(d)(3)), and what was shown before there was reason for doubt says nothing any more
(49 CFR 192.805(d) and (e)). A sitting that is open then ends with the round, and work watched across it counts for neither.
Before the first signature everything at the revision counts.

Own choice, about the risk of passing somebody who falls short. The policy allows it for one decision, and the series of
a class share it: half for the first, a quarter for the second, and so on. A signature is that decision; the next
decision, for a new term, has the risk of its own, so its first series is series 1 again. A suspension decides nothing.
If the series began at 1 again after it, whoever is suspended in the middle of a bad series would get the same share a
second time, and the shares would add up to more than the policy allows. So every series begun since the last
signature is spent, decided or not, and after a break the next higher number is run. A suspension that was lifted as
unfounded never was a break.

The confirmation that a change was shown begins no round: it sets no new term, and its classes were decided once, by series
that the renewal still counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime


@dataclass(frozen=True)
class Round:
    """The last signature, None before the first, and the breaks after it in the order of time."""

    signed_at: datetime | None = None
    broken_at: tuple[datetime, ...] = ()

    @property
    def since(self) -> datetime | None:
        """When the round began; None when everything counts."""
        return self.broken_at[-1] if self.broken_at else self.signed_at

    @property
    def stretches(self) -> int:
        """How many stretches there are since the last signature; the newest is the round."""
        return len(self.broken_at) + 1

    def counts(self, at: datetime) -> bool:
        """Return whether what was begun at a moment counts for the next signature."""
        return self.since is None or at > self.since

    def stretch_of(self, at: datetime) -> int | None:
        """Return which stretch since the last signature a moment lies in, counted from 0; None before all of them."""
        if self.signed_at is not None and at <= self.signed_at:
            return None
        return sum(at > moment for moment in self.broken_at)


def round_after(
    signatures: Iterable[datetime], breaks: Iterable[datetime], *, before: datetime | None = None
) -> Round:
    """Return the round that follows on signatures and breaks.

    Args:
        signatures: when the person was signed for the task.
        breaks: when they were suspended, unless that was lifted as unfounded, or withdrawn, or stopped doing the task, or
            failed to show a change.
        before: the round as it was at this moment; what happened at it or later is passed over.
    """
    signed = max((at for at in signatures if before is None or at < before), default=None)
    after = (at for at in set(breaks) if before is None or at < before)
    return Round(signed, tuple(sorted(at for at in after if signed is None or at > signed)))
