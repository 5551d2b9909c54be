"""Counting all legal orders and drawing one, against a plain loop over down-sets that only counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.cli.measuring.invented_orders import woven
from trainer.cli.measuring.timing import slower
from trainer.procedure.chains import members
from trainer.procedure.counting import LegalOrders
from trainer.procedure.draw import Draw

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort, Reading
    from trainer.procedure.orders import PartialOrder

TITLE = "Count legal orders and draw one"

SHAPES = ((20, 4), (40, 4), (40, 5), (60, 5))


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times as long as the plain loop a count with a uniform draw takes."""
    for size, runs in SHAPES:
        order = woven(size, runs)
        yield slower(
            f"{TITLE}: {size} steps in {runs} runs, times the plain loop",
            lambda order=order: count_plainly(order),  # type: ignore[misc]
            lambda order=order: count_and_draw(order),  # type: ignore[misc]
            effort,
            at_most=1.2,
        )


def count_and_draw(order: PartialOrder) -> int:
    """Count, keep what a draw needs, and draw one."""
    legal = LegalOrders(order)
    legal.draw(Draw("bench"))
    return legal.count


def count_plainly(order: PartialOrder) -> int:
    """Count by one pass over all down-sets, smallest first, keeping nothing but the last two sizes."""
    opens = [[(1 << other, order.before[other]) for other in members(mask)] for mask in order.next_after()]
    first = sum(1 << step for step, mask in enumerate(order.before) if not mask)
    ways, can_follow = {0: 1}, {0: first}
    for _ in range(order.size):
        more: dict[int, int] = {}
        follow_more: dict[int, int] = {}
        for down_set, number in ways.items():
            for step in members(can_follow[down_set]):
                grown = down_set | 1 << step
                if grown in more:
                    more[grown] += number
                    continue
                more[grown] = number
                follows = can_follow[down_set] ^ 1 << step
                for bit, needed in opens[step]:
                    if needed & grown == needed:
                        follows |= bit
                follow_more[grown] = follows
        ways, can_follow = more, follow_more
    return sum(ways.values())
