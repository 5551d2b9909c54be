"""The cross pattern: in which order the bolts of a round flange or cover are tightened, and what breaks it.

Bolts are numbered clockwise from the top. Printed lists differ (at 20 bolts two are in print), so an order is
judged by what all of them share and not by one list: each bolt once, always the opposite bolt next, and the
second pair of each four square to the first.

Source: ASME PCC-1 Legacy cross pattern, public copies for 4, 8, 12, 16, 20 and 24 bolts (secondary;
    they may share an origin). The rule for 6, 10, 14, 18 and 22 bolts is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Sequence

FEWEST, MOST = 4, 24


class NoCrossPattern(TrainerError):
    """A number of bolts that no cross pattern serves."""

    def __init__(self, n: int) -> None:
        super().__init__(f"A cross pattern needs an even number of bolts from {FEWEST} to {MOST}, not {n}.")


@dataclass(frozen=True)
class Fault:
    """The first thing wrong with an order: the position in it (from 1), the bolt there, and why."""

    position: int
    bolt: int
    sentence: str


def cross(n: int) -> tuple[int, ...]:
    """Return the cross pattern for n bolts, beginning with bolt 1.

    Multiples of four give the printed lists: fours of opposite pairs at 90°, each four begun half a quarter
    further round than the one before. Other even numbers have no bolt at 90°; there each pair comes as near
    to square to the one before as the holes allow.

    Raises:
        NoCrossPattern: n is odd, below 4 or above 24.
    """
    _check(n)
    half = n // 2
    if n % 4:
        # (half - 1) / 2 and half, which is odd, have no common factor: the walk meets each pair once.
        pairs = [1 + step * (half // 2) % half for step in range(half)]
        return tuple(bolt for first in pairs for bolt in (first, first + half))
    quarter = n // 4
    return tuple(start + turn * quarter for start in _starts(quarter) for turn in (0, 2, 1, 3))


def _starts(quarter: int) -> list[int]:
    """Return 1…quarter in strides of half of it: 1, 4, 2, 5, 3, 6, or for an odd number 1, 3, 5, 2, 4."""
    stride = max(1, quarter // 2)
    if quarter % 2:
        return [1 + step * stride % quarter for step in range(quarter)]
    return [start for first in range(1, stride + 1) for start in range(first, quarter + 1, stride)]


def is_cross(order: Sequence[int], n: int) -> bool:
    """Tell whether an order of n bolts is a cross pattern, whatever its first bolt and way round.

    Raises:
        NoCrossPattern: n is odd, below 4 or above 24.
    """
    return first_fault(order, n) is None


def first_fault(order: Sequence[int], n: int) -> Fault | None:
    """Return the first place where an order breaks the cross pattern, or None.

    Args:
        order: bolt numbers, clockwise from the top, in the order of tightening.
        n: number of bolts.

    Raises:
        NoCrossPattern: n is odd, below 4 or above 24.
    """
    _check(n)
    for position, bolt in enumerate(order, start=1):
        before = order[: position - 1]
        sentence = _wrong_bolt(bolt, before, n) or _wrong_place(bolt, before, n)
        if sentence:
            return Fault(position, bolt, sentence)
    left = [bolt for bolt in range(1, n + 1) if bolt not in order]
    if left:
        return Fault(len(order) + 1, left[0], f"{_bolts(left)} left out: a loose bolt leaks first.")
    return None


def _wrong_bolt(bolt: int, before: Sequence[int], n: int) -> str:
    if not 1 <= bolt <= n:
        return f"There is no bolt {bolt}: the bolts are numbered 1 to {n}."
    if bolt in before:
        return f"Bolt {bolt} comes a second time: it was tightened as number {before.index(bolt) + 1}."
    return ""


def _wrong_place(bolt: int, before: Sequence[int], n: int) -> str:
    if len(before) % 2:
        return _not_opposite(bolt, before[-1], n)
    squared = len(before) % 4 == 2 if n % 4 == 0 else len(before) >= 2
    if not squared:
        return ""
    return _not_square(bolt, before[-2], before[-1], n)


def _not_opposite(bolt: int, last: int, n: int) -> str:
    opposite = (last + n // 2 - 1) % n + 1
    if bolt == opposite:
        return ""
    return (
        f"After bolt {last} comes the bolt opposite, {opposite}; bolt {bolt} lies "
        f"{_apart(bolt, last, n):.3g}° from it: the cover tilts and the gasket is crushed on one side."
    )


def _not_square(bolt: int, first: int, second: int, n: int) -> str:
    square = _square_to(first, n)
    if bolt in square:
        return ""
    apart = min(_apart(bolt, first, n), _apart(bolt, second, n))
    about = "" if n % 4 == 0 else "about "
    return (
        f"After the pair {first} and {second} comes the pair at {about}90° to it, "
        f"with bolt {' or '.join(map(str, square))}; bolt {bolt} lies only {apart:.3g}° round: "
        "the cover rocks over the first pair and the gasket is loaded unevenly."
    )


def _square_to(bolt: int, n: int) -> list[int]:
    """Return the bolts at 90° to a bolt and its opposite, or the two nearest holes on either side of 90°."""
    offsets = {n // 4, n - n // 4} if n % 4 == 0 else {n // 4, n // 4 + 1, n - n // 4, n - n // 4 - 1}
    return sorted((bolt + offset - 1) % n + 1 for offset in offsets)


def _apart(a: int, b: int, n: int) -> float:
    steps = (a - b) % n
    return 360 * min(steps, n - steps) / n


def _bolts(numbers: Sequence[int]) -> str:
    if len(numbers) == 1:
        return f"Bolt {numbers[0]} is"
    return f"Bolts {', '.join(map(str, numbers[:-1]))} and {numbers[-1]} are"


def _check(n: int) -> None:
    if n % 2 or not FEWEST <= n <= MOST:
        raise NoCrossPattern(n)
