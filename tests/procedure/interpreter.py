"""A second reading of a procedure, written from what its keys mean and from nothing else.

It keeps what lies on the bench, what is loose and what is true, and judges each step by looking at the machine as a
person would: what stands in the way, what is missing, what is still under pressure. It knows no relations and no
table of states, and shares no code with the derivation that it is held against.
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

# The same in C, several times as fast, where PyYAML was built with it.
LOADER: type[Any] = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
MACHINE = "the machine"
# The order in which one step does several things.
VERBS = (
    "unlock", "disconnect", "undo", "remove", "clean", "inspect", "measure", "renew", "lubricate", "install",
    "connect", "tighten", "lock",
)  # fmt: skip


def listed(value: Any) -> list[str]:
    """One name stands for a list of one."""
    return [] if value is None else [value] if isinstance(value, str) else list(value)


class Drawing:
    """What the file says: how the machine is built and what the steps do; it does not change."""

    def __init__(self, text: str) -> None:
        file = yaml.load(text, Loader=LOADER)  # noqa: S506 - it makes nothing but texts

        def table(name: str) -> dict[str, dict[str, Any]]:
            rows = file.get(name) or {}
            return {key: row if isinstance(row, dict) else {} for key, row in rows.items()}

        self.parts = table("parts")
        self.fasteners = table("fasteners")
        self.lines = table("lines")
        self.energies = table("energies")
        self.facts = table("facts")
        self.steps: dict[str, dict[str, Any]] = {step["id"]: step for step in file["steps"]}
        self.carrier: dict[str, str] = {}
        for step in self.steps.values():
            moved = listed(step.get("remove")) + listed(step.get("install"))
            for passenger in listed(step.get("with")):
                self.carrier.setdefault(passenger, moved[0])
        self.together = {part: self._together(part) for part in self.parts}
        self.bench = {name: self._bench_of(name) for name in self.fasteners}
        self.holding = {part: list(self._holding(part)) for part in self.parts}
        self.ever = {
            (verb, thing)
            for step in self.steps.values()
            for verb in (*VERBS, "ends")
            for thing in listed(step.get(verb))
        }

    def said(self, thing: str, key: str) -> list[str]:
        """What a key of a part, fastener or line lists."""
        for table in (self.parts, self.fasteners, self.lines):
            if thing in table:
                return listed(table[thing].get(key))
        return []

    def never_used_twice(self, thing: str) -> bool:
        return "always_when_disturbed" in self.said(thing, "renew")

    def carriers(self, part: str) -> Iterator[str]:
        while part in self.carrier:
            part = self.carrier[part]
            yield part

    def _together(self, part: str) -> set[str]:
        """A part with all that comes along with it."""
        return {part, *(other for other in self.parts if part in self.carriers(other))}

    def _bench_of(self, fastener: str) -> str | None:
        """The base of the smallest unit that a fastener holds together, none when it holds onto the machine."""
        clamped = set(self.said(fastener, "clamp"))
        for base in sorted(self.parts, key=lambda part: len(self.together[part])):
            if clamped and clamped != {base} and clamped <= self.together[base]:
                return base
        return None

    def _holding(self, part: str) -> Iterator[str]:
        """The fasteners that hold a part, with all that comes along with it, to something else."""
        unit = self.together[part]
        for fastener in self.fasteners:
            clamped = set(self.said(fastener, "clamp"))
            if clamped & unit and (clamped == {part} or clamped - unit):
                yield fastener


@dataclass
class Machine:
    """The machine while it is worked on."""

    drawing: Drawing
    out: set[str] = field(default_factory=set)
    loose: set[str] = field(default_factory=set)
    off: set[str] = field(default_factory=set)
    locked: set[str] = field(default_factory=set)
    used: set[str] = field(default_factory=set)
    cleaned: set[str] = field(default_factory=set)
    true: set[str] = field(default_factory=set)
    done: set[str] = field(default_factory=set)

    @classmethod
    def standing(cls, drawing: Drawing) -> Machine:
        """The machine before the first step."""
        machine = cls(drawing)
        machine.locked = {name for name in drawing.fasteners if drawing.said(name, "locking")}
        machine.true = {name for name, fact in drawing.facts.items() if fact.get("at_start") == "true"}
        return machine

    def copy(self) -> Machine:
        return Machine(
            self.drawing, *(copy(s) for s in (self.out, self.loose, self.off, self.locked, self.used)),
            *(copy(s) for s in (self.cleaned, self.true, self.done)),
        )  # fmt: skip

    def where(self, part: str) -> str:
        """The machine, or the part on the bench to which a part is attached: itself when it lies there alone."""
        if part in self.out:
            return part
        carrier = self.drawing.carrier.get(part)
        return self.where(carrier) if carrier else MACHINE

    def do(self, step_id: str) -> list[str]:
        """Do a step and say what is wrong with doing it now; the machine is changed in any case."""
        drawing = self.drawing
        step = drawing.steps[step_id]
        wrong = [f"not so: {fact}" for fact in listed(step.get("needs")) if fact not in self.true]
        earlier = listed(step.get("after"))
        earlier += [other for other, said in drawing.steps.items() if step_id in listed(said.get("before"))]
        wrong += [f"not done: {other}" for other in earlier if other not in self.done]
        for verb in VERBS:
            for thing in listed(step.get(verb)):
                act = getattr(self, f"_{verb}", None)
                wrong += act(thing) if act else self._work_on(verb, thing)
        wrong += self._tell_facts(step)
        self.done.add(step_id)
        return wrong

    # --- facts ---

    def _tell_facts(self, step: dict[str, Any]) -> list[str]:
        wrong = []
        for fact in listed(step.get("makes")) + listed(step.get("prove")):
            if fact in self.true and ("ends", fact) in self.drawing.ever:
                at_start = self.drawing.facts[fact].get("at_start") == "true"
                wrong += [f"so from the start: {fact}"] if at_start else []
            self.true.add(fact)
        for fact in listed(step.get("ends")):
            if fact not in self.true:
                wrong.append(f"nothing to end: {fact}")
            for energy, said in self.drawing.energies.items():
                if fact in listed(said.get("safe_when")):
                    wrong += self._openings(energy)
            self.true.discard(fact)
        return wrong

    def _openings(self, energy: str) -> list[str]:
        """Where an energy would come out if it came back now."""
        drawing = self.drawing
        lids = [part for part in drawing.parts if energy in drawing.said(part, "contains")]
        screws = [
            name
            for name in drawing.fasteners
            if energy in drawing.said(name, "contains") or set(lids) & set(drawing.said(name, "clamp"))
        ]
        open_lines = [line for line in drawing.lines if energy in drawing.said(line, "contains")]
        return [
            f"open: {name}"
            for name in (*lids, *screws, *open_lines)
            if name in self.out | self.loose | self.off
        ]

    def _unsafe(self, thing: str) -> list[str]:
        """The energies that get free when a thing is touched now."""
        wrong = []
        for energy in self.drawing.said(thing, "contains"):
            needed = listed(self.drawing.energies[energy].get("safe_when"))
            wrong += [f"{energy} is not gone"] if set(needed) - self.true else []
        return wrong

    # --- parts ---

    def _remove(self, part: str) -> list[str]:
        drawing = self.drawing
        unit = drawing.together[part]
        here = self.where(part)
        wrong = [f"out already: {part}"] if part in self.out else []
        wrong += self._not_on_bench(part)
        for other in drawing.parts:
            in_the_way = set(drawing.said(other, "rests_on")) | set(drawing.said(other, "encloses"))
            if other not in unit and self.where(other) == here and in_the_way & unit:
                wrong.append(f"in the way: {other}")
        wrong += [f"holds: {name}" for name in drawing.holding[part] if name not in self.loose]
        wrong += [
            f"fastened to it: {line}"
            for line in drawing.lines
            if line not in self.off and set(drawing.said(line, "joins")) & unit
        ]
        wrong += self._unsafe(part)
        self.out.add(part)
        self._disturb(part)
        return wrong

    def _install(self, part: str) -> list[str]:
        drawing = self.drawing
        carrier = drawing.carrier.get(part)
        goes_to = self.where(carrier) if carrier else MACHINE
        wrong = [] if part in self.out else [f"in already: {part}"]
        wrong += self._not_on_bench(part)
        unit = drawing.together[part]
        wrong += [f"left out: {member}" for member in unit - {part} if member in self.out]
        met = drawing.together[carrier] - {carrier} if carrier else set(drawing.parts)
        for member in unit:
            for other in drawing.said(member, "rests_on") + drawing.said(member, "encloses"):
                if other in met - unit and self.where(other) != goes_to:
                    wrong.append(f"not there yet: {other}")
        wrong += [f"in the way: {name}" for name in drawing.holding[part] if name not in self.loose]
        wrong += [f"not tight: {name}" for name in drawing.said(part, "locks") if name in self.loose]
        wrong += self._old(part)
        wrong += [f"dirty: {part}"] if ("clean", part) in drawing.ever and part not in self.cleaned else []
        self.out.discard(part)
        return wrong

    def _not_on_bench(self, part: str) -> list[str]:
        carrier = self.drawing.carrier.get(part)
        return [f"not on the bench: {carrier}"] if carrier and carrier not in self.out else []

    def _old(self, thing: str) -> list[str]:
        return [f"used before: {thing}"] if thing in self.used else []

    def _disturb(self, thing: str) -> None:
        if self.drawing.never_used_twice(thing):
            self.used.add(thing)

    # --- fasteners and lines ---

    def _undo(self, fastener: str) -> list[str]:
        drawing = self.drawing
        wrong = [f"loose already: {fastener}"] if fastener in self.loose else []
        if drawing.said(fastener, "locking") and fastener in self.locked:
            wrong.append(f"still locked: {fastener}")
        pins = (pin for pin in drawing.parts if fastener in drawing.said(pin, "locks"))
        wrong += [f"still in: {pin}" for pin in pins if pin not in self.out]
        for thing in (*drawing.said(fastener, "clamp"), fastener):
            wrong += self._unsafe(thing)
        wrong += self._hidden(fastener)
        self.loose.add(fastener)
        self._disturb(fastener)
        return wrong

    def _tighten(self, fastener: str) -> list[str]:
        drawing = self.drawing
        wrong = [] if fastener in self.loose else [f"tight already: {fastener}"]
        place = self._place_of(fastener)
        wrong += [
            f"not there: {part}" for part in drawing.said(fastener, "clamp") if self.where(part) != place
        ]
        wrong += self._old(fastener)
        wrong += self._hidden(fastener)
        self.loose.discard(fastener)
        return wrong

    def _place_of(self, fastener: str) -> str:
        bench = self.drawing.bench[fastener]
        return bench if bench is not None else MACHINE

    def _hidden(self, fastener: str) -> list[str]:
        """What keeps hands and tools from a fastener."""
        drawing = self.drawing
        place = self._place_of(fastener)
        clamped = drawing.said(fastener, "clamp")
        wrong = [f"still in the machine: {place}"] if place not in {MACHINE, *self.out} else []
        for cover in drawing.parts:
            hides = set(drawing.said(cover, "encloses")) & set(clamped)
            if hides and cover not in clamped and self.where(cover) == place:
                wrong.append(f"hidden by: {cover}")
        return wrong

    def _unlock(self, fastener: str) -> list[str]:
        wrong = [] if fastener in self.locked else [f"not locked: {fastener}"]
        self.locked.discard(fastener)
        return wrong

    def _lock(self, fastener: str) -> list[str]:
        wrong = [f"locked already: {fastener}"] if fastener in self.locked else []
        wrong += [f"loose: {fastener}"] if fastener in self.loose else []
        self.locked.add(fastener)
        return wrong

    def _disconnect(self, line: str) -> list[str]:
        wrong = [f"off already: {line}"] if line in self.off else []
        wrong += self._unsafe(line)
        self.off.add(line)
        return wrong

    def _connect(self, line: str) -> list[str]:
        wrong = [] if line in self.off else [f"on already: {line}"]
        for part in self.drawing.said(line, "joins"):
            wrong += [f"not there: {part}"] if self.where(part) != MACHINE else []
        self.off.discard(line)
        return wrong

    # --- work on things ---

    def _work_on(self, verb: str, thing: str) -> list[str]:
        drawing = self.drawing
        wrong = self._out_of_reach(thing)
        if verb == "clean":
            self.cleaned.add(thing)
        elif verb == "renew":
            taken_off = ("remove", thing) in drawing.ever or ("undo", thing) in drawing.ever
            if drawing.never_used_twice(thing) and taken_off:
                wrong += [] if thing in self.used else [f"the old one is still in: {thing}"]
                self.used.discard(thing)
        elif ("clean", thing) in drawing.ever and thing not in self.cleaned:
            wrong.append(f"dirty: {thing}")
        return wrong

    def _out_of_reach(self, thing: str) -> list[str]:
        drawing = self.drawing
        if thing in drawing.fasteners:
            return [] if thing in self.loose else [f"not off: {thing}"]
        if thing in drawing.lines:
            return [] if thing in self.off else [f"not off: {thing}"]
        if ("remove", thing) in drawing.ever:
            return [] if thing in self.out else [f"not out: {thing}"]
        if thing in drawing.carrier:
            return self._not_on_bench(thing)
        return [
            f"covered by: {other}"
            for other in drawing.parts
            if self.where(other) == MACHINE
            and thing in (*drawing.said(other, "rests_on"), *drawing.said(other, "encloses"))
        ]


def first_wrong(text: str | Drawing, order: Iterable[str]) -> tuple[str, list[str]] | None:
    """The first step of an order that is wrong and what is wrong with it; None when the order runs clean."""
    machine = Machine.standing(text if isinstance(text, Drawing) else Drawing(text))
    for step in order:
        wrong = machine.do(step)
        if wrong:
            return step, wrong
    return None
