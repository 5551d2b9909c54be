"""How the elements of a station stand at a moment of the job: by the facts that hold and by what is off."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.conditions import Aspect
from trainer.procedure.pipe_states import LineUp
from trainer.procedure.simulate import Bench
from trainer.procedure.station import Form, Position, Station

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.procedure.conditions import Variable
    from trainer.procedure.model import Module
    from trainer.procedure.station import Element
    from trainer.procedure.window import Procedure


def line_up_after(procedure: Procedure, done: Iterable[str]) -> LineUp:
    """Return the line-up after steps done one after the other, whether or not they could be."""
    return line_up_in(procedure.module, states_after(procedure, done))


def states_after(procedure: Procedure, done: Iterable[str]) -> Mapping[Variable, bool]:
    """Return the states of the machine after steps."""
    bench = Bench(procedure.plan)
    for step in done:
        bench.do(step)
    return bench.states


def line_up_in(module: Module, states: Mapping[Variable, bool]) -> LineUp:
    """Return the line-up in a state of the machine."""
    station = module.station or Station()
    return LineUp(
        station, frozenset(name for name in station.moved if _is_open(station.elements[name], states))
    )


def locked_in(module: Module, states: Mapping[Variable, bool]) -> frozenset[str]:
    """Return the elements that carry a lock in a state of the machine."""
    elements = (module.station or Station()).elements.values()
    return frozenset(e.id for e in elements if e.locked_when and _hold(e.locked_when, states))


def _is_open(element: Element, states: Mapping[Variable, bool]) -> bool:
    if element.form is Form.FILTER:
        return any(_is_off(name, states) for name in element.opened_by)
    stands_open = element.stands is Position.OPEN
    other = bool(element.other_when) and _hold(element.other_when, states)
    back = any(states.get((Aspect.FACT, fact), False) for fact in element.unless)
    return stands_open ^ (other and not back)


def _hold(facts: Iterable[str], states: Mapping[Variable, bool]) -> bool:
    return all(states.get((Aspect.FACT, fact), False) for fact in facts)


def _is_off(thing: str, states: Mapping[Variable, bool]) -> bool:
    return not (states.get((Aspect.IN_PLACE, thing), True) and states.get((Aspect.TIGHT, thing), True))
