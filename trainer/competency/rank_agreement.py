"""How far two rankings with ties lie apart, for answers that leave some things level.

A ranking is a list of ranks, one for each thing; equal ranks are a tie.

Source: R. Fagin, R. Kumar, M. Mahdian, D. Sivakumar, E. Vee, Comparing Partial Rankings, SIAM Journal on Discrete
Mathematics 20(3), 2006, pp. 628-648.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence


class RankingsDiffer(TrainerError):
    """Two rankings do not rank the same number of things."""

    def __init__(self, first: int, second: int) -> None:
        super().__init__(f"One ranking has {first} things and the other {second}; they cannot be compared.")


class NothingRanked(TrainerError):
    """A ranking holds nothing but ties, so nothing agrees or disagrees."""

    def __init__(self) -> None:
        super().__init__("A ranking that ties everything agrees and disagrees with nothing.")


@dataclass(frozen=True)
class Pairs:
    """The pairs of things by how two rankings see them.

    `against`: ranked one way here, the other way there. `tied_first`: level only in the first, `tied_second` only in
    the second, `tied_both` in both.
    """

    agreeing: int
    against: int
    tied_first: int
    tied_second: int
    tied_both: int


def pairs(first: Sequence[float], second: Sequence[float]) -> Pairs:
    """Return the number of pairs of each sort.

    Raises:
        RankingsDiffer: the rankings are of different length.
    """
    if len(first) != len(second):
        raise RankingsDiffer(len(first), len(second))
    found: Counter[str] = Counter()
    for a, b in combinations(range(len(first)), 2):
        here, there = _sign(first[a] - first[b]), _sign(second[a] - second[b])
        found[_sort(here, there)] += 1
    return Pairs(
        found["agreeing"], found["against"], found["tied_first"], found["tied_second"], found["tied_both"]
    )


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)


def _sort(here: int, there: int) -> str:
    if here and there:
        return "agreeing" if here == there else "against"
    if here == there:
        return "tied_both"
    return "tied_second" if here else "tied_first"


def kendall(first: Sequence[float], second: Sequence[float], tie_cost: float = 0.5) -> float:
    """Return the Kendall distance with a cost for each pair that only one ranking ties: K^(p), with p = 1/2 Kprof."""
    found = pairs(first, second)
    return found.against + tie_cost * (found.tied_first + found.tied_second)


def hausdorff(first: Sequence[float], second: Sequence[float]) -> int:
    """Return KHaus: the distance of the two worst refinements, each answered by the best one of the other."""
    found = pairs(first, second)
    return found.against + max(found.tied_first, found.tied_second)


def footrule(first: Sequence[float], second: Sequence[float]) -> float:
    """Return Fprof: the sum of the differences in place, things that are level sharing the middle of their places."""
    if len(first) != len(second):
        raise RankingsDiffer(len(first), len(second))
    return sum(abs(a - b) for a, b in zip(_places(first), _places(second), strict=True))


def _places(ranking: Sequence[float]) -> list[float]:
    size = Counter(ranking)
    return [sum(other < rank for other in ranking) + (size[rank] + 1) / 2 for rank in ranking]


@dataclass(frozen=True)
class Correlation:
    """Kendall's tau-b, and the probability of a tau at least as far from 0 between unrelated rankings."""

    tau: float
    p: float


def tau_b(first: Sequence[float], second: Sequence[float]) -> Correlation:
    """Return Kendall's tau-b with the normal approximation of its p, corrected for ties.

    Raises:
        NothingRanked: one of the rankings ties everything.

    Source: M. G. Kendall, Rank Correlation Methods (the variance under ties, from memory); checked against the
        worked example of scipy.stats.kendalltau.
    """
    found = pairs(first, second)
    n = len(first)
    total = n * (n - 1) // 2
    ranked_first = found.agreeing + found.against + found.tied_second
    ranked_second = found.agreeing + found.against + found.tied_first
    if not (ranked_first and ranked_second):
        raise NothingRanked
    difference = found.agreeing - found.against
    ties = [[size for size in Counter(ranking).values() if size > 1] for ranking in (first, second)]
    v0, v1, v2 = n * (n - 1) * (2 * n + 5), 1.0, 1.0
    for groups in ties:
        v0 -= sum(t * (t - 1) * (2 * t + 5) for t in groups)
        v1 *= sum(t * (t - 1) for t in groups)
        v2 *= sum(t * (t - 1) * (t - 2) for t in groups)
    variance = v0 / 18 + v1 / (4 * total) + (v2 / (9 * n * (n - 1) * (n - 2)) if n > 2 else 0)
    return Correlation(
        difference / math.sqrt(ranked_first * ranked_second),
        math.erfc(abs(difference) / math.sqrt(variance) / math.sqrt(2)),
    )
