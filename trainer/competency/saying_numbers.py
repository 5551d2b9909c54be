"""Shares and chances in words a foreman would use: "1 in 20", "one time in five"."""

from __future__ import annotations

from fractions import Fraction

_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
# Beyond this a fraction is told of a hundred, a thousand and so on: "3 in 100" is easier than "1 in 33".
_MOST = 50


def chance(share: float) -> str:
    """Return a share as so many in so many, rounded upwards where it must be: "1 in 20"."""
    parts = _parts(share)
    return f"{parts[0]} in {parts[1]}"


def times(share: float) -> str:
    """Return a share as so many times in so many: "one time in five", "3 times in 20"."""
    count, of = _parts(share)
    words = max(count, of) < len(_WORDS)
    many = "time" if count == 1 else "times"
    return f"{_WORDS[count]} {many} in {_WORDS[of]}" if words else f"{count} {many} in {of}"


def _parts(share: float) -> tuple[int, int]:
    exact = Fraction(repr(share))
    if exact.denominator <= _MOST or exact.numerator == 1:
        return exact.numerator, exact.denominator
    for of in (100, 1000, 10_000):
        if exact * of >= 1:
            # Upwards: an "at most" must not tell less than there is.
            count = -(-exact.numerator * of // exact.denominator)
            return count, of
    return 1, int(1 / exact)
