"""An order taken apart into pieces that follow one another, run side by side, or are truly woven together.

Counting works on the whole at once only where it has to. Pieces that follow one another multiply; pieces
that run side by side multiply, and once more by the ways to interleave them; and a piece that all others
see as one thing (the same must come before each of its elements, and the same after) counts in its
surroundings like a mere run of as many steps: whichever way the places of the piece fall, each of its own
orders fits them.

Source: R. H. Möhring 1989, Computationally tractable classes of ordered sets, in: I. Rival (ed.),
Algorithms and Order, Kluwer, 105-193 (substitution decomposition); cited from memory. Held against full
enumeration in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import comb, factorial, prod
from typing import TYPE_CHECKING

from trainer.procedure.chains import cover_by_chains, members
from trainer.procedure.down_sets import DownSets
from trainer.procedure.orders import PartialOrder

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence


@dataclass(frozen=True)
class Single:
    """One element."""

    element: int
    size: int = 1
    count: int = 1

    def order_at(self, rank: int) -> list[int]:  # noqa: ARG002 - there is only order number 0
        """Return the element."""
        return [self.element]

    def bounds(self) -> tuple[int, int]:
        """Return one and one."""
        return 1, 1

    def tables(self) -> Iterator[Table]:
        """Yield nothing."""
        return iter(())


@dataclass(frozen=True)
class Woven:
    """Parts and the ways in which they may be woven; any order of a part goes with any weave."""

    parts: tuple[Piece, ...]
    weave: Weave

    @cached_property
    def size(self) -> int:
        """Number of elements."""
        return sum(part.size for part in self.parts)

    @cached_property
    def count(self) -> int:
        """Number of legal orders."""
        return self.weave.count * prod(part.count for part in self.parts)

    def order_at(self, rank: int) -> list[int]:
        """Return legal order number `rank`."""
        rank, woven = divmod(rank, self.weave.count)
        runs = []
        for part in self.parts:
            rank, own = divmod(rank, part.count)
            runs.append(iter(part.order_at(own)))
        return [next(runs[part]) for part in self.weave.parts_at(woven)]

    def bounds(self) -> tuple[int, int]:
        """Return the product of what bounds the parts and the weave."""
        lows, highs = zip(*(each.bounds() for each in (self.weave, *self.parts)), strict=True)
        return prod(lows), prod(highs)

    def tables(self) -> Iterator[Table]:
        """Yield the tables of all parts, and its own."""
        for part in self.parts:
            yield from part.tables()
        if isinstance(self.weave, Table):
            yield self.weave


@dataclass(frozen=True)
class InTurn:
    """Each part as a whole after the one before it."""

    sizes: tuple[int, ...]
    count: int = 1

    def parts_at(self, rank: int) -> list[int]:  # noqa: ARG002 - there is only weave number 0
        """Return the first part's number as often as it has elements, then the second's …."""
        return [part for part, size in enumerate(self.sizes) for _ in range(size)]

    def bounds(self) -> tuple[int, int]:
        """Return one and one."""
        return 1, 1


@dataclass(frozen=True)
class SideBySide:
    """Parts that know nothing of one another: every way to interleave them."""

    sizes: tuple[int, ...]

    @cached_property
    def count(self) -> int:
        """The multinomial coefficient."""
        return prod(
            comb(so_far, size) for so_far, size in zip(accumulate(self.sizes), self.sizes, strict=True)
        )

    def parts_at(self, rank: int) -> list[int]:
        """Return interleaving number `rank`: each part has the next place in proportion to what it has left."""
        rest, total, ways = list(self.sizes), sum(self.sizes), self.count
        places = []
        while total:
            for part, size in enumerate(rest):
                share = ways * size // total  # exact: the ways to interleave what is left after this choice
                if rank < share:
                    places.append(part)
                    rest[part] -= 1
                    break
                rank -= share
            total -= 1
            ways = share
        return places

    def bounds(self) -> tuple[int, int]:
        """Return the count twice."""
        return self.count, self.count


class Table:
    """Parts woven together by relations, each standing as a run of its size; counted by down-sets."""

    def __init__(self, runs: PartialOrder, owner: Sequence[int]) -> None:
        self.runs = runs
        self.owner = owner
        self._down_sets: DownSets | None = None

    def fill(self, room: int) -> int:
        """Count, and return how many down-sets that took.

        Raises:
            TableFull: it takes more than `room`.
        """
        self._down_sets = DownSets(self.runs, room)
        return self._down_sets.size

    @property
    def _filled(self) -> DownSets:
        if self._down_sets is None:
            raise RuntimeError("A table is read before it is filled.")
        return self._down_sets

    @property
    def count(self) -> int:
        """Number of ways."""
        return self._filled.count

    def parts_at(self, rank: int) -> list[int]:
        """Return weave number `rank`."""
        return [self.owner[element] for element in self._filled.order_at(rank)]

    def bounds(self) -> tuple[int, int]:
        """Return the count twice if it is known, otherwise bounds that take no counting."""
        if self._down_sets is not None:
            return self.count, self.count
        return at_least(self.runs), at_most(self.runs)


Piece = Single | Woven
"""Some of the elements, all of whose legal orders are counted and numbered."""

Weave = InTurn | SideBySide | Table
"""The ways in which the places of an arrangement are dealt out to parts."""


def at_most(order: PartialOrder) -> int:
    """Return a number that the legal orders are not more than: fewest chains, interleaved in every way."""
    lengths = map(len, cover_by_chains(order.after).chains())
    return factorial(order.size) // prod(map(factorial, lengths))


def at_least(order: PartialOrder) -> int:
    """Return a number that the legal orders are not fewer than.

    The largest of three: elements of equal height in any order, one height after the other; and n! divided by
    the product over all elements of the size of what must follow (or must precede), the element included.

    Source: R. P. Stanley, Enumerative Combinatorics vol. 1, 2nd ed., exercise 3.57 (the quotient is exact
    for forests and a lower bound for every order; cited from memory, and proved for all small orders in
    the tests).
    """
    size = order.size
    following = prod(mask.bit_count() + 1 for mask in order.after)
    preceding = prod(mask.bit_count() + 1 for mask in order.before)
    heights = [0] * size
    for element in sorted(range(size), key=lambda each: order.before[each].bit_count()):
        heights[element] = max((heights[lower] + 1 for lower in members(order.before[element])), default=0)
    levels = prod(factorial(heights.count(height)) for height in set(heights))
    return max(levels, -(-factorial(size) // following), -(-factorial(size) // preceding))


def take_apart(order: PartialOrder) -> Piece:
    """Return the order as pieces within pieces."""
    pieces, before, after = _merge_twins(order)
    return _assemble(sorted(pieces), pieces, before, after)


def _merge_twins(order: PartialOrder) -> tuple[dict[int, Piece], dict[int, int], dict[int, int]]:
    """Merge, as long as there are any, pieces that stand side by side or in a run between the same others.

    Each merged piece goes by the number of its first element, and the relations are kept among these alone.
    """
    pieces: dict[int, Piece] = {element: Single(element) for element in range(order.size)}
    before, after = dict(enumerate(order.before)), dict(enumerate(order.after))
    size = order.size + 1
    while len(pieces) < size:
        size = len(pieces)
        for find, weave in ((_side_by_side, SideBySide), (_runs, InTurn)):
            merged = 0
            for group in find(before, after):
                parts = tuple(pieces[each] for each in group)
                pieces[group[0]] = Woven(parts, weave(tuple(part.size for part in parts)))
                for each in group[1:]:
                    merged |= 1 << each
                    del pieces[each], before[each], after[each]
            if merged:
                before = {each: mask & ~merged for each, mask in before.items()}
                after = {each: mask & ~merged for each, mask in after.items()}
    return pieces, before, after


def _side_by_side(before: dict[int, int], after: dict[int, int]) -> list[list[int]]:
    """Return groups with the same before and the same after."""
    groups: dict[tuple[int, int], list[int]] = {}
    for each, mask in before.items():
        groups.setdefault((mask, after[each]), []).append(each)
    return [group for group in groups.values() if len(group) > 1]


def _runs(before: dict[int, int], after: dict[int, int]) -> list[list[int]]:
    """Return groups in which each follows the one before it and nothing else tells the two apart."""
    by_relations = {(before[each], after[each] | 1 << each): each for each in before}
    following: dict[int, int] = {}
    for each, mask in before.items():
        follower = by_relations.get((mask | 1 << each, after[each]))
        if follower is not None:
            following[each] = follower
    runs = []
    for first in following.keys() - set(following.values()):
        run = [first]
        while run[-1] in following:
            run.append(following[run[-1]])
        runs.append(run)
    return sorted(runs)


def _assemble(
    numbers: list[int], pieces: dict[int, Piece], before: dict[int, int], after: dict[int, int]
) -> Piece:
    """Split into parts that do not touch, those into parts that follow one another, and so on; weave the rest."""
    if len(numbers) == 1:
        return pieces[numbers[0]]
    here = _mask(numbers)
    apart = _connected(numbers, lambda number: (before[number] | after[number]) & here)
    if len(apart) > 1:
        parts = tuple(_assemble(group, pieces, before, after) for group in apart)
        return Woven(parts, SideBySide(tuple(part.size for part in parts)))
    in_turn = _connected(numbers, lambda number: here & ~(before[number] | after[number]))
    if len(in_turn) > 1:
        in_turn.sort(key=lambda group: (before[group[0]] & here & ~_mask(group)).bit_count())
        parts = tuple(_assemble(group, pieces, before, after) for group in in_turn)
        return Woven(parts, InTurn(tuple(part.size for part in parts)))
    parts = tuple(pieces[number] for number in numbers)
    return Woven(parts, _as_runs(numbers, [part.size for part in parts], before, after))


def _mask(numbers: Iterable[int]) -> int:
    return sum(1 << number for number in numbers)


def _connected(numbers: Sequence[int], neighbours: Callable[[int], int]) -> list[list[int]]:
    """Return the groups that hang together."""
    groups, left = [], _mask(numbers)
    while left:
        group = reached = left & -left
        while reached:
            fresh = 0
            for number in members(reached):
                fresh |= neighbours(number)
            reached = fresh & ~group
            group |= reached
        left &= ~group
        groups.append(list(members(group)))
    return groups


def _as_runs(
    numbers: Sequence[int], sizes: Sequence[int], before: dict[int, int], after: dict[int, int]
) -> Table:
    """Return the table of an order in which each number stands as a run of elements."""
    starts = dict(zip(numbers, accumulate(sizes, initial=0), strict=False))
    runs = {number: (1 << size) - 1 << starts[number] for number, size in zip(numbers, sizes, strict=True)}
    here = _mask(numbers)
    befores, afters, owner = [], [], []
    for part, (number, size) in enumerate(zip(numbers, sizes, strict=True)):
        earlier = _union(runs, before[number] & here)
        later = _union(runs, after[number] & here)
        for step in range(size):
            reached = (1 << step) - 1 << starts[number]  # of its own run
            befores.append(earlier | reached)
            afters.append(later | runs[number] & ~reached & ~(1 << starts[number] + step))
            owner.append(part)
    return Table(PartialOrder(tuple(befores), tuple(afters)), owner)


def _union(masks: dict[int, int], numbers: int) -> int:
    union = 0
    for number in members(numbers):
        union |= masks[number]
    return union
