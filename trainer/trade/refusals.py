"""Refusals that several computations share: a value that no bench can show."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from trainer.trade.units import Quantity


class NotPositive(TrainerError):
    """A value that must be greater than zero is not."""

    def __init__(self, what: str, value: Quantity | float) -> None:
        super().__init__(f"The {what} must be greater than zero; {value} was given.")


class Negative(TrainerError):
    """A value that cannot be below zero is."""

    def __init__(self, what: str, value: Quantity | float) -> None:
        super().__init__(f"The {what} cannot be negative; {value} was given.")


class OutsideRange(TrainerError):
    """A value lies outside the range in which the computation means anything."""

    def __init__(self, what: str, value: Quantity | float, low: float | str, high: float | str) -> None:
        super().__init__(f"The {what} must lie between {low} and {high}; {value} was given.")


def must_be_positive(what: str, value: Quantity) -> None:
    """Refuse zero and less.

    Raises:
        NotPositive: with the name of the value.
    """
    if value.value <= 0:
        raise NotPositive(what, value)


def must_not_be_negative(what: str, value: Quantity) -> None:
    """Refuse less than zero.

    Raises:
        Negative: with the name of the value.
    """
    if value.value < 0:
        raise Negative(what, value)
