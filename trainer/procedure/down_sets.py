"""A table of all down-sets of an order with the number of legal beginnings that lead to each.

A down-set holds with each element all that must precede it: what can be done by some moment of the work.
The legal orders of a down-set are those of the down-set less its last element, for each element that can
be last, so one walk from the empty set to the full one counts them all, and a walk back finds the order
of any number.

Source: K. De Loof, H. De Meyer, B. De Baets 2006, Exploiting the lattice of ideals representation of a
poset, Fundamenta Informaticae 71:309-321; as cited by K. Kangas, T. Hankala, T. Niinimäki, M. Koivisto
2016, Counting linear extensions of sparse posets, IJCAI (read).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.chains import members

if TYPE_CHECKING:
    from trainer.procedure.orders import PartialOrder

Neighbours = dict[int, tuple[tuple[int, int], ...]]


class TableFull(Exception):
    """The order has more down-sets than there is room for."""


class DownSets:
    """The down-sets of an order by size, each with the number of legal orders of its elements.

    Args:
        order: the order.
        room: most down-sets to keep.

    Raises:
        TableFull: there are more; raised before much more than `room` of them are in memory.
    """

    def __init__(self, order: PartialOrder, room: int) -> None:
        if 1 << order.width() > room:
            # Every part of an antichain makes a down-set of its own.
            raise TableFull
        self._after = order.after
        self._layers = _layers(order, room)
        self._reopened = _neighbours(order.next_before(), order.after)

    @property
    def count(self) -> int:
        """Number of legal orders."""
        (ways,) = self._layers[-1].values()
        return ways

    @property
    def size(self) -> int:
        """Number of down-sets, the empty and the full one among them."""
        return sum(map(len, self._layers))

    def order_at(self, rank: int) -> list[int]:
        """Return legal order number `rank`, from 0 to `count` - 1; different ranks give different orders."""
        length = len(self._after)
        order = [0] * length
        down_set = (1 << length) - 1
        last = sum(1 << element for element in range(length) if not self._after[element])
        for place in range(length - 1, -1, -1):
            smaller, left = self._layers[place], last
            while True:  # the ways of all choices add up to the ways of the down-set, so one of them is met
                bit = left & -left
                left ^= bit
                ways = smaller[down_set ^ bit]
                if rank < ways:
                    break
                rank -= ways
            down_set ^= bit
            last ^= bit
            for other, later in self._reopened[bit]:
                if not later & down_set:
                    last |= other
            order[place] = bit.bit_length() - 1
        return order


def _layers(order: PartialOrder, room: int) -> list[dict[int, int]]:
    """Return for each size the down-sets of that size, each with its number of legal orders."""
    opened = _neighbours(order.next_after(), order.before)
    layer = {0: 1}
    can_follow = {0: sum(1 << element for element, mask in enumerate(order.before) if not mask)}
    layers = [layer]
    for _ in range(order.size):
        room -= len(layer)
        larger: dict[int, int] = {}
        follow_larger: dict[int, int] = {}
        for down_set, ways in layer.items():
            if len(larger) > room:
                raise TableFull
            choices = left = can_follow[down_set]
            while left:
                bit = left & -left
                left ^= bit
                grown = down_set | bit
                known = larger.get(grown)
                if known is not None:
                    larger[grown] = known + ways
                    continue
                larger[grown] = ways
                follows = choices ^ bit
                for other, needed in opened[bit]:
                    if needed & grown == needed:
                        follows |= other
                follow_larger[grown] = follows
        layer, can_follow = larger, follow_larger
        layers.append(layer)
    return layers


def _neighbours(direct: list[int], all_of_them: tuple[int, ...]) -> Neighbours:
    """Return by element bit its direct neighbours: (bit, everything that lies on this side of that one)."""
    return {
        1 << element: tuple((1 << other, all_of_them[other]) for other in members(mask))
        for element, mask in enumerate(direct)
    }
