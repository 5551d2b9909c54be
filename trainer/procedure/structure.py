"""How a machine is built, asked in the ways that the steps ask: units, what holds what, what is acted on."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from trainer.procedure.consequence import told
from trainer.procedure.model import Renewal, Verb
from trainer.procedure.wording import Thing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from trainer.procedure.model import Energy, Fastener, Module, Part


class Structure:
    """The structure of one module, at one size or at all; names that are not defined are passed over."""

    def __init__(self, module: Module, size: str | None = None) -> None:
        self.module = module
        self.size = size
        self._told: dict[str, str] = {}

    def what_happens(self, energy: Energy) -> str:
        """Return what happens when an energy gets free, worked out once."""
        if energy.id not in self._told:
            self._told[energy.id] = told(energy, self.module, self.size)
        return self._told[energy.id]

    @cached_property
    def base_of(self) -> dict[str, str]:
        """Part → the part with which it comes along as one unit, to be worked at the bench."""
        bases: dict[str, str] = {}
        for step in self.module.steps.values():
            for base in (*step.on(Verb.REMOVE), *step.on(Verb.INSTALL))[:1]:
                for part in step.along if base in self.module.parts else ():
                    if part in self.module.parts and part != base:
                        bases.setdefault(part, base)
        return bases

    @cached_property
    def _units(self) -> dict[str, set[str]]:
        units: dict[str, set[str]] = {}
        for part in self.base_of:
            for base in self._carriers(part):
                units.setdefault(base, {base}).add(part)
        return units

    def _carriers(self, name: str) -> list[str]:
        """Return the bases with which a part comes along, innermost first: a unit may be part of a larger one."""
        bases: list[str] = []
        base = self.base_of.get(name)
        while base is not None and base != name and base not in bases:
            bases.append(base)
            base = self.base_of.get(base)
        return bases

    @cached_property
    def _acted_on(self) -> dict[Verb, set[str]]:
        acted: dict[Verb, set[str]] = {verb: set() for verb in Verb}
        for step in self.module.steps.values():
            for verb, names in step.acts.items():
                acted[verb].update(names)
        return acted

    def thing(self, name: str) -> Thing:
        """Return a part, fastener or line as it stands in a sentence."""
        return Thing(self.module.name(name))

    def knows(self, verb: Verb, name: str) -> bool:
        """Tell whether a name is something that the verb can act on."""
        module = self.module
        if verb in (Verb.REMOVE, Verb.INSTALL):
            return name in module.parts
        if verb in (Verb.UNDO, Verb.TIGHTEN, Verb.LOCK, Verb.UNLOCK):
            return name in module.fasteners
        if verb in (Verb.CONNECT, Verb.DISCONNECT):
            return name in module.lines
        return name in module.parts or name in module.fasteners or name in module.lines

    def is_acted_on(self, verb: Verb, name: str) -> bool:
        """Tell whether some step does this to it."""
        return name in self._acted_on[verb]

    def unit(self, name: str) -> set[str]:
        """Return a part with everything that comes along with it."""
        return self._units.get(name, {name})

    def moved_with(self, name: str, near: str | None = None) -> str:
        """Return the part whose coming and going takes a part away from another one, or from the machine.

        Seen from outside that is the base of its unit: a disc that lies at the bench in its piston sits on nothing
        in the machine. Among the parts of one unit it is the part itself.
        """
        together = {near, *self._carriers(near)} if near else set()
        away = (part for part in reversed((name, *self._carriers(name))) if part not in together)
        return next(away, name)

    def under(self, name: str) -> Iterator[str]:
        """Yield what a part, with all that comes along with it, sits on where it goes in, each once."""
        rests = (below for member in self._members(name) for below in self.module.parts[member].rests_on)
        return (below for below in dict.fromkeys(rests) if self._meets(below, name))

    def inside(self, name: str) -> Iterator[str]:
        """Yield what a part, with all that comes along with it, encloses where it goes in, each once."""
        closed = (core for member in self._members(name) for core in self.module.parts[member].encloses)
        return (core for core in dict.fromkeys(closed) if self._meets(core, name))

    def _members(self, name: str) -> Iterator[str]:
        return (part for part in self.module.parts if part in self.unit(name))

    def _meets(self, other: str, name: str) -> bool:
        """Tell whether a part meets another as that goes in: at the bench only what is of the same unit does."""
        if other not in self.module.parts or other in self.unit(name) or other in self._carriers(name):
            return False
        return name not in self.base_of or self.base_of[name] in self._carriers(other)

    def above(self, unit: set[str]) -> Iterator[Part]:
        """Yield what sits on a unit from outside it."""
        for part in self.module.parts.values():
            if part.id not in unit and unit & set(part.rests_on):
                yield part

    def around(self, unit: set[str]) -> Iterator[Part]:
        """Yield what encloses a unit from outside it without sitting on it."""
        for part in self.module.parts.values():
            if part.id not in unit and unit & set(part.encloses) and not unit & set(part.rests_on):
                yield part

    def holding(self, base: str) -> Iterator[Fastener]:
        """Yield the fasteners that hold a unit in the machine, not those that only hold the unit together."""
        unit = self.unit(base)
        for fastener in self.module.fasteners.values():
            clamped = set(fastener.clamps)
            if unit & clamped and (clamped == {base} or not clamped <= unit):
                yield fastener

    def bench_of(self, clamped: Iterable[str]) -> str | None:
        """Return the base of the unit that a fastener holds together; None when it is reached in the machine."""
        parts = [part for part in clamped if part in self.module.parts]
        for base in (parts[0], *self._carriers(parts[0])) if parts else ():
            if set(parts) <= self.unit(base) and set(parts) != {base}:
                return base
        return None

    def is_always_renewed(self, name: str) -> bool:
        """Tell whether a part or fastener is never used twice once disturbed."""
        thing = self.module.parts.get(name) or self.module.fasteners.get(name)
        return thing is not None and thing.renew is Renewal.ALWAYS

    def is_disturbed(self, name: str) -> bool:
        """Tell whether some step takes it out or undoes it."""
        return self.is_acted_on(Verb.REMOVE, name) or self.is_acted_on(Verb.UNDO, name)
