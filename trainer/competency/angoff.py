"""The cut of marks that can make up for one another, from what a panel expects (Angoff's method).

Each judge says for every item how likely somebody just good enough is to get it right. A judge's cut is the sum of
these; the panel's cut is the mean of its judges'. Critical items have no place here: nothing makes up for them.

Source: W. H. Angoff in R. L. Thorndike (ed.), Educational Measurement, 2nd ed., 1971.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

FEWEST_JUDGES = 2


class PanelUnfit(TrainerError):
    """The sheet of a panel gives no cut."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The panel gives no cut: {why}.")


@dataclass(frozen=True)
class Cut:
    """Where the panel draws the line.

    `judges` are the cuts of the single judges in items; `items` the mean estimate for each item; `spread` is the standard
    deviation between judges and `error` the standard error of the mean, both in items.
    """

    cut: float
    share: float
    spread: float
    error: float
    judges: tuple[float, ...]
    items: tuple[float, ...]


def cut(estimates: Sequence[Sequence[float]]) -> Cut:
    """Return the cut of a panel.

    Args:
        estimates: for each judge the probability, 0 to 1, that somebody just good enough gets each item right.

    Raises:
        PanelUnfit: fewer than two judges, gaps, or a number that is no probability.
    """
    if len(estimates) < FEWEST_JUDGES:
        raise PanelUnfit(f"at least {FEWEST_JUDGES} judges are needed, and {len(estimates)} answered")
    count = len(estimates[0])
    if not count or any(len(row) != count for row in estimates):
        raise PanelUnfit("every judge has to estimate every item")
    if not all(0 <= value <= 1 for row in estimates for value in row):
        raise PanelUnfit("an estimate lies outside 0 to 100 %")
    judges = tuple(sum(row) for row in estimates)
    spread = stdev(judges)
    middle = fmean(judges)
    items = tuple(fmean(row[j] for row in estimates) for j in range(count))
    return Cut(middle, middle / count, spread, spread / sqrt(len(judges)), judges, items)
