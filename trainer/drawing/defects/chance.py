"""Choices for a picture, all from its seed."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from trainer.procedure.draw import Draw

if TYPE_CHECKING:
    from collections.abc import Sequence

T = TypeVar("T")
_FINE = 1 << 16


class Chance:
    """Choices of a picture; the same seed gives the same ones for ever."""

    def __init__(self, seed: str) -> None:
        self._draw = Draw(seed)

    def between(self, low: float, high: float) -> float:
        """Return a number between two others."""
        return low + (high - low) * self._draw.below(_FINE + 1) / _FINE

    def whole(self, low: int, high: int) -> int:
        """Return a whole number, both ends included."""
        return low + self._draw.below(high - low + 1)

    def yes(self, share: float) -> bool:
        """Return yes in this share of cases."""
        return self.between(0, 1) < share

    def either(self) -> int:
        """Return 1 or -1."""
        return 1 if self._draw.below(2) else -1

    def pick(self, items: Sequence[T]) -> T:
        """Return one of the items."""
        return self._draw.choice(items)

    def some(self, items: Sequence[T], count: int) -> list[T]:
        """Return so many different ones of the items, or all."""
        return self._draw.sample(items, min(count, len(items)))
