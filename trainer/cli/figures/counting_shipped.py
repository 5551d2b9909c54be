"""Counting the legal orders of everything shipped: the slowest procedure or phase, beside a fixed allowance."""

from __future__ import annotations

from contextlib import suppress
from statistics import median
from typing import TYPE_CHECKING

from trainer.cli.measuring.timing import Goal, Reading, sample
from trainer.procedure import library, window
from trainer.procedure.counting import LegalOrders, TooManyOrders

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from trainer.cli.measuring.timing import Effort
    from trainer.procedure.model import Module
    from trainer.procedure.orders import PartialOrder

TITLE = "Count the legal orders of what is shipped"

ALLOWED = 0.02
"""Seconds that a count may take: too short to be noticed on a page."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the slowest count of a shipped procedure or phase."""
    yield slowest([library.load(name) for name in library.shipped_procedures()], effort)


def slowest(modules: Iterable[Module], effort: Effort) -> Reading:
    """Return the longest count of any procedure or phase, counted out or refused, as a share of the allowance."""
    orders = {name: order for module in modules for name, order in orders_of(module)}
    what = f"{TITLE}: the slowest, times {ALLOWED * 1000:g} ms"
    if not orders:
        return Reading(what, note="no procedure is shipped.")
    _, name = max((sample(lambda order=order: _count(order)), name) for name, order in orders.items())  # type: ignore[misc]
    ours = median(sample(lambda: _count(orders[name])) for _ in range(effort.rounds))
    return Reading(what, ALLOWED, ours, ours / ALLOWED, Goal("at most", 1), note=f"the slowest is {name}.")


def orders_of(module: Module) -> list[tuple[str, PartialOrder]]:
    """Return the order of the whole procedure and of each phase, with a name to print.

    Raises:
        NoOrder: the module has faults.
    """
    procedure = window.prepare(module)
    used = dict.fromkeys(step.phase for step in module.steps.values() if step.phase)
    phases = [(f"{module.id}, {phase}", window.phase(procedure, phase).order) for phase in used]
    return [(f"{module.id}, all of it", procedure.order), *phases]


def _count(order: PartialOrder) -> None:
    with suppress(TooManyOrders):
        LegalOrders(order)
