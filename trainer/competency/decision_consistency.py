"""How often the same decision would fall again: pass or not, if everybody answered a second, equal set of items.

Sources, beside each function: Subkoviak 1976 and 1988, Woodruff and Sawyer 1988, Livingston 1972.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, comb, exp, pi, sin
from statistics import NormalDist, fmean, pvariance
from statistics import variance as variance_of_sample
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

_NORMAL = NormalDist()
_SLICES = 400


class ConsistencyUnknown(TrainerError):
    """The numbers do not tell how consistent a decision is."""

    def __init__(self, why: str) -> None:
        super().__init__(f"How often the decision would fall again cannot be told: {why}.")


@dataclass(frozen=True)
class Consistency:
    """The share of people decided alike twice, what chance alone would give, and the agreement beyond it."""

    agreement: float
    chance: float

    @property
    def kappa(self) -> float:
        """Agreement beyond chance; 0 where chance alone always agrees."""
        return (self.agreement - self.chance) / (1 - self.chance) if self.chance < 1 else 0.0


def kr_21(scores: Sequence[int], items: int, *, of_sample: bool = False) -> float:
    """Return the reliability of scores of equally hard items; never below 0.

    Args:
        scores: right answers of each person.
        items: number of items.
        of_sample: divide the variance by n - 1; otherwise by n, as Subkoviak does.

    Source: Kuder and Richardson, Psychometrika 2, 1937, pp. 151-160, formula 21 (from memory).
    """
    middle, variance = fmean(scores), (variance_of_sample if of_sample else pvariance)(scores)
    if items < 2 or not variance:
        return 0.0
    return max(0.0, items / (items - 1) * (1 - middle * (items - middle) / (items * variance)))


def expected_share(score: int, scores: Sequence[int], items: int, reliability: float) -> float:
    """Return the share of items somebody would get right, drawn towards the mean as far as scores are unreliable."""
    return (reliability * score + (1 - reliability) * fmean(scores)) / items


def passing(share: float, items: int, cut: int) -> float:
    """Return the probability of at least `cut` right of `items` at a share of right ones."""
    return sum(comb(items, k) * share**k * (1 - share) ** (items - k) for k in range(max(cut, 0), items + 1))


def from_one_sitting(
    scores: Sequence[int], items: int, cut: int, reliability: float | None = None
) -> Consistency:
    """Return the consistency of "at least `cut` right" from a single sitting of everybody.

    Args:
        scores: right answers of each person.
        items: number of items.
        cut: the least number right that passes.
        reliability: of the scores; KR-21 of the scores unless given.

    Raises:
        ConsistencyUnknown: nobody sat, or a score is not between 0 and the number of items.

    Source: M. J. Subkoviak, Journal of Educational Measurement 13, 1976, pp. 265-276 (ERIC ED120229).
    """
    if not scores or not all(0 <= score <= items for score in scores):
        raise ConsistencyUnknown(f"it takes scores between 0 and {items}")
    trust = kr_21(scores, items) if reliability is None else reliability
    chances = [passing(expected_share(score, scores, items, trust), items, cut) for score in scores]
    middle = fmean(chances)
    return Consistency(fmean(p**2 + (1 - p) ** 2 for p in chances), middle**2 + (1 - middle) ** 2)


def from_reliability(z: float, reliability: float) -> Consistency:
    """Return the consistency of a cut that lies z standard deviations from the mean of normal scores.

    Args:
        z: (cut - 0.5 - mean) / standard deviation; its sign does not matter.
        reliability: of the scores, from 0 up to below 1.

    Raises:
        ConsistencyUnknown: the reliability is outside that range.

    Source: M. J. Subkoviak, Journal of Educational Measurement 25, 1988, pp. 47-55.
    """
    if not 0 <= reliability < 1:
        raise ConsistencyUnknown("it takes a reliability from 0 up to below 1")
    below = _NORMAL.cdf(z)
    both_below = below**2 + _shared(z, reliability)
    return Consistency(1 + 2 * (both_below - below), 1 - 2 * (below - below**2))


def _shared(z: float, r: float) -> float:
    """Return what correlation r adds to the chance that two normal scores both lie below z (Plackett's integral)."""
    width = asin(r) / _SLICES

    def height(step: float) -> float:
        return exp(-(z**2) / (1 + sin(step * width)))

    inner = sum((4 if k % 2 else 2) * height(k) for k in range(1, _SLICES))
    return (height(0) + inner + height(_SLICES)) * width / 3 / (2 * pi)


@dataclass(frozen=True)
class HalfTests:
    """Consistency from two halves: `half` is the correlation of the decisions of the halves, `whole` that of the whole."""

    half: float
    whole: float
    agreement: float


def from_halves(both_not: float, second_only: float, first_only: float, both: float) -> HalfTests:
    """Return the consistency of the whole from the decisions on its two halves.

    Args:
        both_not: people, or their share, who pass neither half.
        second_only: who pass the second half only.
        first_only: who pass the first half only.
        both: who pass both halves.

    Raises:
        ConsistencyUnknown: everybody passes or nobody does.

    Source: Woodruff and Sawyer, Estimating measures of pass-fail reliability from parallel half-tests, 1988
        (ERIC ED292877).
    """
    total = both_not + second_only + first_only + both
    passed = (both + (first_only + second_only) / 2) / total if total else 0.0
    mixed = 2 * passed * (1 - passed)
    if not mixed:
        raise ConsistencyUnknown("everybody passes both halves, or nobody does")
    half = 1 - (first_only + second_only) / total / mixed
    whole = 2 * half / (1 + half)
    return HalfTests(half, whole, 1 - mixed * (1 - whole))


def criterion_reliability(scores: Sequence[float], cut: float, reliability: float) -> float:
    """Return Livingston's k², reliability about the cut in place of the mean; equal to it when both coincide.

    Source: S. A. Livingston, Journal of Educational Measurement 9, 1972, pp. 13-26 (ERIC ED069624).
    """
    variance, off = pvariance(scores), (fmean(scores) - cut) ** 2
    if not variance + off:
        raise ConsistencyUnknown("everybody scored exactly the cut")
    return (reliability * variance + off) / (variance + off)
