"""How items do their work: how hard each is, whether it goes with the rest, how steady the sum is, what is chosen.

An item is anything marked right or wrong of the same people. Numbers from few people are noise; whoever shows them
refuses below a number of people set in one place (`FEWEST_PEOPLE`).

Sources, beside each function. numpy is imported here: import this module where it is used, not at the start.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

import numpy as np

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_SURE = 1.645
FEWEST_PEOPLE = 20
"""Below this nothing is said of an item but its count: a correlation of 20 people is uncertain by about 0.4 either
way (1.96/sqrt(n-3), Fisher). Own choice."""


class TooFewPeople(TrainerError):
    """Too few people answered to say anything of the items."""

    def __init__(self, people: int, needed: int) -> None:
        super().__init__(
            f"Nothing is said of items below {needed} people who answered all of them; so far {people}."
        )


class NotMarks(TrainerError):
    """The answers are not a table of right and wrong."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The items cannot be looked at: {why}.")


@dataclass(frozen=True)
class Item:
    """One item: the share right, and how it goes with the rest.

    Correlations are with the whole sum and with the sum of the rest; None where all answers are alike.
    """

    share: float
    with_whole: float | None
    with_rest: float | None
    reliability_without: float | None


@dataclass(frozen=True)
class Analysis:
    """What a table of answers says: `reliability` is KR-20, `deviation` the sample standard deviation of the sums."""

    people: int
    mean: float
    deviation: float
    reliability: float | None
    items: tuple[Item, ...]


def table(answers: ArrayLike) -> Floats:
    """Return answers as a table of people by items, 1 right and 0 wrong.

    Raises:
        NotMarks: it is no such table.
    """
    found = np.asarray(answers, dtype=np.float64)
    if found.ndim != 2 or not found.size:
        raise NotMarks("there are no answers")
    if not np.isin(found, (0.0, 1.0)).all():
        raise NotMarks("an answer is neither right nor wrong")
    return found


def analyse(answers: ArrayLike, *, fewest: int = FEWEST_PEOPLE) -> Analysis:
    """Return what the answers say of the items and of their sum.

    Args:
        answers: people by items, 1 right and 0 wrong, without gaps.
        fewest: people below which nothing is said.

    Raises:
        NotMarks: it is no such table.
        TooFewPeople: too few people.
    """
    right = table(answers)
    people, count = right.shape
    if people < fewest:
        raise TooFewPeople(people, fewest)
    sums = right.sum(axis=1)
    return Analysis(
        people=people,
        mean=float(sums.mean()),
        deviation=float(sums.std(ddof=1)) if people > 1 else 0.0,
        reliability=kr_20(right),
        items=tuple(
            Item(
                share=float(right[:, j].mean()),
                with_whole=correlation(right[:, j], sums),
                with_rest=correlation(right[:, j], sums - right[:, j]) if count > 1 else None,
                reliability_without=kr_20(np.delete(right, j, axis=1)) if count > 2 else None,
            )
            for j in range(count)
        ),
    )


def kr_20(answers: ArrayLike) -> float | None:
    """Return the reliability of the sum; None below two items or when all sums are alike.

    Source: Kuder and Richardson, Psychometrika 2, 1937, pp. 151-160, formula 20 (from memory), variances divided by n.
    """
    right = table(answers)
    count = right.shape[1]
    shares, variance = right.mean(axis=0), float(right.sum(axis=1).var())
    if count < 2 or variance == 0:
        return None
    return float(count / (count - 1) * (1 - (shares * (1 - shares)).sum() / variance))


def correlation(first: Floats, second: Floats) -> float | None:
    """Return the correlation of two columns; None where one of them does not vary."""
    a, b = first - first.mean(), second - second.mean()
    scale = sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / scale if scale > 1e-12 else None


def b_index(answers: ArrayLike, cut: float) -> tuple[float | None, ...]:
    """Return for each item the share right of those who pass less that of those who do not; None where one is empty.

    Source: R. L. Brennan, Educational and Psychological Measurement 32, 1972, pp. 289-303 (from memory).
    """
    right = table(answers)
    passed = right.sum(axis=1) >= cut
    if passed.all() or not passed.any():
        return tuple(None for _ in right[0])
    gaps: list[float | None] = (right[passed].mean(axis=0) - right[~passed].mean(axis=0)).tolist()
    return tuple(gaps)


def phi_lambda(answers: ArrayLike, cut_share: float) -> float | None:
    """Return how dependably the share right tells which side of a cut somebody is on; None below two items.

    Source: R. L. Brennan 1984 in Berk (ed.), A Guide to Criterion-Referenced Test Construction, in the short form of
        J. D. Brown and T. Hudson, Criterion-Referenced Language Testing, 2002.
    """
    right = table(answers)
    count = right.shape[1]
    shares = right.mean(axis=1)
    middle, variance = float(shares.mean()), float(shares.var())
    apart = (middle - cut_share) ** 2 + variance
    if count < 2 or apart == 0:
        return None
    return float(1 - (middle * (1 - middle) - variance) / apart / (count - 1))


@dataclass(frozen=True)
class Choice:
    """One thing that can be chosen: how often it was, and by what share of the better and the weaker third."""

    name: str
    right: bool
    times: int
    share: float
    of_better: float
    of_weaker: float

    third: int

    @property
    def misleads(self) -> bool:
        """A wrong choice that the better third surely takes more often than the weaker (one-sided 95 %).

        Two shares with a pooled standard error; look at the wording of such a choice first.
        """
        together = (self.of_better + self.of_weaker) / 2
        error = sqrt(together * (1 - together) * 2 / self.third) if self.third else 0.0
        return not self.right and self.of_better - self.of_weaker > _SURE * error > 0

    @property
    def is_idle(self) -> bool:
        """A wrong choice that nobody takes, of people enough to tell."""
        return not self.right and self.times == 0 and 3 * self.third >= FEWEST_PEOPLE - 2


def distractors(
    chosen: Sequence[str], sums: Sequence[float], offered: Mapping[str, bool]
) -> tuple[Choice, ...]:
    """Return how often each choice was taken, and by whom.

    Args:
        chosen: what each person chose.
        sums: how each of them did on everything else.
        offered: every choice, and whether it is right.

    Raises:
        NotMarks: the two sequences differ in length, or something was chosen that was not offered.
    """
    if len(chosen) != len(sums):
        raise NotMarks("there is not one sum to each choice")
    if not set(chosen) <= set(offered):
        raise NotMarks("something was chosen that was not offered")
    order = sorted(range(len(chosen)), key=lambda person: sums[person])
    third = max(1, len(order) // 3)
    weaker, better = order[:third], order[-third:]

    def share(of: Sequence[int], name: str) -> float:
        return sum(chosen[person] == name for person in of) / len(of) if of else 0.0

    return tuple(
        Choice(
            name,
            right,
            sum(choice == name for choice in chosen),
            share(order, name),
            share(better, name),
            share(weaker, name),
            third,
        )
        for name, right in offered.items()
    )
