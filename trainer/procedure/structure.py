"""How a machine is built, asked in the ways that the steps ask: units, what holds what, what is acted on."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from trainer.procedure.model import Renewal, Verb
from trainer.procedure.wording import Thing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from trainer.procedure.model import Fastener, Module, Part


class Structure:
    """The structure of one module; names that are not defined are passed over."""

    def __init__(self, module: Module) -> None:
        self.module = module

    @cached_property
    def base_of(self) -> dict[str, str]:
        """Part → the part with which it comes along as one unit, to be worked at the bench."""
        bases: dict[str, str] = {}
        for step in self.module.steps.values():
            for base in (*step.on(Verb.REMOVE), *step.on(Verb.INSTALL))[:1]:
                for part in step.along:
                    if part in self.module.parts and part != base:
                        bases.setdefault(part, base)
        return bases

    @cached_property
    def _units(self) -> dict[str, set[str]]:
        units: dict[str, set[str]] = {}
        for part, base in self.base_of.items():
            units.setdefault(base, {base}).add(part)
        return units

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

    def under(self, unit: Iterable[str]) -> Iterator[str]:
        """Yield what the parts of a unit sit on outside it, each once."""
        members = set(unit)
        below = (s for member in sorted(members) for s in self._rests_on(member) if s not in members)
        yield from dict.fromkeys(below)

    def _rests_on(self, name: str) -> Iterator[str]:
        part = self.module.parts.get(name)
        if part:
            yield from (below for below in part.rests_on if below in self.module.parts)

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

    def is_built_up_on(self, base: str, clamped: Iterable[str]) -> bool:
        """Tell whether a fastener with these clamped parts holds other parts onto this one at the bench."""
        return any(self.base_of.get(part) == base for part in clamped)

    def is_always_renewed(self, name: str) -> bool:
        """Tell whether a part or fastener is never used twice once disturbed."""
        thing = self.module.parts.get(name) or self.module.fasteners.get(name)
        return thing is not None and thing.renew is Renewal.ALWAYS

    def is_disturbed(self, name: str) -> bool:
        """Tell whether some step takes it out or undoes it."""
        return self.is_acted_on(Verb.REMOVE, name) or self.is_acted_on(Verb.UNDO, name)
