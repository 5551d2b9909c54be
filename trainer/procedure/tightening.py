"""In which order the bolts of a set are tightened at a size: the one that is prescribed, or the cross pattern."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.model import Pattern
from trainer.trade import bolt_pattern

if TYPE_CHECKING:
    from trainer.procedure.model import Fastener


def prescribed(fastener: Fastener, size: str) -> tuple[int, ...]:
    """Return the order that the procedure prescribes for a size; empty when it prescribes none."""
    return (fastener.pattern_order.at(size) or ()) if fastener.pattern_order else ()


def has_order(fastener: Fastener, size: str) -> bool:
    """Tell whether the set is tightened crosswise, or in an order that the site prescribes."""
    count = fastener.count.at(size) or 0
    if prescribed(fastener, size):
        return sorted(prescribed(fastener, size)) == list(range(1, count + 1))
    possible = bolt_pattern.FEWEST <= count <= bolt_pattern.MOST and count % 2 == 0
    return fastener.pattern is Pattern.CROSS and possible


def order_of(fastener: Fastener, size: str) -> tuple[int, ...]:
    """Return the prescribed order, or the cross pattern from number 1.

    Raises:
        NoCrossPattern: nothing is prescribed, and no cross pattern serves the number of bolts.
    """
    return prescribed(fastener, size) or bolt_pattern.cross(fastener.count.at(size) or 0)
