"""Difficulties alone, by conditional maximum likelihood: nothing is assumed of how skill is spread over people.

Given how many items somebody got right, which ones they were does not depend on skill, if all items tell equally
sharply. Difficulties sum to 0.

Source: E. B. Andersen, Journal of the Royal Statistical Society B 34, 1972, pp. 42-54 (method). numpy is imported
here: import this module where it is used, not at the start.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from trainer.competency.item_response import FEWEST_PEOPLE, NothingToScale, TooFewAnswers

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_MOST_ROUNDS = 100


@dataclass(frozen=True)
class ConditionalFit:
    """Difficulties that sum to 0, and the conditional log-likelihood."""

    difficulties: Floats
    log_likelihood: float


def symmetric(values: Floats) -> Floats:
    """Return the elementary symmetric functions of all orders, the sums of products of 0, 1, 2 … of the values."""
    found = np.zeros(len(values) + 1)
    found[0] = 1.0
    for number, value in enumerate(values):
        found[1 : number + 2] += value * found[: number + 1]
    return found


def fit(answers: ArrayLike, *, fewest: int = FEWEST_PEOPLE) -> ConditionalFit:
    """Fit difficulties to answers without gaps.

    Raises:
        TooFewAnswers: too few people.
        NothingToScale: an item was answered alike by everybody who got some right and some wrong.
    """
    right = np.asarray(answers, dtype=np.float64)
    people, count = right.shape
    if people < fewest:
        raise TooFewAnswers(people)
    sums = right.sum(axis=1).astype(np.int64)
    # Whoever got all right or all wrong says nothing about which item is harder.
    telling = right[(sums > 0) & (sums < count)]
    times = telling.sum(axis=0)
    for item in range(count):
        if not 0 < times[item] < len(telling):
            raise NothingToScale(item)
    of_sum = np.bincount(sums, minlength=count + 1)[1:count].astype(np.float64)
    easiness = np.log(times / (len(telling) - times))
    easiness -= easiness.mean()
    for _ in range(_MOST_ROUNDS):
        chances, both = _chances(np.exp(easiness), count)
        first = times - of_sum @ chances
        info = np.einsum("s,sij->ij", of_sum, both) - np.einsum("s,si,sj->ij", of_sum, chances, chances)
        # The sum is not determined; a constant added to every cell fixes it at 0.
        step = np.linalg.solve(info + 1.0, first)
        easiness += step - step.mean()
        if float(np.abs(step).max()) < 1e-10:
            break
    total = symmetric(np.exp(easiness))[1:count]
    return ConditionalFit(-easiness, float(times @ easiness - of_sum @ np.log(total)))


def _chances(ease: Floats, count: int) -> tuple[Floats, Floats]:
    """Return for each sum 1 … count − 1 the chance of each item right, and of each two items right."""
    total = symmetric(ease)
    chances = np.empty((count - 1, count))
    both = np.empty((count - 1, count, count))
    for i in range(count):
        without = symmetric(np.delete(ease, i))
        chances[:, i] = ease[i] * without[: count - 1] / total[1:count]
        both[:, i, i] = chances[:, i]
        for j in range(i):
            rest = symmetric(np.delete(ease, (i, j)))
            # With one right there are never two.
            pair = np.concatenate(([0.0], rest[: count - 2])) * ease[i] * ease[j] / total[1:count]
            both[:, i, j] = both[:, j, i] = pair
    return chances, both
