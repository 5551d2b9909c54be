"""Fewest chains that cover a partial order, and one of its widest antichains, by one matching.

A chain is a run of elements that must follow one another; an antichain is a set of elements none of which has
to come before another. Fewest chains and widest antichain are equally many, and both fall out of a largest
matching in which every element stands once on the left, as the earlier, and once on the right, as the later.

Source: R. P. Dilworth 1950, A decomposition theorem for partially ordered sets, Annals of Mathematics
51:161-166; D. R. Fulkerson 1956, Note on Dilworth's decomposition theorem, Proceedings of the AMS
7:701-702 (the reduction to matching); D. König 1931 (smallest cover = largest matching). Cited from
memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence


@dataclass(frozen=True, slots=True)
class ChainCover:
    """A cover by fewest chains.

    `following[a]` is the element after a in its chain, or -1 where the chain ends; `antichain` is the bit
    mask of a widest antichain, which has one element in each chain.
    """

    following: list[int]
    antichain: int

    @property
    def links(self) -> int:
        """Elements less chains: the size of the matching."""
        return len(self.following) - self.antichain.bit_count()

    def chains(self) -> list[list[int]]:
        """Return the chains, each from its earliest element on."""
        firsts = set(range(len(self.following))) - set(self.following)
        chains = []
        for element in sorted(firsts):
            chain = [element]
            while self.following[chain[-1]] >= 0:
                chain.append(self.following[chain[-1]])
            chains.append(chain)
        return chains


def members(mask: int) -> Iterator[int]:
    """Yield the elements of a bit mask, smallest first."""
    while mask:
        bit = mask & -mask
        yield bit.bit_length() - 1
        mask ^= bit


def cover_by_chains(after: Sequence[int]) -> ChainCover:
    """Return fewest chains and a widest antichain of a strict partial order.

    Args:
        after: for each element the bit mask of all elements that must come later (transitively closed).
    """
    size = len(after)
    following, preceding = [-1] * size, [-1] * size
    free = everything = (1 << size) - 1  # right sides not taken yet
    unmatched = []
    for element, later in enumerate(after):
        if not later:
            continue
        open_ends = later & free
        if open_ends:
            bit = open_ends & -open_ends
            free ^= bit
            other = bit.bit_length() - 1
            following[element], preceding[other] = other, element
        else:
            unmatched.append(element)

    # Breadth-first search for an augmenting path from each left side that is still alone. A search that fails
    # closes over a set of right sides which no later path can profit from, so they are left out for good, and
    # all of them together are the right half of König's cover.
    usable = everything
    for root in unmatched:
        unseen, queue = usable, [root]
        reached_from: dict[int, int] = {}
        for element in queue:
            reach = after[element] & unseen
            if not reach:
                continue
            open_ends = reach & free
            if open_ends:
                bit = open_ends & -open_ends
                free ^= bit
                _shift(following, preceding, reached_from, root, element, bit.bit_length() - 1)
                break
            unseen ^= reach
            while reach:
                bit = reach & -reach
                reach ^= bit
                other = bit.bit_length() - 1
                reached_from[other] = element
                queue.append(preceding[other])
        else:
            usable = unseen
    return ChainCover(following, _outside_cover(following, usable))


def _shift(
    following: list[int],
    preceding: list[int],
    reached_from: dict[int, int],
    root: int,
    element: int,
    other: int,
) -> None:
    """Match along an augmenting path that ends with element and other, back to its root."""
    while True:
        freed = following[element]
        following[element], preceding[other] = other, element
        if element == root:
            return
        other, element = freed, reached_from[freed]


def _outside_cover(following: list[int], usable: int) -> int:
    """Return the elements of which neither side is in König's cover.

    The cover holds the right sides reached from the left sides that stayed alone (those no longer
    usable), and the left sides that are matched with any other right side.
    """
    antichain = usable
    for element, other in enumerate(following):
        if other >= 0 and usable >> other & 1:
            antichain &= ~(1 << element)
    return antichain
