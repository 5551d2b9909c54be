"""The order of a procedure, derived: which step comes before which, and why.

Each need is met by the one step that makes it true (a causal link). A step that would spoil it comes before the
maker or after the user. A need for the state from *before* the first step leaves two possibilities, before the
spoiler or after the restorer; it is settled as soon as the other relations leave only one of them, and is a fault
of the module otherwise. For a module without faults an order respects these relations if and only if the
simulation of that order runs clean: each need of each step is then exactly one relation, or one pair of them.

Source: the causal links and threats of partial-order planning, as in S. Russell and P. Norvig, Artificial
Intelligence: A Modern Approach, 3rd ed., ch. 10 (from memory); the restriction to one maker and one spoiler a
state, which turns "if" into "if and only if", is our own.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.procedure.orders import OrderHasCycle, PartialOrder

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.procedure.model import Hazard
    from trainer.procedure.states import Need, Plan, Variable


@dataclass(frozen=True)
class Reason:
    """Why one step comes before another; the signal word tells how bad it is to do it the other way."""

    text: str
    signal: Hazard | None = None


class Fault(StrEnum):
    """What keeps a module from having an order."""

    NOBODY_MAKES = "nobody-makes"
    TWO_MAKERS = "two-makers"
    EITHER_SIDE = "either-side"
    CYCLE = "cycle"


@dataclass(frozen=True)
class Trouble:
    """One fault: the steps it is about (the cycle in its order) and the state that is missing or fought over."""

    fault: Fault
    steps: tuple[str, ...]
    variable: Variable | None = None
    value: bool = True
    need: Need | None = None


@dataclass(frozen=True)
class Precedence:
    """All relations with their reasons, and the partial order they generate (None when they run in a circle)."""

    steps: tuple[str, ...]
    relations: Mapping[tuple[str, str], tuple[Reason, ...]]
    order: PartialOrder | None
    troubles: tuple[Trouble, ...]
    index: Mapping[str, int]


def derive(plan: Plan) -> Precedence:
    """Return the precedence relations of a plan; faults are returned beside it, never raised."""
    return _Deriver(plan).derive()


@dataclass
class _Setters:
    """The steps that set a state away from what it was at the start, and back to it."""

    away: list[str] = field(default_factory=list)
    back: list[str] = field(default_factory=list)


class _Deriver:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.steps = tuple(plan.operations)
        self.index = {step: number for number, step in enumerate(self.steps)}
        self.relations: dict[tuple[str, str], list[Reason]] = {}
        self.troubles: list[Trouble] = []
        self.open: list[tuple[str, Need, str, str]] = []
        self.setters: dict[Variable, _Setters] = {}

    def derive(self) -> Precedence:
        self._collect_setters()
        for step, operation in self.plan.operations.items():
            for need in operation.needs:
                self._link(step, need)
        order = self._settle()
        relations = {pair: tuple(dict.fromkeys(reasons)) for pair, reasons in self.relations.items()}
        return Precedence(self.steps, relations, order, tuple(self.troubles), self.index)

    def _collect_setters(self) -> None:
        for step, operation in self.plan.operations.items():
            for variable, value in operation.changes.items():
                setters = self.setters.setdefault(variable, _Setters())
                (setters.back if value is self.plan.start[variable] else setters.away).append(step)
        for variable, setters in self.setters.items():
            for value, steps in (
                (not self.plan.start[variable], setters.away),
                (self.plan.start[variable], setters.back),
            ):
                if len(steps) > 1:
                    self.troubles.append(Trouble(Fault.TWO_MAKERS, tuple(steps), variable, value))

    def _relate(self, before: str, after: str, text: str, signal: Hazard | None) -> None:
        if before != after:
            self.relations.setdefault((before, after), []).append(Reason(text, signal))

    def _link(self, step: str, need: Need) -> None:
        """Turn one need of one step into relations, or leave it open when two sides are possible."""
        setters = self.setters.get(need.variable, _Setters())
        away = setters.away[0] if setters.away else None
        back = setters.back[0] if setters.back else None
        from_start = need.value is self.plan.start[need.variable]
        if not from_start:
            if away is None or away == step:
                self.troubles.append(Trouble(Fault.NOBODY_MAKES, (step,), need.variable, need.value, need))
                return
            self._relate(away, step, need.why, need.signal)
            if back is not None:
                self._relate(step, back, need.late, need.signal)
        elif away is not None and away != step:
            if back is None or back == step:
                self._relate(step, away, need.late, need.signal)
            else:
                self.open.append((step, need, away, back))

    def _settle(self) -> PartialOrder | None:
        """Settle open needs until nothing changes; what is then still open is a fault."""
        order = self._closure()
        while order is not None and self.open:
            still_open = []
            for step, need, away, back in self.open:
                here = self.index[step]
                if order.precedes(self.index[away], here):
                    self._relate(back, step, need.why, need.signal)
                elif order.precedes(here, self.index[back]):
                    self._relate(step, away, need.late, need.signal)
                else:
                    still_open.append((step, need, away, back))
            if len(still_open) == len(self.open):
                break
            self.open = still_open
            order = self._closure()
        if order is not None:
            for step, need, away, back in self.open:
                self.troubles.append(
                    Trouble(Fault.EITHER_SIDE, (step, away, back), need.variable, need.value, need)
                )
        return order

    def _closure(self) -> PartialOrder | None:
        pairs = [(self.index[before], self.index[after]) for before, after in self.relations]
        try:
            return PartialOrder.from_relations(len(self.steps), pairs)
        except OrderHasCycle as circle:
            self.troubles.append(Trouble(Fault.CYCLE, tuple(self.steps[number] for number in circle.cycle)))
            return None
