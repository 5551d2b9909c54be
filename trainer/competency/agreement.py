"""How far evaluators agree beyond chance, when they mark the same thing: Cohen's kappa for two, Fleiss' for many.

A kappa of 1 is full agreement, 0 what independent marking with the same habits would give. It says nothing about
who is right.

Sources: J. Cohen, Educational and Psychological Measurement 20, 1960, pp. 37-46; J. Cohen, Psychological Bulletin 70,
1968, pp. 213-220 (weights); J. L. Fleiss, Psychological Bulletin 76, 1971, pp. 378-382; the standard errors after
Fleiss, Cohen, Everitt, Psychological Bulletin 72, 1969, pp. 323-327 and Fleiss, Nee, Landis, ibid. 86, 1979,
pp. 974-977 (formulas from memory, values checked against other software).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence


class NotATableOfMarks(TrainerError):
    """The marks do not form a table of what the evaluators said."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The agreement cannot be worked out: {why}.")


class NoDisagreementPossible(TrainerError):
    """Everybody gave one and the same mark throughout, so chance alone would agree as well."""

    def __init__(self) -> None:
        super().__init__("All marks are the same, so the agreement beyond chance cannot be told.")


@dataclass(frozen=True)
class Kappa:
    """Agreement beyond chance between two evaluators.

    `error` is the standard error, `error_by_chance` that under no agreement; `low` and `high` bound the interval.
    """

    value: float
    error: float
    error_by_chance: float
    low: float
    high: float
    cases: float


@dataclass(frozen=True)
class ManyKappa:
    """Agreement beyond chance among many evaluators; `z` is its distance from none in standard errors."""

    value: float
    error_by_chance: float
    z: float
    cases: int


def cohen(
    table: Sequence[Sequence[float]],
    *,
    disagreement: Sequence[Sequence[float]] | None = None,
    confidence: float = 0.95,
) -> Kappa:
    """Return Cohen's kappa with its interval.

    Args:
        table: how often the first evaluator said the row and the second the column.
        disagreement: how bad each pair is, 0 on the diagonal; every disagreement is equally bad unless given.
        confidence: of the interval.

    Raises:
        NotATableOfMarks: it is not square, is empty or has a negative number, or the weights do not fit.
        NoDisagreementPossible: both gave one and the same mark throughout.
    """
    size = len(table)
    cases = _cases(table)
    shares = [[value / cases for value in row] for row in table]
    rows = [sum(row) for row in shares]
    columns = [sum(row[j] for row in shares) for j in range(size)]
    weights = _agreement_weights(size, disagreement)
    cells = [(i, j) for i in range(size) for j in range(size)]
    seen = sum(weights[i][j] * shares[i][j] for i, j in cells)
    by_chance = sum(weights[i][j] * rows[i] * columns[j] for i, j in cells)
    if 1 - by_chance < 1e-12:
        raise NoDisagreementPossible
    kappa = (seen - by_chance) / (1 - by_chance)
    of_row = [sum(weights[i][j] * columns[j] for j in range(size)) for i in range(size)]
    of_column = [sum(weights[i][j] * rows[i] for i in range(size)) for j in range(size)]
    spread = sum(
        shares[i][j] * (weights[i][j] - (of_row[i] + of_column[j]) * (1 - kappa)) ** 2 for i, j in cells
    )
    spread -= (kappa - by_chance * (1 - kappa)) ** 2
    null = sum(rows[i] * columns[j] * (weights[i][j] - of_row[i] - of_column[j]) ** 2 for i, j in cells)
    null -= by_chance**2
    error, error_by_chance = (sqrt(max(value, 0.0) / cases) / (1 - by_chance) for value in (spread, null))
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * error
    return Kappa(kappa, error, error_by_chance, max(kappa - reach, -1.0), min(kappa + reach, 1.0), cases)


def _cases(table: Sequence[Sequence[float]]) -> float:
    if len(table) < 2 or any(len(row) != len(table) for row in table):
        raise NotATableOfMarks("two evaluators need a square table of at least two marks")
    if any(value < 0 for row in table for value in row):
        raise NotATableOfMarks("a number of cases is negative")
    cases = sum(value for row in table for value in row)
    if not cases:
        raise NotATableOfMarks("there are no cases")
    return cases


def _agreement_weights(size: int, disagreement: Sequence[Sequence[float]] | None) -> list[list[float]]:
    if disagreement is None:
        return [[float(i == j) for j in range(size)] for i in range(size)]
    worst = max(max(row) for row in disagreement)
    if len(disagreement) != size or any(len(row) != size for row in disagreement) or worst <= 0:
        raise NotATableOfMarks("the weights do not fit the table")
    return [[1 - value / worst for value in row] for row in disagreement]


def fleiss(counts: Sequence[Sequence[int]]) -> ManyKappa:
    """Return Fleiss' kappa.

    Args:
        counts: for each case how many evaluators gave each mark; the same number of evaluators throughout.

    Raises:
        NotATableOfMarks: the numbers of evaluators differ, or there are fewer than two.
        NoDisagreementPossible: everybody gave one and the same mark throughout.
    """
    cases = len(counts)
    evaluators = sum(counts[0]) if counts else 0
    if evaluators < 2 or any(sum(row) != evaluators or len(row) != len(counts[0]) for row in counts):
        raise NotATableOfMarks("every case needs the same two or more evaluators")
    shares = [sum(row[j] for row in counts) / (cases * evaluators) for j in range(len(counts[0]))]
    pairs = evaluators * (evaluators - 1)
    seen = sum(value * (value - 1) for row in counts for value in row) / (cases * pairs)
    by_chance = sum(share**2 for share in shares)
    if 1 - by_chance < 1e-12:
        raise NoDisagreementPossible
    kappa = (seen - by_chance) / (1 - by_chance)
    mixed = sum(share * (1 - share) for share in shares)
    skew = sum(share * (1 - share) * (1 - 2 * share) for share in shares)
    error = sqrt(2 * max(mixed**2 - skew, 0.0) / (cases * pairs)) / mixed
    return ManyKappa(kappa, error, kappa / error if error else inf, cases)
