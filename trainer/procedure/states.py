"""What each step needs and what it changes, over facts, parts, fasteners and lines.

Every state is a two-valued variable. A step's needs and changes follow from its verbs and from how the machine is
built; nothing here knows about order. Order is derived from this by `precedence.py`, and judged by `simulate.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.procedure.conditions import Aspect, Need, Variable, need
from trainer.procedure.model import Verb
from trainer.procedure.needs import needs_of, needs_of_return
from trainer.procedure.structure import Structure
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.procedure.model import Module, Step

__all__ = ["Aspect", "Need", "Operation", "Plan", "Variable", "plan"]


@dataclass(frozen=True)
class Operation:
    """A step as needs and changes."""

    step: str
    needs: tuple[Need, ...]
    changes: Mapping[Variable, bool]


@dataclass(frozen=True)
class Plan:
    """All operations of a module, its states before the first step, and steps that undo their own work."""

    operations: Mapping[str, Operation]
    start: Mapping[Variable, bool]
    self_undoing: tuple[tuple[str, Variable], ...]


def plan(module: Module, size: str | None = None) -> Plan:
    """Return the operations of a module; names that are not defined are passed over.

    Args:
        module: the procedure.
        size: the size for which forces are told; those of all sizes unless given.
    """
    built = Structure(module, size)
    drafts = {step.id: _drafted(step, built) for step in module.steps.values()}
    operations = {name: Operation(name, tuple(d.needs), dict(d.changes)) for name, d in drafts.items()}
    undoing = tuple((name, variable) for name, draft in drafts.items() for variable in draft.undone)
    return Plan(operations, _start(module), undoing)


def _start(module: Module) -> dict[Variable, bool]:
    """Return the states before the first step: everything in place, tight, connected, sound and not clean."""
    start: dict[Variable, bool] = {(Aspect.FACT, name): fact.at_start for name, fact in module.facts.items()}
    for part in module.parts:
        start[Aspect.IN_PLACE, part] = True
    for fastener in module.fasteners.values():
        start[Aspect.TIGHT, fastener.id] = True
        start[Aspect.LOCKED, fastener.id] = bool(fastener.locking)
    for line in module.lines:
        start[Aspect.JOINED, line] = True
    for thing in (*module.parts, *module.fasteners, *module.lines):
        start[Aspect.SOUND, thing] = True
        start[Aspect.CLEAN, thing] = False
    for step in module.steps:
        start[Aspect.DONE, step] = False
    return start


@dataclass
class _Draft:
    """An operation in the making: the verbs of one step run one after the other."""

    needs: list[Need] = field(default_factory=list)
    changes: dict[Variable, bool] = field(default_factory=dict)
    undone: list[Variable] = field(default_factory=list)

    def need(self, wanted: Need) -> None:
        # What an earlier verb of the same step has just brought about is no need of the step as a whole.
        if self.changes.get(wanted.variable) is not wanted.value and wanted not in self.needs:
            self.needs.append(wanted)

    def change(self, variable: Variable, value: bool) -> None:
        if self.changes.get(variable, value) is not value:
            self.undone.append(variable)
        self.changes[variable] = value


def _drafted(step: Step, built: Structure) -> _Draft:
    draft = _Draft()
    for verb in Verb:
        for name in step.on(verb):
            if built.knows(verb, name):
                for wanted in needs_of(verb, name, built):
                    draft.need(wanted)
                for variable, value in _changes(verb, name, built):
                    draft.change(variable, value)
    # After the verbs: of two needs as bad as each other the first is told, and an energy tells more than a fact.
    for wanted in (*_needed_facts(step, built.module), *_needed_steps(step, built.module)):
        draft.need(wanted)
    _make_facts(step, built.module, draft)
    _end_facts(step, built, draft)
    draft.change((Aspect.DONE, step.id), True)
    return draft


def _needed_facts(step: Step, module: Module) -> Iterator[Need]:
    for fact in (module.facts[name] for name in step.needs if name in module.facts):
        state = in_sentence(fact.text)
        yield need(
            Aspect.FACT,
            fact.id,
            True,
            f"It must hold first: {state}",
            late=f"From then on it no longer holds that {state}",
            happens=fact.otherwise or f"Not so yet: {state}",
            signal=fact.signal,
        )


def _needed_steps(step: Step, module: Module) -> Iterator[Need]:
    """Orders given in words, by this step or by an earlier one that names it."""
    pairs = [(name, step) for name in step.after]
    pairs += [(other.id, other) for other in module.steps.values() if step.id in other.before]
    for earlier, said_by in pairs:
        if earlier in module.steps:
            because = said_by.because or "The procedure asks for this order"
            yield need(Aspect.DONE, earlier, True, because, signal=said_by.because_signal)


def _make_facts(step: Step, module: Module, draft: _Draft) -> None:
    ended = {name for other in module.steps.values() for name in other.ends}
    for fact in (module.facts[name] for name in step.makes if name in module.facts):
        if fact.at_start and fact.id in ended:
            why = f"It is so from the start: {in_sentence(fact.text)}"
            draft.need(need(Aspect.FACT, fact.id, False, why))
        draft.change((Aspect.FACT, fact.id), True)


def _end_facts(step: Step, built: Structure, draft: _Draft) -> None:
    module = built.module
    for fact in (module.facts[name] for name in step.ends if name in module.facts):
        why = f"There is nothing to end before it holds that {in_sentence(fact.text)}"
        draft.need(need(Aspect.FACT, fact.id, True, why, happens=f"Not so yet: {in_sentence(fact.text)}"))
        for energy in module.energies.values():
            if fact.id in energy.safe_when:
                for wanted in needs_of_return(energy, built):
                    draft.need(wanted)
        draft.change((Aspect.FACT, fact.id), False)


def _changes(verb: Verb, name: str, built: Structure) -> Iterator[tuple[Variable, bool]]:
    if verb in _SETS:
        aspect, value = _SETS[verb]
        yield (aspect, name), value
    if built.is_always_renewed(name):
        if verb in (Verb.REMOVE, Verb.UNDO):
            yield (Aspect.SOUND, name), False
        elif verb is Verb.RENEW and built.is_disturbed(name):
            yield (Aspect.SOUND, name), True


_SETS = {
    Verb.UNLOCK: (Aspect.LOCKED, False),
    Verb.DISCONNECT: (Aspect.JOINED, False),
    Verb.UNDO: (Aspect.TIGHT, False),
    Verb.REMOVE: (Aspect.IN_PLACE, False),
    Verb.CLEAN: (Aspect.CLEAN, True),
    Verb.INSTALL: (Aspect.IN_PLACE, True),
    Verb.CONNECT: (Aspect.JOINED, True),
    Verb.TIGHTEN: (Aspect.TIGHT, True),
    Verb.LOCK: (Aspect.LOCKED, True),
}
