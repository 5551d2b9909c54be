"""What each step needs and what it changes, over facts, parts, fasteners and lines.

Every state is a two-valued variable. A step's needs and changes follow from its verbs and from how the machine is
built; nothing here knows about order. Order is derived from this by `precedence.py`, and judged by `simulate.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.procedure.consequence import told
from trainer.procedure.model import Hazard, Renewal, Verb
from trainer.procedure.wording import capital, form, full_stop, in_sentence, the

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from trainer.procedure.model import Energy, Module, Step


class Aspect(StrEnum):
    """What a variable is about."""

    FACT = "fact"
    IN_PLACE = "in place"
    TIGHT = "tight"
    LOCKED = "locked"
    JOINED = "connected"
    SOUND = "sound"
    CLEAN = "clean"
    DONE = "done"


Variable = tuple[Aspect, str]


@dataclass(frozen=True)
class Need:
    """A state that must hold when a step is done.

    `why` is the reason for coming after the step that brings the state about, `late` the reason for coming
    before the step that ends it, `happens` what goes wrong otherwise; `signal` is None for what simply cannot be done.
    """

    variable: Variable
    value: bool
    why: str
    late: str
    happens: str
    signal: Hazard | None = None


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


def plan(module: Module) -> Plan:
    """Return the operations of a module; names that are not defined are passed over."""
    return _Planner(module).plan()


def unit_bases(module: Module) -> dict[str, str]:
    """Return part → the part with which it comes along as one unit."""
    bases: dict[str, str] = {}
    for step in module.steps.values():
        for base in (*step.on(Verb.REMOVE), *step.on(Verb.INSTALL))[:1]:
            for part in step.along:
                if part in module.parts and part != base:
                    bases.setdefault(part, base)
    return bases


@dataclass
class _Draft:
    """An operation in the making: verbs of one step run one after the other."""

    needs: list[Need] = field(default_factory=list)
    changes: dict[Variable, bool] = field(default_factory=dict)
    undone: list[Variable] = field(default_factory=list)

    def need(self, need: Need) -> None:
        # What an earlier verb of the same step has just brought about is no need of the step as a whole.
        if self.changes.get(need.variable) is not need.value and need not in self.needs:
            self.needs.append(need)

    def change(self, variable: Variable, value: bool) -> None:
        if self.changes.get(variable, value) is not value:
            self.undone.append(variable)
        self.changes[variable] = value


class _Planner:
    def __init__(self, module: Module) -> None:
        self.module = module
        self.base_of = unit_bases(module)
        self.units: dict[str, set[str]] = {}
        for part, base in self.base_of.items():
            self.units.setdefault(base, {base}).add(part)
        acted: dict[Verb, set[str]] = {verb: set() for verb in Verb}
        for step in module.steps.values():
            for verb, names in step.acts.items():
                acted[verb].update(names)
        self.acted = acted

    def plan(self) -> Plan:
        operations: dict[str, Operation] = {}
        undoing: list[tuple[str, Variable]] = []
        for step in self.module.steps.values():
            draft = self._draft(step)
            operations[step.id] = Operation(step.id, tuple(draft.needs), dict(draft.changes))
            undoing += [(step.id, variable) for variable in draft.undone]
        return Plan(operations, self._start(), tuple(undoing))

    def _start(self) -> dict[Variable, bool]:
        module = self.module
        start = {(Aspect.FACT, name): fact.at_start for name, fact in module.facts.items()}
        for part in module.parts:
            start |= {(Aspect.IN_PLACE, part): True, (Aspect.SOUND, part): True, (Aspect.CLEAN, part): False}
        for fastener in module.fasteners.values():
            start |= {(Aspect.TIGHT, fastener.id): True, (Aspect.SOUND, fastener.id): True}
            start |= {
                (Aspect.LOCKED, fastener.id): bool(fastener.locking),
                (Aspect.CLEAN, fastener.id): False,
            }
        start |= {(Aspect.JOINED, line): True for line in module.lines}
        start |= {(Aspect.CLEAN, line): False for line in module.lines}
        return start | {(Aspect.DONE, step): False for step in module.steps}

    def _draft(self, step: Step) -> _Draft:
        draft = _Draft()
        for need in (*self._fact_needs(step), *self._order_needs(step)):
            draft.need(need)
        for verb in Verb:
            for name in step.on(verb):
                if self._known(verb, name):
                    for need in self._needs(verb, name):
                        draft.need(need)
                    for variable, value in self._changes(verb, name):
                        draft.change(variable, value)
        self._fact_changes(step, draft)
        draft.change((Aspect.DONE, step.id), True)
        return draft

    def _known(self, verb: Verb, name: str) -> bool:
        module = self.module
        if verb in (Verb.REMOVE, Verb.INSTALL):
            return name in module.parts
        if verb in (Verb.UNDO, Verb.TIGHTEN, Verb.LOCK, Verb.UNLOCK):
            return name in module.fasteners
        if verb in (Verb.CONNECT, Verb.DISCONNECT):
            return name in module.lines
        return name in module.parts or name in module.fasteners or name in module.lines

    # -- facts, and orders given in words ----------------------------------------------------------------

    def _fact_needs(self, step: Step) -> Iterator[Need]:
        for name in step.needs:
            if name in self.module.facts:
                fact = self.module.facts[name]
                happens = fact.otherwise or f"Not so yet: {in_sentence(fact.text)}"
                late = f"From then on it no longer holds that {in_sentence(fact.text)}."
                why = full_stop(f"It must hold first: {in_sentence(fact.text)}")
                yield Need((Aspect.FACT, name), True, why, late, full_stop(happens), fact.signal)

    def _order_needs(self, step: Step) -> Iterator[Need]:
        pairs = [(name, step) for name in step.after]
        pairs += [(other.id, other) for other in self.module.steps.values() if step.id in other.before]
        for earlier, said_by in pairs:
            if earlier in self.module.steps:
                because = full_stop(said_by.because or "The procedure asks for this order")
                yield Need((Aspect.DONE, earlier), True, because, because, because, said_by.because_signal)

    def _fact_changes(self, step: Step, draft: _Draft) -> None:
        facts = self.module.facts
        ended_anywhere = {name for other in self.module.steps.values() for name in other.ends}
        for name in step.makes:
            if name in facts:
                if facts[name].at_start and name in ended_anywhere:
                    why = full_stop(f"It is so from the start: {in_sentence(facts[name].text)}")
                    draft.need(Need((Aspect.FACT, name), False, why, why, why))
                draft.change((Aspect.FACT, name), True)
        for name in step.ends:
            if name in facts:
                text = in_sentence(facts[name].text)
                why = full_stop(f"There is nothing to end before it holds that {text}")
                draft.need(Need((Aspect.FACT, name), True, why, why, why))
                for energy in self.module.energies.values():
                    if name in energy.safe_when:
                        for need in self._closed(energy):
                            draft.need(need)
                draft.change((Aspect.FACT, name), False)

    def _closed(self, energy: Energy) -> Iterator[Need]:
        """Everything that holds an energy in must be shut before the energy comes back."""
        module = self.module
        happens = told(energy, module)

        def need(aspect: Aspect, name: str, what: str) -> Need:
            why = f"{capital(the(module.name(name)))} must be {what} before {the(energy.name)} comes back."
            return Need((aspect, name), True, why, why, happens, energy.signal)

        for part in module.parts.values():
            if energy.id in part.contains:
                yield need(Aspect.IN_PLACE, part.id, "on")
                for fastener in module.fasteners.values():
                    if part.id in fastener.clamps:
                        yield need(Aspect.TIGHT, fastener.id, "tight")
        for fastener in module.fasteners.values():
            if energy.id in fastener.contains:
                yield need(Aspect.TIGHT, fastener.id, "tight")
        for line in module.lines.values():
            if energy.id in line.contains:
                yield need(Aspect.JOINED, line.id, "connected")

    # -- verbs -------------------------------------------------------------------------------------------

    def _needs(self, verb: Verb, name: str) -> Iterable[Need]:
        if verb is Verb.UNDO:
            return self._undo(name)
        if verb is Verb.TIGHTEN:
            return self._tighten(name)
        if verb is Verb.REMOVE:
            return self._remove(name)
        if verb is Verb.INSTALL:
            return self._install(name)
        if verb is Verb.DISCONNECT:
            return self._disconnect(name)
        if verb is Verb.CONNECT:
            return self._connect(name)
        if verb is Verb.UNLOCK:
            return (self._own(Aspect.LOCKED, name, True, "is not locked"),)
        if verb is Verb.LOCK:
            return self._lock(name)
        return self._work_on(verb, name)

    def _changes(self, verb: Verb, name: str) -> Iterator[tuple[Variable, bool]]:
        always = self._always_renewed(name)
        if verb in (Verb.REMOVE, Verb.INSTALL):
            yield (Aspect.IN_PLACE, name), verb is Verb.INSTALL
        elif verb in (Verb.UNDO, Verb.TIGHTEN):
            yield (Aspect.TIGHT, name), verb is Verb.TIGHTEN
        elif verb in (Verb.CONNECT, Verb.DISCONNECT):
            yield (Aspect.JOINED, name), verb is Verb.CONNECT
        elif verb in (Verb.LOCK, Verb.UNLOCK):
            yield (Aspect.LOCKED, name), verb is Verb.LOCK
        elif verb is Verb.CLEAN:
            yield (Aspect.CLEAN, name), True
        if always and verb in (Verb.REMOVE, Verb.UNDO):
            yield (Aspect.SOUND, name), False
        if always and verb is Verb.RENEW and self._disturbed(name):
            yield (Aspect.SOUND, name), True

    def _always_renewed(self, name: str) -> bool:
        thing = self.module.parts.get(name) or self.module.fasteners.get(name)
        return thing is not None and thing.renew is Renewal.ALWAYS

    def _disturbed(self, name: str) -> bool:
        return name in self.acted[Verb.REMOVE] or name in self.acted[Verb.UNDO]

    def _own(self, aspect: Aspect, name: str, value: bool, trouble: str) -> Need:
        thing = the(self.module.name(name))
        text = f"{capital(thing)} {trouble}."
        return Need((aspect, name), value, text, text, text)

    def _undo(self, name: str) -> Iterator[Need]:
        fastener = self.module.fasteners[name]
        own = the(fastener.name)
        yield self._own(
            Aspect.TIGHT, name, True, form(fastener.name, "is undone already", "are undone already")
        )
        if fastener.locking:
            why = f"The {in_sentence(fastener.locking)} holds {own} until it is released."
            yield Need(
                (Aspect.LOCKED, name),
                False,
                why,
                why,
                f"The {in_sentence(fastener.locking)} still holds {own}: the thread or the lock tears.",
                Hazard.NOTICE,
            )
        for part in self.module.parts.values():
            if name in part.locks:
                why = f"{capital(the(part.name))} {form(part.name, 'locks', 'lock')} {own}: out first."
                happens = f"{capital(the(part.name))} {form(part.name, 'is', 'are')} still in: turning {own} shears {form(part.name, 'it', 'them')} off."
                yield Need((Aspect.IN_PLACE, part.id), False, why, why, happens, Hazard.NOTICE)
        for part_id in fastener.clamps:
            if part_id in self.module.parts:
                yield from self._safe(self.module.parts[part_id].contains, fastener.name)
        yield from self._safe(fastener.contains, fastener.name)
        yield from self._within_reach(fastener.clamps, own)

    def _tighten(self, name: str) -> Iterator[Need]:
        fastener = self.module.fasteners[name]
        own = the(fastener.name)
        yield self._own(
            Aspect.TIGHT, name, False, form(fastener.name, "is tight already", "are tight already")
        )
        for part_id in fastener.clamps:
            if part_id in self.module.parts and not self._built_up_on(part_id, fastener.clamps):
                part = the(self.module.name(part_id))
                why = f"{capital(own)} {form(fastener.name, 'clamps', 'clamp')} {part}: that goes in first."
                yield Need(
                    (Aspect.IN_PLACE, part_id),
                    True,
                    why,
                    why,
                    f"{capital(own)} would be tightened with {part} still out.",
                    None,
                )
        if self._always_renewed(name):
            yield self._sound(name)
        yield from self._within_reach(fastener.clamps, own)

    def _lock(self, name: str) -> Iterator[Need]:
        yield self._own(Aspect.LOCKED, name, False, "is locked already")
        own = the(self.module.name(name))
        why = f"{capital(own)} must be at torque before the lock is set."
        yield Need(
            (Aspect.TIGHT, name), True, why, why, f"{capital(own)} would be locked loose.", Hazard.WARNING
        )

    def _remove(self, name: str) -> Iterator[Need]:
        module = self.module
        unit = self._unit(name)
        own = the(module.name(name))
        yield self._own(Aspect.IN_PLACE, name, True, "is out already")
        for other in module.parts.values():
            if other.id in unit:
                continue
            sits = the(other.name)
            if unit & set(other.rests_on):
                why = f"{capital(sits)} {form(other.name, 'sits', 'sit')} on {own}: off first."
                yield Need(
                    (Aspect.IN_PLACE, other.id),
                    False,
                    why,
                    why,
                    f"{capital(own)} cannot come out: {sits} still {form(other.name, 'sits', 'sit')} on it.",
                )
            elif unit & set(other.encloses):
                why = f"{capital(sits)} {form(other.name, 'closes', 'close')} {own} in: off first."
                yield Need(
                    (Aspect.IN_PLACE, other.id),
                    False,
                    why,
                    why,
                    f"{capital(own)} cannot be reached: {sits} {form(other.name, 'is', 'are')} still on.",
                )
        for fastener in module.fasteners.values():
            if self._holds(fastener.clamps, unit, name):
                holds = f"{capital(the(fastener.name))} {form(fastener.name, 'holds', 'hold')} {own}"
                late = f"Once {the(fastener.name)} {form(fastener.name, 'is', 'are')} tight, {own} cannot come off."
                yield Need(
                    (Aspect.TIGHT, fastener.id),
                    False,
                    f"{holds}: undone first.",
                    late,
                    f"{holds} still: pulling on it bends or breaks something.",
                    Hazard.NOTICE,
                )
        for line in module.lines.values():
            if unit & set(line.joins):
                why = f"{capital(the(line.name))} is fastened to {own}: off first."
                yield Need(
                    (Aspect.JOINED, line.id),
                    False,
                    why,
                    why,
                    f"{capital(the(line.name))} is torn off with {own}.",
                    Hazard.NOTICE,
                )
        yield from self._safe(module.parts[name].contains, module.name(name))
        yield from self._at_bench(name)

    def _install(self, name: str) -> Iterator[Need]:
        module = self.module
        unit = self._unit(name)
        part = module.parts[name]
        own = the(part.name)
        base = self.base_of.get(name)
        yield self._own(Aspect.IN_PLACE, name, False, "is in already")
        for below in dict.fromkeys(s for member in unit for s in self._parts_under(member)):
            if below not in unit and below != base:
                under = the(module.name(below))
                why = f"{capital(own)} {form(part.name, 'sits', 'sit')} on {under}: that goes in first."
                late = f"{capital(own)} {form(part.name, 'needs', 'need')} {under} in place."
                yield Need(
                    (Aspect.IN_PLACE, below),
                    True,
                    why,
                    late,
                    f"{capital(own)} {form(part.name, 'has', 'have')} nothing to sit on: {under} {form(module.name(below), 'is', 'are')} still out. All of it comes off again.",
                    Hazard.NOTICE,
                )
        for inside in part.encloses:
            if inside in module.parts and inside not in unit:
                within = the(module.name(inside))
                why = (
                    f"{capital(within)} {form(module.name(inside), 'goes', 'go')} in before {own} closes it."
                )
                yield Need(
                    (Aspect.IN_PLACE, inside),
                    True,
                    why,
                    why,
                    f"{capital(own)} is closed over a gap: {within} {form(module.name(inside), 'is', 'are')} still on the bench. All of it comes off again.",
                    Hazard.NOTICE,
                )
        for member in sorted(unit - {name}):
            along = the(module.name(member))
            why = f"{capital(along)} {form(module.name(member), 'goes', 'go')} in as one unit with {own}: built up at the bench first."
            yield Need(
                (Aspect.IN_PLACE, member),
                True,
                why,
                why,
                f"{capital(own)} {form(part.name, 'goes', 'go')} in without {along}. All of it comes out again.",
                Hazard.NOTICE,
            )
        for fastener in module.fasteners.values():
            if self._holds(fastener.clamps, unit, name):
                why = f"{capital(the(fastener.name))} must be off before {own} can go on."
                late = f"{capital(own)} goes on before {the(fastener.name)} {form(fastener.name, 'is', 'are')} tightened."
                yield Need(
                    (Aspect.TIGHT, fastener.id),
                    False,
                    why,
                    late,
                    f"{capital(the(fastener.name))} would be tight with {own} still out.",
                    Hazard.NOTICE,
                )
        for locked in part.locks:
            if locked in module.fasteners:
                tight = the(module.name(locked))
                why = (
                    f"{capital(tight)} must be at torque before {own} {form(part.name, 'locks', 'lock')} it."
                )
                yield Need(
                    (Aspect.TIGHT, locked),
                    True,
                    why,
                    why,
                    f"{capital(tight)} is locked before it is at torque, and works loose in service.",
                    Hazard.WARNING,
                )
        if self._always_renewed(name):
            yield self._sound(name)
        if name in self.acted[Verb.CLEAN]:
            yield self._cleaned(
                name,
                f"{capital(own)} {form(part.name, 'goes', 'go')} in clean.",
                f"Dirt goes in with {own} and cuts the seals.",
            )
        yield from self._at_bench(name)

    def _disconnect(self, name: str) -> Iterator[Need]:
        line = self.module.lines[name]
        yield self._own(Aspect.JOINED, name, True, "is off already")
        yield from self._safe(line.contains, line.name)

    def _connect(self, name: str) -> Iterator[Need]:
        line = self.module.lines[name]
        yield self._own(Aspect.JOINED, name, False, "is on already")
        for part_id in line.joins:
            if part_id in self.module.parts:
                part = the(self.module.name(part_id))
                why = f"{capital(the(line.name))} is fastened to {part}: that goes on first."
                yield Need(
                    (Aspect.IN_PLACE, part_id),
                    True,
                    why,
                    why,
                    f"{capital(the(line.name))} has nothing to be fastened to: {part} is still off.",
                )

    def _work_on(self, verb: Verb, name: str) -> Iterator[Need]:
        own = the(self.module.name(name))
        yield from self._access(name, verb)
        if verb is Verb.RENEW:
            if self._always_renewed(name) and self._disturbed(name):
                why = f"{capital(own)} {form(own, 'is', 'are')} renewed once the old one is out."
                yield Need((Aspect.SOUND, name), False, why, why, why)
        elif verb is not Verb.CLEAN and name in self.acted[Verb.CLEAN]:
            why = f"Clean {own} first: dirt hides what there is to see and spoils grease."
            yield self._cleaned(
                name,
                why,
                f"{capital(own)} {form(own, 'is', 'are')} still dirty: a crack or a cut stays hidden.",
            )

    # -- pieces ------------------------------------------------------------------------------------------

    def _unit(self, name: str) -> set[str]:
        """The part with everything that comes along with it."""
        return self.units.get(name, {name})

    def _built_up_on(self, base: str, clamped: tuple[str, ...]) -> bool:
        """Tell whether the fastener holds other parts onto this one at the bench."""
        return any(self.base_of.get(part) == base for part in clamped)

    def _parts_under(self, name: str) -> Iterator[str]:
        part = self.module.parts.get(name)
        if part:
            yield from (below for below in part.rests_on if below in self.module.parts)

    def _holds(self, clamped: tuple[str, ...], unit: set[str], base: str) -> bool:
        """Tell whether a fastener holds a unit in the machine, rather than the unit itself together."""
        within = set(clamped) <= unit and set(clamped) != {base}
        return bool(unit & set(clamped)) and not within

    def _safe(self, energies: Iterable[str], touched: str) -> Iterator[Need]:
        for energy_id in energies:
            energy = self.module.energies.get(energy_id)
            if energy is None:
                continue
            happens = told(energy, self.module)
            for fact_id in energy.safe_when:
                if fact_id in self.module.facts:
                    text = in_sentence(self.module.facts[fact_id].text)
                    why = f"{capital(energy.name)} must be gone before {the(touched)} {form(touched, 'is', 'are')} touched: {text}. Otherwise: {in_sentence(full_stop(energy.otherwise))}"
                    late = f"{capital(the(touched))} {form(touched, 'is', 'are')} touched only while {text}. Otherwise: {in_sentence(full_stop(energy.otherwise))}"
                    yield Need((Aspect.FACT, fact_id), True, why, late, happens, energy.signal)

    def _at_bench(self, name: str) -> Iterator[Need]:
        base = self.base_of.get(name)
        if base is not None:
            unit = the(self.module.name(base))
            own = the(self.module.name(name))
            why = f"{capital(own)} {form(self.module.name(name), 'is', 'are')} worked at the bench: {unit} comes out first."
            late = f"{capital(own)} {form(self.module.name(name), 'is', 'are')} worked at the bench, before {unit} goes in again."
            yield Need(
                (Aspect.IN_PLACE, base),
                False,
                why,
                late,
                f"{capital(own)} cannot be reached while {unit} is in the machine.",
            )

    def _within_reach(self, clamped: tuple[str, ...], own: str) -> Iterator[Need]:
        """A fastener is reached at the bench when it holds a unit together, and only with its cover off."""
        bases = dict.fromkeys(self.base_of[part] for part in clamped if part in self.base_of)
        for base in bases:
            unit = the(self.module.name(base))
            why = f"{capital(own)} can only be reached at the bench: {unit} comes out first."
            late = f"{capital(own)} can no longer be reached once {unit} is in the machine."
            yield Need(
                (Aspect.IN_PLACE, base),
                False,
                why,
                late,
                f"{capital(own)} cannot be reached while {unit} is in the machine.",
            )
        for part in self.module.parts.values():
            if set(part.encloses) & set(clamped):
                cover = the(part.name)
                why = f"{capital(cover)} {form(part.name, 'hides', 'hide')} {own}: off first."
                late = f"{capital(own)} can no longer be reached once {cover} is on."
                yield Need(
                    (Aspect.IN_PLACE, part.id),
                    False,
                    why,
                    late,
                    f"{capital(own)} cannot be reached: {cover} is still on.",
                )

    def _access(self, name: str, verb: Verb) -> Iterator[Need]:
        """What has to be out of the way before a thing can be worked on."""
        module = self.module
        own = the(module.name(name))
        act = _DOING[verb]

        def out(aspect: Aspect, thing: str, why: str) -> Need:
            late = f"{capital(own)} can no longer be {act} after that."
            return Need(
                (aspect, thing),
                False,
                why,
                late,
                f"{capital(own)} cannot be {act} yet: {the(module.name(thing))} {_STILL[aspect]}.",
            )

        if name in module.fasteners:
            yield out(Aspect.TIGHT, name, f"{capital(own)} must be off to be {act}.")
        elif name in module.lines:
            yield out(Aspect.JOINED, name, f"{capital(own)} must be off to be {act}.")
        elif name in self.acted[Verb.REMOVE]:
            yield out(Aspect.IN_PLACE, name, f"{capital(own)} must be out to be {act}.")
        elif name in self.base_of:
            base = self.base_of[name]
            yield out(Aspect.IN_PLACE, base, f"{capital(the(module.name(base)))} must be at the bench.")
        else:
            for other in module.parts.values():
                if name in other.rests_on or name in other.encloses:
                    yield out(
                        Aspect.IN_PLACE,
                        other.id,
                        f"{capital(the(other.name))} {form(other.name, 'covers', 'cover')} {own}: off first.",
                    )

    def _sound(self, name: str) -> Need:
        own = the(self.module.name(name))
        why = f"{capital(own)} {form(own, 'is', 'are')} never used twice: a new one from the kit."
        happens = f"The old one goes back in: {own} has taken its set and leaks under pressure."
        return Need((Aspect.SOUND, name), True, why, why, happens, Hazard.CAUTION)

    def _cleaned(self, name: str, why: str, happens: str) -> Need:
        return Need((Aspect.CLEAN, name), True, why, why, happens, Hazard.NOTICE)


_DOING = {
    Verb.CLEAN: "cleaned",
    Verb.INSPECT: "inspected",
    Verb.MEASURE: "measured",
    Verb.RENEW: "renewed",
    Verb.LUBRICATE: "lubricated",
}
_STILL = {
    Aspect.TIGHT: "must come off first",
    Aspect.JOINED: "must come off first",
    Aspect.IN_PLACE: "must come out first",
}
