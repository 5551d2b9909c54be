"""What stands where at a moment of a job: in the machine, or at the bench as a unit; and what the next step moves.

The states come from `procedure.simulate.Bench`; nothing here decides whether a step may be done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.procedure.model import Verb
from trainer.procedure.simulate import Bench
from trainer.procedure.states import Aspect
from trainer.procedure.structure import Structure

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.procedure.model import Module, Step
    from trainer.procedure.states import Variable
    from trainer.procedure.window import Procedure

OUTGOING = (Verb.DISCONNECT, Verb.UNDO, Verb.REMOVE)
INCOMING = (Verb.INSTALL, Verb.CONNECT, Verb.TIGHTEN)
_LOOKED_AT = (Verb.CLEAN, Verb.INSPECT, Verb.MEASURE, Verb.LUBRICATE, Verb.UNLOCK, Verb.LOCK)


@dataclass(frozen=True)
class Stage:
    """One picture of a job: what is in place, and what the step in hand moves or looks at.

    `base` is the part whose unit lies at the bench, None in the machine. `moving` is not among `standing`.
    """

    base: str | None
    standing: tuple[str, ...]
    moving: tuple[str, ...] = ()
    looked_at: tuple[str, ...] = ()
    incoming: bool = False


def states_after(procedure: Procedure, done: Iterable[str]) -> Mapping[Variable, bool]:
    """Return the states after steps done one after the other, whether or not they could be."""
    bench = Bench(procedure.plan)
    for step in done:
        bench.do(step)
    return bench.states


def base_of(built: Structure, thing: str) -> str | None:
    """Return the part with which a thing comes along as a unit; None for what stands in the machine by itself."""
    fastener = built.module.fasteners.get(thing)
    return built.bench_of(fastener.clamps) if fastener is not None else built.base_of.get(thing)


def is_there(module: Module, states: Mapping[Variable, bool], thing: str) -> bool:
    """Tell whether a thing is in its place, be it in the machine or in a unit at the bench."""
    if thing in module.fasteners:
        return states[Aspect.TIGHT, thing]
    if thing in module.lines:
        return states[Aspect.JOINED, thing]
    return states[Aspect.IN_PLACE, thing]


def in_machine(module: Module, states: Mapping[Variable, bool]) -> tuple[str, ...]:
    """Return what stands in the machine, in the order of the file: in place, and its unit is in place too."""
    built = Structure(module)
    return tuple(thing for thing in _things(module) if _in_machine(built, states, thing))


def in_unit(module: Module, states: Mapping[Variable, bool], base: str) -> tuple[str, ...]:
    """Return what is together at the bench in the unit of a part: itself, its things, and those of the units in it."""
    built = Structure(module)
    return tuple(thing for thing in _things(module) if _reaches(built, states, thing, base))


def _reaches(built: Structure, states: Mapping[Variable, bool], thing: str, base: str) -> bool:
    """Tell whether a thing is in its place in the unit of a base, or in a unit that is."""
    seen: set[str] = set()
    at: str | None = thing
    while at is not None and at != base and at not in seen:
        if not is_there(built.module, states, at):
            return False
        seen.add(at)
        at = base_of(built, at)
    return at == base


def _things(module: Module) -> tuple[str, ...]:
    return (*module.parts, *module.fasteners, *module.lines)


def _in_machine(built: Structure, states: Mapping[Variable, bool], thing: str) -> bool:
    seen: set[str] = set()
    at: str | None = thing
    while at is not None and at not in seen:
        if not is_there(built.module, states, at):
            return False
        seen.add(at)
        at = base_of(built, at)
    return True


def stage(module: Module, states: Mapping[Variable, bool], step: Step | None) -> Stage:
    """Return the picture before a step, with what it moves; without a step only what stands."""
    machine = in_machine(module, states)
    built = Structure(module)
    if step is None:
        return Stage(None, machine) if machine else _largest_unit(built, states)
    out, into = _named(step, OUTGOING), _named(step, INCOMING)
    moved = out or into
    if not moved:
        return _looked(built, states, machine, step)
    base = _bench(built, states, moved)
    standing = in_unit(module, states, base) if base else machine
    # What comes along in a unit moves with it; where it lies, its parts are still together.
    along = {other for thing in moved for other in in_unit(module, states, thing) if thing in module.parts}
    moving = tuple(thing for thing in _things(module) if thing in {*moved, *along} and thing != base)
    return Stage(base, tuple(t for t in standing if t not in moving), moving, incoming=not out)


def _named(step: Step, verbs: Iterable[Verb]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for verb in verbs for name in step.on(verb)))


def _bench(built: Structure, states: Mapping[Variable, bool], moved: Iterable[str]) -> str | None:
    """Return the base at the bench that all of these belong to, None when the work is in the machine."""
    bases = {base_of(built, thing) for thing in moved}
    base = bases.pop() if len(bases) == 1 else None
    return base if base is not None and not _in_machine(built, states, base) else None


def _looked(built: Structure, states: Mapping[Variable, bool], machine: tuple[str, ...], step: Step) -> Stage:
    looked = _named(step, _LOOKED_AT)
    if not looked and not machine:
        return _largest_unit(built, states)
    if not looked or any(thing in machine for thing in looked):
        return Stage(None, machine, looked_at=tuple(t for t in looked if t in machine))
    base = _bench(built, states, looked)
    if base is not None:
        return Stage(base, in_unit(built.module, states, base), looked_at=looked)
    # Parts that lie at the bench one by one: they are shown as they belong together, and nothing else.
    return Stage(
        looked[0], tuple(thing for thing in _things(built.module) if thing in looked), looked_at=looked
    )


def _largest_unit(built: Structure, states: Mapping[Variable, bool]) -> Stage:
    """Return what is together at the bench when nothing stands in the machine: of what is part of no other unit, the most."""
    bases = list(dict.fromkeys(base for base in built.base_of.values() if base not in built.base_of))
    units = {base: in_unit(built.module, states, base) for base in bases}
    best = max(units, key=lambda base: len(units[base]), default=None)
    return Stage(best, units[best] if best else ())
