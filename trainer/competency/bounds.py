"""What a number of right attempts says of the share that would be right in the long run.

Everything here follows from the binomial distribution, summed exactly; nothing is approximated but the Wilson interval,
which is for display.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable

_HALVINGS = 100


class NoSuchCounts(TrainerError):
    """Counts or shares that cannot be."""

    def __init__(self, why: str) -> None:
        super().__init__(f"Nothing can be said of these counts: {why}.")


@dataclass(frozen=True)
class Interval:
    """Two bounds of a share, 0 to 1."""

    lower: float
    upper: float


def binomial_at_most(count: int, trials: int, share: float) -> float:
    """Return the probability of at most `count` hits in `trials` at a share of hits."""
    if count < 0:
        return 0.0
    if count >= trials or share <= 0:
        return 1.0
    if share >= 1:
        return 0.0
    hit, miss = math.log(share), math.log1p(-share)
    total = math.lgamma(trials + 1)
    return min(
        1.0,
        math.fsum(
            math.exp(total - math.lgamma(k + 1) - math.lgamma(trials - k + 1) + k * hit + (trials - k) * miss)
            for k in range(count + 1)
        ),
    )


def success_run(share: float, confidence: float) -> int:
    """Return how many attempts in a row, none of them failed, show a share with a confidence.

    The smallest n with share**n <= 1 - confidence: the success-run rule.

    Raises:
        NoSuchCounts: share or confidence do not lie between 0 and 1.
    """
    return allowing(0, share, confidence)


def allowing(failures: int, share: float, confidence: float) -> int:
    """Return the attempts that show a share with a confidence when so many failures are allowed, fixed beforehand.

    The smallest n in which at most that many failures have probability 1 - confidence or less at exactly the share.

    Raises:
        NoSuchCounts: share or confidence do not lie between 0 and 1, or fewer failures than none.
    """
    _must(0 < share < 1 and 0 < confidence < 1, "share and confidence lie between 0 and 1")
    _must(failures >= 0, "there are no fewer failures than none")
    # A ceiling computed as 1 - .95 must not fall below .05 by rounding.
    risk = 1 - confidence + 1e-12

    def shows(trials: int) -> bool:
        return binomial_at_most(failures, trials, 1 - share) <= risk

    high = failures + 1
    while not shows(high):
        high *= 2
    low = failures
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if shows(middle) else (middle, high)
    return high


def shown_share(trials: int, confidence: float) -> float:
    """Return the share that so many attempts without a failure show: (1 - confidence) ** (1 / trials)."""
    _must(trials >= 1 and 0 < confidence < 1, "it takes an attempt, and a confidence between 0 and 1")
    return float((1 - confidence) ** (1 / trials))


def lower_bound(hits: int, trials: int, confidence: float) -> float:
    """Return the one-sided Clopper-Pearson lower bound of a share: what the hits show with a confidence.

    Source: C. J. Clopper and E. S. Pearson, Biometrika 26, 1934, pp. 404-413.
    """
    _count(hits, trials, confidence)
    if hits == 0:
        return 0.0
    return _root(lambda share: 1 - binomial_at_most(hits - 1, trials, share) - (1 - confidence))


def upper_bound(hits: int, trials: int, confidence: float) -> float:
    """Return the one-sided Clopper-Pearson upper bound of a share."""
    return 1 - lower_bound(trials - hits, trials, confidence)


def clopper_pearson(hits: int, trials: int, confidence: float) -> Interval:
    """Return the two-sided exact interval; half of what the confidence leaves lies on either side."""
    one_sided = (1 + confidence) / 2
    return Interval(lower_bound(hits, trials, one_sided), upper_bound(hits, trials, one_sided))


def wilson(hits: int, trials: int, z: float) -> Interval:
    """Return the Wilson interval for a normal quantile z (1.959964 for 95 % two-sided), for display only.

    Source: E. B. Wilson, Journal of the American Statistical Association 22, 1927, pp. 209-212.
    """
    _must(0 <= hits <= trials and trials >= 1, f"{hits} of {trials}")
    share = hits / trials
    middle = share + z * z / (2 * trials)
    half = z * math.sqrt(share * (1 - share) / trials + z * z / (4 * trials * trials))
    scale = 1 + z * z / trials
    # At 0 and at all hits the bound is 0 or 1 exactly, whatever rounding makes of it.
    lower = 0.0 if hits == 0 else (middle - half) / scale
    upper = 1.0 if hits == trials else (middle + half) / scale
    return Interval(lower, upper)


def posterior(hits: int, trials: int, share: float) -> float:
    """Return the probability that the long-run share is at least this, for a uniform prior.

    The posterior is Beta(1 + hits, 1 + misses); its tail is a binomial sum. Method: M. R. Novick and C. Lewis,
    Prescribing test length for criterion-referenced measurement, 1974.
    """
    _must(0 <= hits <= trials, f"{hits} of {trials}")
    return binomial_at_most(hits, trials + 1, share)


def _count(hits: int, trials: int, confidence: float) -> None:
    _must(0 <= hits <= trials and trials >= 1, f"{hits} of {trials}")
    _must(0 < confidence < 1, "a confidence lies between 0 and 1")


def _must(holds: bool, why: str) -> None:
    if not holds:
        raise NoSuchCounts(why)


def _root(rising: Callable[[float], float]) -> float:
    """Return where a function that rises over 0 to 1 crosses zero."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return (low + high) / 2
