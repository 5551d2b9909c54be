"""How many legal orders a procedure or a window of it has, and any one of them by its number.

The number is exact. A uniform draw is a uniform number, turned into the order that has it. Which order has which
number is fixed and must never change: questions that were asked come back from it.
"""

from __future__ import annotations

from math import factorial
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.procedure.down_sets import TableFull
from trainer.procedure.pieces import take_apart

if TYPE_CHECKING:
    from trainer.procedure.draw import Draw
    from trainer.procedure.orders import PartialOrder

MOST_DOWN_SETS = 2_000_000
"""Past that the count is refused and bounded instead; getting there takes some six seconds and 300 MB.

Whoever asks on behalf of a waiting person can pass a smaller number.
"""


class TooManyOrders(TrainerError):
    """Counting would take too long; `at_least` and `at_most` are proved bounds of the number of orders."""

    def __init__(self, at_least: int, at_most: int) -> None:
        self.at_least = at_least
        self.at_most = at_most
        low, high = _power_below(at_least), _power_below(at_most - 1) + 1
        super().__init__(
            f"There are too many legal orders to count exactly: at least {_power_of_ten(low)}"
            f" and at most {_power_of_ten(high)}."
        )


class LegalOrders:
    """All legal orders of a partial order, counted and numbered.

    Args:
        order: the order.
        most_down_sets: most moments of the work that the count may look at, which bounds its time and memory.

    Raises:
        TooManyOrders: it would take more; the sentence gives bounds.
    """

    def __init__(self, order: PartialOrder, most_down_sets: int = MOST_DOWN_SETS) -> None:
        self._whole = take_apart(order)
        self._size = order.size
        room = most_down_sets
        try:
            for table in self._whole.tables():
                room -= table.fill(room)
        except TableFull:
            raise TooManyOrders(*self._whole.bounds()) from None
        self.count = self._whole.count
        """Number of legal orders, exact."""

    @property
    def by_luck(self) -> float:
        """Probability that elements put down in any order at all, each equally likely, come out legal."""
        return self.count / factorial(self._size)

    def order_at(self, rank: int) -> list[int]:
        """Return legal order number `rank`, from 0 to `count` - 1; each legal order has exactly one number.

        Raises:
            IndexError: there is no such number.
        """
        if not 0 <= rank < self.count:
            raise IndexError(f"There is no legal order number {rank} among {self.count}.")
        return self._whole.order_at(rank)

    def draw(self, draw: Draw) -> list[int]:
        """Return a legal order, each one exactly equally likely."""
        return self.order_at(draw.below(self.count))


def _power_below(number: int) -> int:
    """Return the largest k with 10**k <= number, 0 for numbers below 10."""
    power = 0
    while 10 ** (power + 1) <= number:
        power += 1
    return power


def _power_of_ten(power: int) -> str:
    return "10" + str(power).translate(str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹"))
