"""Purging: how much inert gas takes a foreign gas down to a share, by flowing through or by cycles of pressure.

Source: Branan, Rules of Thumb for Chemical Engineers, dilution, pressure-cycle and vacuum-cycle purging.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.pressure import STANDARD_ATMOSPHERE
from trainer.trade.refusals import NotPositive, OutsideRange, must_be_positive
from trainer.trade.units import Dimension

if TYPE_CHECKING:
    from fractions import Fraction

    from trainer.trade.units import Quantity


class NothingToPurge(TrainerError):
    """The share wanted is not below the share that is there."""

    def __init__(self, start: Quantity, end: Quantity) -> None:
        super().__init__(f"{end} is not below {start}: there is nothing to purge.")


class NoCycle(TrainerError):
    """The two pressures of a cycle are equal or the wrong way round."""

    def __init__(self, low: Quantity, high: Quantity) -> None:
        super().__init__(f"A purge cycle needs a lower and a higher pressure; {low} and {high} were given.")


@dataclass(frozen=True)
class Cycles:
    """Whole cycles, the volumes of inert gas they take, and the share of foreign gas they leave (0 to 1)."""

    count: int
    volumes: float
    share_left: float


def dilution_volumes(start: Quantity, end: Quantity) -> float:
    """Return how many times its own volume of inert gas flows through a well-mixed space: ln(C0 / C).

    Args:
        start: share of foreign gas at the start, a ratio.
        end: share wanted, a ratio above zero.

    Raises:
        NothingToPurge: the share wanted is not below the one at the start.

    Source: Branan, dilution purging (21 % to 1 % oxygen: 3.1 volumes read from the figure, ln 21 = 3.04).
    """
    return math.log(_shrinkage(start, end))


def pressure_cycles(start: Quantity, end: Quantity, high: Quantity, low: Quantity | None = None) -> Cycles:
    """Return the cycles of filling to a pressure with inert gas and venting, until a share is reached.

    Args:
        start: share of foreign gas at the start, a ratio.
        end: share wanted, a ratio above zero.
        high: absolute pressure filled to.
        low: absolute pressure vented to; the air's unless given.

    Raises:
        NothingToPurge: the share wanted is not below the one at the start.
        NoCycle: the low pressure is not below the high one.

    Source: Branan, pressure-cycle purging: C = C0 / P^n with P in atmospheres.
    """
    bottom = STANDARD_ATMOSPHERE if low is None else low
    count = _count(start, end, _step(bottom, high))
    return _cycles(count, start, bottom, high)


def vacuum_cycles(start: Quantity, end: Quantity, low: Quantity, high: Quantity | None = None) -> Cycles:
    """Return the cycles of drawing a vacuum and filling up with inert gas, until a share is reached.

    Args:
        start: share of foreign gas at the start, a ratio.
        end: share wanted, a ratio above zero.
        low: absolute pressure drawn to.
        high: absolute pressure filled to; the air's unless given.

    Raises:
        NothingToPurge: the share wanted is not below the one at the start.
        NoCycle: the low pressure is not below the high one.

    Source: Branan, vacuum-cycle purging: C = C0 x P^n with P in atmospheres.
    """
    top = STANDARD_ATMOSPHERE if high is None else high
    count = _count(start, end, _step(low, top))
    return _cycles(count, start, low, top)


def cycle_volumes(count: int, low: Quantity, high: Quantity) -> float:
    """Return the inert gas that cycles take, in volumes of the space at the pressure of the air.

    Args:
        count: cycles.
        low: absolute pressure at the bottom of a cycle.
        high: absolute pressure at its top.

    Source: Branan: pressure cycles x (P - 1), vacuum cycles x (1 - P), P in atmospheres.
    """
    if count < 1:
        raise NotPositive("number of cycles", count)
    _step(low, high)
    return float(count * (high.exact_si - low.exact_si) / STANDARD_ATMOSPHERE.exact_si)


def _cycles(count: int, start: Quantity, low: Quantity, high: Quantity) -> Cycles:
    left = start.exact_si / _step(low, high) ** count
    return Cycles(count, cycle_volumes(count, low, high), float(left))


def _count(start: Quantity, end: Quantity, step: Fraction) -> int:
    shrinkage = _shrinkage(start, end)
    # The logarithm lands a hair above a whole number when the share is reached exactly, so it is checked.
    count = max(1, math.ceil(math.log(shrinkage) / math.log(step)) - 1)
    return count if step**count >= shrinkage else count + 1


def _step(low: Quantity, high: Quantity) -> Fraction:
    must_be_positive("lower pressure", low.must_be(Dimension.ABSOLUTE))
    if not low < high:
        raise NoCycle(low, high)
    return high.exact_si / low.exact_si


def _shrinkage(start: Quantity, end: Quantity) -> Fraction:
    must_be_positive("share wanted", end.must_be(Dimension.RATIO))
    if start.must_be(Dimension.RATIO).exact_si > 1:
        raise OutsideRange("share of foreign gas", start, "0 %", "100 %")
    if not end < start:
        raise NothingToPurge(start, end)
    return start.exact_si / end.exact_si
