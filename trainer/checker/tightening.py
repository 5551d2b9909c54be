"""Tightening orders as a procedure prescribes them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.findings import Place
    from trainer.procedure.model import Fastener, Module


@dataclass(frozen=True)
class PrescribedOrder:
    """The bolts in their order for a size, how many there are, where it stands, and ` at DN 50` when it is by size."""

    bolts: tuple[int, ...]
    count: int
    place: Place
    at: str


def prescribed_orders(fastener: Fastener, module: Module) -> Iterator[PrescribedOrder]:
    """Yield the prescribed order of a fastener for each size that has both an order and a count."""
    order = fastener.pattern_order
    for size in module.sizes if order else ():
        bolts, count = order.at(size) if order else None, fastener.count.at(size)
        if bolts is not None and count is not None:
            by_size = size in fastener.count.each or (order is not None and size in order.each)
            place = module.place("fasteners", fastener.id, "order", size)
            yield PrescribedOrder(bolts, count, place, f" at {size}" if by_size else "")
