"""Ids and small print of lines, shared by the kinds."""

from __future__ import annotations

from string import ascii_lowercase
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.procedure.model import Module


def letters(count: int) -> tuple[str, ...]:
    """Return ids that say nothing: a, b, c and so on, after z with a number behind."""
    return tuple(
        ascii_lowercase[number % 26] + (str(number // 26) if number >= 26 else "") for number in range(count)
    )


def numbers_of(module: Module, things: Iterable[str]) -> str:
    """Return `item 3` or `items 3, 5` for the things that have an item number, else an empty text."""
    known = module.item_numbers()
    numbers = sorted({known[thing] for thing in things if thing in known})
    if not numbers:
        return ""
    return f"item{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
