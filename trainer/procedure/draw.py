"""Draws from a text seed: the same seed gives the same values for ever, on every machine and Python version.

The standard `random` promises that for few of its methods, so questions that must come back unchanged years
later are drawn from SHA-256 instead: block number i is SHA-256(SHA-256(seed as UTF-8) + i as 8 bytes, high
byte first), i = 0, 1, 2…, and the blocks are read as one stream of bytes. Nothing here may ever change, or
every kept attempt would show another question than the one that was answered.
"""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING, TypeVar

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

T = TypeVar("T")


class NothingToDraw(TrainerError):
    """More is to be drawn than there is."""

    def __init__(self, wanted: int, available: int) -> None:
        super().__init__(f"Cannot draw {wanted} from {available}.")


class Draw:
    """A stream of exactly uniform draws.

    Args:
        text_seed: any text; equal texts give equal streams.
    """

    def __init__(self, text_seed: str) -> None:
        self._key = sha256(text_seed.encode("utf-8")).digest()
        self._blocks = 0
        self._left = b""

    def bits(self, size: int) -> int:
        """Return the next number of `size` bits, 0 to 2**size - 1, each equally likely.

        Whole bytes are taken from the stream, high byte first; spare low bits of the last byte are dropped.
        """
        wanted = (size + 7) // 8
        while len(self._left) < wanted:
            self._left += sha256(self._key + self._blocks.to_bytes(8, "big")).digest()
            self._blocks += 1
        taken, self._left = self._left[:wanted], self._left[wanted:]
        return int.from_bytes(taken, "big") >> (8 * wanted - size)

    def below(self, n: int) -> int:
        """Return a whole number from 0 to n - 1, each exactly equally likely, however large n is.

        A remainder would favour small numbers, so a number that is too large is dropped and drawn again.

        Raises:
            NothingToDraw: n is below 1.
        """
        if n < 1:
            raise NothingToDraw(1, max(n, 0))
        size = (n - 1).bit_length()
        while True:
            number = self.bits(size)
            if number < n:
                return number

    def choice(self, items: Sequence[T]) -> T:
        """Return one of the items.

        Raises:
            NothingToDraw: there are none.
        """
        return items[self.below(len(items))]

    def shuffled(self, items: Iterable[T]) -> list[T]:
        """Return the items in an order of which every one is equally likely."""
        drawn = list(items)
        return self._to_front(drawn, len(drawn))

    def sample(self, items: Iterable[T], k: int) -> list[T]:
        """Return k different items, every choice and order of them equally likely.

        Raises:
            NothingToDraw: there are fewer than k, or k is negative.
        """
        pool = list(items)
        if not 0 <= k <= len(pool):
            raise NothingToDraw(k, len(pool))
        return self._to_front(pool, k)[:k]

    def _to_front(self, items: list[T], k: int) -> list[T]:
        """Fisher–Yates from the front, so that the first k of a shuffle are a sample of k."""
        for place in range(min(k, len(items) - 1)):
            other = place + self.below(len(items) - place)
            items[place], items[other] = items[other], items[place]
        return items
