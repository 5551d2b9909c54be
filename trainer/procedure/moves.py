"""Fewest steps that have to change place to make an arrangement legal, which ones, and where they then stand.

A set of steps can stay where it is (relative to one another) exactly when no pair of it stands wrong:
then the other steps can always be put in around them. "Must come before and stands after" is itself a
partial order, so the largest set that can stay is a widest antichain of it, and the fewest moves are a
largest matching on the pairs that stand wrong. For a single chain this is n less the longest rising run
(C. Schensted 1961, Longest increasing and decreasing subsequences, Canadian Journal of Mathematics
13:179-191; cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from trainer.procedure.chains import cover_by_chains

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.procedure.orders import PartialOrder


@dataclass(frozen=True)
class Moves:
    """What it takes to put an answer right.

    `misplaced[a]` is the bit mask of those that must follow a but stand before it; `kept` is the bit mask of one
    largest set that can stay.
    """

    order: PartialOrder
    answer: tuple[int, ...]
    misplaced: tuple[int, ...]
    kept: int

    @property
    def count(self) -> int:
        """Return the fewest elements that have to change place; exact."""
        return len(self.answer) - self.kept.bit_count()

    @property
    def wrong_pairs(self) -> int:
        """Return how many pairs stand the wrong way round; told beside the moves, never used as the mark."""
        return sum(map(int.bit_count, self.misplaced))

    @property
    def moved(self) -> frozenset[int]:
        """Return one smallest set of elements that change place."""
        return frozenset(element for element in self.answer if not self.kept >> element & 1)

    @cached_property
    def nearest(self) -> tuple[int, ...]:
        """Return a legal arrangement near the answer.

        The elements that can stay keep their order, and each moved one goes only as far as it has to.
        """
        return _put_right(self.order, self.answer, self.kept)


def fewest_moves(order: PartialOrder, answer: Sequence[int]) -> Moves:
    """Return the fewest elements to take out and put back elsewhere so that the answer becomes legal.

    Raises:
        NotEachOnce: the answer does not hold each element exactly once.
    """
    misplaced = order.misplaced_after(answer)
    return Moves(order, tuple(answer), tuple(misplaced), cover_by_chains(misplaced).antichain)


def credit(moves: int, size: int, width: int) -> float:
    """Return 1 for a legal arrangement, falling evenly to 0 for a legal one read backwards.

    Args:
        moves: fewest moves of the answer.
        size: number of elements.
        width: width of the order; no arrangement needs more than `size - width` moves.
    """
    if size <= width:
        return 1.0
    return min(1.0, max(0.0, 1 - moves / (size - width)))


def _put_right(order: PartialOrder, answer: Sequence[int], kept: int) -> tuple[int, ...]:
    """Return the kept elements in the answer's order, with each moved one put in at the nearest legal spot.

    Every moved element stands wrong to some kept one (or it could be kept too), and all of those lie on
    one side of it: if it had to go behind one and before another, these two would stand wrong to each
    other. So each goes one way only: forward to just before its first kept follower, or back to just
    behind its last forerunner.
    """
    before, after = order.before, order.after
    nearest: list[int] = []
    missing = (1 << order.size) - 1  # not placed yet
    waiting = 0  # of those, the ones that the answer has passed and that are held back
    for element in answer:
        bit = 1 << element
        if not missing & bit:
            continue  # it came forward
        if not kept & bit:
            waiting |= bit
            continue
        called = before[element] & missing
        if called:
            called |= _freed(order, waiting, missing & ~called)
            nearest += _in_turn(order, answer, called)
            missing &= ~called
            waiting &= ~called
        nearest.append(element)
        missing ^= bit
        if after[element] & waiting:
            called = _freed(order, waiting, missing)
            nearest += _in_turn(order, answer, called)
            missing &= ~called
            waiting &= ~called
    return tuple(nearest)


def _freed(order: PartialOrder, waiting: int, missing: int) -> int:
    """Return those waiting elements that wait for nothing but one another."""
    held_by = missing & ~waiting
    freed, left = 0, waiting
    while left:
        bit = left & -left
        left ^= bit
        if not order.before[bit.bit_length() - 1] & held_by:
            freed |= bit
    return freed


def _in_turn(order: PartialOrder, answer: Sequence[int], called: int) -> list[int]:
    """Return the called elements in a legal order, each time the first of the answer that can come."""
    if not called & (called - 1):
        return [called.bit_length() - 1] if called else []
    queue = [element for element in answer if called >> element & 1]
    in_turn: list[int] = []
    while queue:
        first = next(element for element in queue if not order.before[element] & called)
        queue.remove(first)
        called ^= 1 << first
        in_turn.append(first)
    return in_turn
