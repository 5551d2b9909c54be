"""What is known of a fault after some checks: how likely each cause is, and what each further check would tell.

A check shows something for the causes it finds and nothing for the others, so that the likelihoods after it are those
of the causes that agree, to 100 % again (Bayes' rule for checks that never err; own simplification).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import log2
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.procedure.model import FaultCheck, Symptom


@dataclass(frozen=True)
class Known:
    """What is known: the checks done, and the likelihood of each cause that they leave, 1 in all."""

    fault: Symptom
    done: tuple[str, ...]
    likely: Mapping[str, float]

    @property
    def ranked(self) -> list[str]:
        """The causes that are left, the likeliest first."""
        return sorted(self.likely, key=lambda cause: -self.likely[cause])

    @property
    def open_checks(self) -> dict[str, FaultCheck]:
        """The checks not done yet."""
        return {name: check for name, check in self.fault.checks.items() if name not in self.done}

    def tells(self, check: FaultCheck) -> float:
        """Return how much a check would tell, in bits: the entropy of its two outcomes.

        Source: C. E. Shannon, A Mathematical Theory of Communication (1948), section 6.
        """
        shows = sum(share for cause, share in self.likely.items() if cause in check.finds)
        return sum(-share * log2(share) for share in (shows, 1 - shows) if 1e-12 < share < 1)

    def for_its_cost(self, check: FaultCheck) -> float:
        """Return what a check tells a minute."""
        return self.tells(check) / check.minutes

    @cached_property
    def best(self) -> str | None:
        """The check that tells most for its cost; None when none tells anything."""
        telling = [name for name, check in self.open_checks.items() if self.tells(check) > 1e-9]
        return max(telling, key=lambda name: self.for_its_cost(self.open_checks[name]), default=None)

    def after(self, check: str, cause: str) -> Known:
        """Return what is known when a check is done on a machine that has a cause."""
        finds = self.fault.checks[check].finds
        left = {name: share for name, share in self.likely.items() if (name in finds) == (cause in finds)}
        total = sum(left.values())
        return Known(self.fault, (*self.done, check), {name: share / total for name, share in left.items()})


def at_first(fault: Symptom) -> Known:
    """Return what the fault table alone tells."""
    total = sum(cause.often for cause in fault.causes.values())
    return Known(fault, (), {name: cause.often / total for name, cause in fault.causes.items()})


def told(known: Known, at_most: int = 5) -> str:
    """Return the likelihoods in words, the likeliest first."""
    named = [
        f"{known.fault.causes[cause].text} {100 * known.likely[cause]:.0f} %"
        for cause in known.ranked[:at_most]
    ]
    return "; ".join(named)


def minutes(fault: Symptom, checks: Sequence[str]) -> int:
    """Return what checks cost together."""
    return sum(fault.checks[name].minutes for name in checks if name in fault.checks)
