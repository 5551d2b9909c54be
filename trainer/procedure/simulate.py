"""The second judge: run steps one after the other through the states and tell the first thing that goes wrong.

It knows nothing of relations; it only looks whether what a step needs holds at the moment it is done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.procedure.states import Need, Operation, Plan, Variable


@dataclass(frozen=True)
class Failure:
    """The step that fails, its position in the order from 1, and the worst of its needs that do not hold."""

    step: str
    position: int
    need: Need

    @property
    def signal(self) -> Hazard:
        """The signal word; what simply cannot be done is a notice."""
        return self.need.signal or Hazard.NOTICE


class Bench:
    """A machine on the bench: its states, changed by doing steps."""

    def __init__(self, plan: Plan, states: Mapping[Variable, bool] | None = None) -> None:
        self.plan = plan
        self.states = dict(plan.start if states is None else states)

    def unmet(self, step: str) -> Need | None:
        """Return the worst need of a step that does not hold now, None when all hold."""
        operation = self.plan.operations[step]
        missing = [need for need in operation.needs if self.states[need.variable] is not need.value]
        return min(missing, key=_badness, default=None)

    def do(self, step: str) -> None:
        """Change the states as the step does, whether or not its needs hold."""
        operation: Operation = self.plan.operations[step]
        self.states.update(operation.changes)


def _badness(need: Need) -> int:
    return need.signal.rank if need.signal else len(Hazard)


def run(plan: Plan, order: Iterable[str], states: Mapping[Variable, bool] | None = None) -> Failure | None:
    """Return the first failure of an order, or None when it runs clean.

    Args:
        plan: the operations.
        order: step ids in the order done.
        states: the states before the first of them; those at the start of the procedure unless given.
    """
    bench = Bench(plan, states)
    for position, step in enumerate(order, start=1):
        need = bench.unmet(step)
        if need is not None:
            return Failure(step, position, need)
        bench.do(step)
    return None
