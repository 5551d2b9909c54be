"""A stretch of a procedure to be put in order: the whole, a phase, or chosen steps.

The order on a window is the closure of the whole order restricted to it. What has to be done before the window is
taken as done; what lies between two of its steps is done by somebody else as soon as it can be.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.procedure.model import SameRevision
from trainer.procedure.precedence import Precedence, Reason, derive
from trainer.procedure.simulate import Bench, Failure
from trainer.procedure.states import Plan, plan
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from trainer.procedure.model import Module
    from trainer.procedure.orders import PartialOrder
    from trainer.procedure.states import Variable


class NoOrder(TrainerError):
    """The module has faults that leave it without an order."""

    def __init__(self, module: Module) -> None:
        super().__init__(
            f"{module.file} has no order yet: run `trainer check {module.file}` and mend what it finds."
        )


class UnknownStep(TrainerError):
    """A step is asked for that the module does not have."""

    def __init__(self, step: str, module: Module) -> None:
        super().__init__(
            f"There is no step '{step}' in {module.id or module.file}.{nearest(step, module.steps)}"
        )


class UnknownPhase(TrainerError):
    """A phase is asked for that the module does not have, or that has no step."""

    def __init__(self, phase: str, module: Module) -> None:
        known = ", ".join(module.phases) or "none"
        super().__init__(
            f"There is no phase '{phase}' with steps in {module.id or module.file}; its phases: {known}."
        )


@dataclass(frozen=True, eq=False)
class Procedure:
    """A module with everything derived from it."""

    module: Module
    plan: Plan
    precedence: Precedence

    @property
    def order(self) -> PartialOrder:
        """The partial order of all steps.

        Raises:
            NoOrder: the module has faults.
        """
        if self.precedence.order is None or self.precedence.troubles:
            raise NoOrder(self.module)
        return self.precedence.order


@dataclass(frozen=True, eq=False)
class Window:
    """Chosen steps in the order of the file, their restricted order, and the relations that generate it."""

    procedure: Procedure
    steps: tuple[str, ...]
    order: PartialOrder
    relations: Mapping[tuple[str, str], tuple[Reason, ...]]


def prepare(module: Module, size: str | None = None) -> Procedure:
    """Return the module with its plan and precedence; equal revisions are prepared once a size.

    Args:
        module: the procedure.
        size: the size for which forces are told; those of all sizes unless given.
    """
    # Two files of one revision may differ in what is wrong with them, never in what is right.
    sharable = bool(module.revision) and not module.problems
    return _prepare_once(SameRevision(module), size) if sharable else _prepare(module, size)


@lru_cache(maxsize=64)
def _prepare_once(keyed: SameRevision, size: str | None) -> Procedure:
    return _prepare(keyed.module, size)


def _prepare(module: Module, size: str | None) -> Procedure:
    made = plan(module, size)
    return Procedure(module, made, derive(made))


def whole(procedure: Procedure) -> Window:
    """Return the window of all steps."""
    return _window(procedure, procedure.precedence.steps)


@lru_cache(maxsize=256)
def phase(procedure: Procedure, name: str) -> Window:
    """Return the window of a phase.

    Raises:
        UnknownPhase: there is no such phase, or no step in it.
    """
    steps = tuple(step.id for step in procedure.module.steps.values() if step.phase == name)
    if not steps:
        raise UnknownPhase(name, procedure.module)
    return _window(procedure, steps)


def chosen(procedure: Procedure, steps: Iterable[str]) -> Window:
    """Return the window of chosen steps, in the order of the file.

    Raises:
        UnknownStep: one of them is not in the module.
    """
    wanted = set()
    for step in steps:
        if step not in procedure.precedence.index:
            raise UnknownStep(step, procedure.module)
        wanted.add(step)
    return _window(procedure, tuple(step for step in procedure.precedence.steps if step in wanted))


def _window(procedure: Procedure, steps: tuple[str, ...]) -> Window:
    order = procedure.order.restricted([procedure.precedence.index[step] for step in steps])
    return Window(procedure, steps, order, _relations(procedure.precedence, steps, order))


def _relations(
    precedence: Precedence, steps: tuple[str, ...], order: PartialOrder
) -> dict[tuple[str, str], tuple[Reason, ...]]:
    inside = set(steps)
    relations = {
        pair: reasons
        for pair, reasons in precedence.relations.items()
        if pair[0] in inside and pair[1] in inside
    }
    for before, after in order.covers():
        pair = steps[before], steps[after]
        if pair not in relations:
            relations[pair] = _reasons_on_the_way(precedence, *pair)
    position = precedence.index
    return dict(sorted(relations.items(), key=lambda item: (position[item[0][0]], position[item[0][1]])))


def _reasons_on_the_way(precedence: Precedence, start: str, end: str) -> tuple[Reason, ...]:
    """Return the reasons along a shortest chain of relations; it leads through steps outside the window."""
    followers: dict[str, list[str]] = {}
    for before, after in precedence.relations:
        followers.setdefault(before, []).append(after)
    came_from = {start: start}
    queue = [start]
    for step in queue:
        for after in followers.get(step, ()):
            if after not in came_from:
                came_from[after] = step
                queue.append(after)
    reasons: list[Reason] = []
    step = end
    while step != start:
        reasons.insert(0, precedence.relations[came_from[step], step][0])
        step = came_from[step]
    return tuple(dict.fromkeys(reasons))


def first_failure(window: Window, answer: Sequence[str]) -> Failure | None:
    """Run an order of the window's steps and return the first failure, None when it runs clean.

    The position counts the window's steps from 1. A step outside the window that fails because of the answer is
    told with the position of the step done last.
    """
    runner = _Runner(window)
    for position, step in enumerate(answer, start=1):
        failure = runner.catch_up(position - 1) or runner.do(step, position)
        if failure is not None:
            return failure
    return runner.catch_up(len(answer))


class _Runner:
    """Does the window's steps on a bench, and what others have to do in between as soon as that is possible."""

    def __init__(self, window: Window) -> None:
        self.order = window.procedure.order
        self.index = window.procedure.precedence.index
        self.names = window.procedure.precedence.steps
        self.bench = Bench(window.procedure.plan)
        inside = sum(1 << self.index[step] for step in window.steps)
        needed = 0
        for step in window.steps:
            needed |= self.order.before[self.index[step]]
        outside = [n for n in range(len(self.names)) if needed >> n & 1 and not inside >> n & 1]
        # A step has more predecessors than each of its predecessors, so this sorts into a legal order.
        outside.sort(key=lambda number: (self.order.before[number].bit_count(), number))
        self.done = 0
        self.in_turn: list[int] = []
        self.waiting: list[int] = []
        for number in outside:
            if self.order.before[number] & inside:
                self.waiting.append(number)
            else:
                self.mark_done(number)

    def mark_done(self, number: int) -> None:
        self.bench.do(self.names[number])
        self.done |= 1 << number
        self.in_turn.append(number)

    def do(self, step: str, position: int) -> Failure | None:
        need = self.bench.unmet(step)
        if need is not None:
            return Failure(step, position, need)
        self.mark_done(self.index[step])
        return None

    def catch_up(self, position: int) -> Failure | None:
        for number in list(self.waiting):
            if not self.order.before[number] & ~self.done:
                self.waiting.remove(number)
                failure = self.do(self.names[number], position)
                if failure is not None:
                    return failure
        return None


def done_after(window: Window, steps: Sequence[str]) -> tuple[str, ...]:
    """Return everything that is done once these steps of the window are, in its order: they, and what others do.

    A step whose needs do not hold is done all the same.
    """
    runner = _Runner(window)
    for step in steps:
        runner.catch_up(0)
        runner.mark_done(runner.index[step])
    return tuple(runner.names[number] for number in runner.in_turn)


def states_before(window: Window) -> Mapping[Variable, bool]:
    """Return the states in which the window's first step finds the machine."""
    return _Runner(window).bench.states
