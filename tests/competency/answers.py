"""Published tables of answers, for the tests of items and of models."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

# Bock and Lieberman 1970, Psychometrika 35:179-197 (also Bock and Aitkin 1981, Psychometrika 46:443-459): how many of
# 1000 people gave each pattern of answers to five items. fmt: off
LSAT6 = {
    "00000": 3,
    "00001": 6,
    "00010": 2,
    "00011": 11,
    "00100": 1,
    "00101": 1,
    "00110": 3,
    "00111": 4,
    "01000": 1,
    "01001": 8,
    "01010": 0,
    "01011": 16,
    "01100": 0,
    "01101": 3,
    "01110": 2,
    "01111": 15,
    "10000": 10,
    "10001": 29,
    "10010": 14,
    "10011": 81,
    "10100": 3,
    "10101": 28,
    "10110": 15,
    "10111": 80,
    "11000": 16,
    "11001": 56,
    "11010": 21,
    "11011": 173,
    "11100": 11,
    "11101": 61,
    "11110": 28,
    "11111": 298,
}
LSAT7 = {
    "00000": 12,
    "00001": 19,
    "00010": 1,
    "00011": 7,
    "00100": 3,
    "00101": 19,
    "00110": 3,
    "00111": 17,
    "01000": 10,
    "01001": 5,
    "01010": 3,
    "01011": 7,
    "01100": 7,
    "01101": 23,
    "01110": 8,
    "01111": 28,
    "10000": 7,
    "10001": 39,
    "10010": 11,
    "10011": 34,
    "10100": 14,
    "10101": 51,
    "10110": 15,
    "10111": 90,
    "11000": 6,
    "11001": 25,
    "11010": 7,
    "11011": 35,
    "11100": 18,
    "11101": 136,
    "11110": 32,
    "11111": 308,
}
# fmt: on


def people(patterns: Mapping[str, int]) -> NDArray[np.float64]:
    """Return a row for each person."""
    rows = [[int(mark) for mark in pattern] for pattern, times in patterns.items() for _ in range(times)]
    return np.array(rows, dtype=np.float64)


def with_margins(columns: Sequence[int], scores: Sequence[int]) -> NDArray[np.float64]:
    """Return a table with these numbers right of each item, and so many people with each score from 0 up.

    A common slope and KR-20 depend on nothing else of a table (Gale 1957, Ryser 1957 for the construction).
    """
    left = list(columns)
    rows = []
    for score in range(len(scores) - 1, -1, -1):
        for _ in range(scores[score]):
            chosen = sorted(range(len(left)), key=lambda item: -left[item])[:score]
            rows.append([float(item in chosen) for item in range(len(left))])
            for item in chosen:
                left[item] -= 1
    assert not any(left)
    return np.array(rows)
