"""Machines nobody has built, taken apart and put together by procedures that mostly have no fault."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import yaml

if TYPE_CHECKING:
    from collections.abc import Iterable
    from random import Random

# The same in C, several times as fast, where PyYAML was built with it.
DUMPER: type[Any] = getattr(yaml, "CSafeDumper", yaml.SafeDumper)
# When a kind of step comes, roughly: an order in words only goes from an earlier kind to a later one.
MAKE_SAFE, APART, AT_BENCH, TOGETHER, RETURN = range(5)


@dataclass
class Invention:
    """A machine in the making, and the procedure for it."""

    random: Random
    whole: bool
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    fasteners: dict[str, dict[str, Any]] = field(default_factory=dict)
    lines: dict[str, dict[str, Any]] = field(default_factory=dict)
    energies: dict[str, dict[str, Any]] = field(default_factory=dict)
    facts: dict[str, dict[str, Any]] = field(default_factory=dict)
    carrier: dict[str, str] = field(default_factory=dict)
    removed: list[str] = field(default_factory=list)
    undone: list[str] = field(default_factory=list)
    steps: dict[str, dict[str, Any]] = field(default_factory=dict)
    kind: dict[str, int] = field(default_factory=dict)

    def chance(self, percent: int) -> bool:
        return self.random.randint(1, 100) <= percent

    def some(self, things: Iterable[str], most: int = 2) -> list[str]:
        pool = list(things)
        return self.random.sample(pool, min(len(pool), self.random.randint(1, most))) if pool else []

    def step(self, name: str, kind: int, **verbs: Any) -> None:
        self.steps[name] = verbs
        self.kind[name] = kind

    # --- how it is built ---

    def stack_parts(self, most: int) -> None:
        self.parts["body"] = {"fixed": True}
        for number in range(1, self.random.randint(1, most) + 1):
            below = list(self.parts)
            part: dict[str, Any] = {"rests_on": self.some(below)}
            if number > 1 and self.chance(30):
                part["encloses"] = self.some(below[1:], 1)
            self.parts[f"part{number}"] = part

    def touches(self, part: str) -> set[str]:
        return {*self.parts[part].get("rests_on", ()), *self.parts[part].get("encloses", ())}

    def make_units(self) -> None:
        """Let some parts come along with one that they sit on; now and then a unit within a unit."""
        names = list(self.parts)[1:]
        for _ in range(self.random.randint(1, 2) if len(names) > 1 else 0):
            base = self.random.choice(names[:-1])
            place = names.index(base)
            earlier = {"body", *names[:place]} - self.unit(base)
            if base in self.carrier:
                earlier &= {"body", *self.unit(self.carrier[base])}
            unit = {base}
            for part in names[place + 1 :]:
                joins = self.touches(part) & unit and self.touches(part) <= unit | earlier
                same = self.carrier.get(part) == self.carrier.get(base)
                if joins and same and part not in self.carrier.values() and self.chance(70):
                    unit.add(part)
                    self.carrier[part] = base

    def carriers(self, part: str) -> list[str]:
        chain = []
        while part in self.carrier:
            part = self.carrier[part]
            chain.append(part)
        return chain

    def unit(self, part: str) -> set[str]:
        return {other for other in self.parts if other == part or part in self.carriers(other)}

    def mover(self, part: str, near: str) -> str:
        together = {near, *self.carriers(near)}
        return next((p for p in reversed([part, *self.carriers(part)]) if p not in together), part)

    def fasten(self) -> None:
        for number in range(self.random.randint(0, 3)):
            names = list(self.parts)
            clamp = [self.random.choice(names[1:])]
            if self.chance(30):
                clamp.append(self.random.choice(names))
            self.fasteners[f"screws{number}"] = {"clamp": list(dict.fromkeys(clamp))}

    def bench_of(self, fastener: str) -> str | None:
        clamp: list[str] = self.fasteners[fastener]["clamp"]
        for base in (clamp[0], *self.carriers(clamp[0])):
            if set(clamp) <= self.unit(base) and set(clamp) != {base}:
                return base
        return None

    def holds(self, fastener: str, part: str) -> bool:
        clamp, unit = set(self.fasteners[fastener]["clamp"]), self.unit(part)
        return bool(clamp & unit) and (clamp == {part} or not clamp <= unit)

    # --- what comes off ---

    def take_apart(self) -> None:
        """Choose what comes off, and what must come off with it."""
        wanted = {part for part in self.parts if part != "body" and self.chance(75)} | set(
            self.carrier.values()
        )
        loose = {name for name in self.fasteners if self.chance(20)}
        before = None
        while before != (len(wanted), len(loose)):
            before = len(wanted), len(loose)
            for part in sorted(wanted):
                above = (
                    p for p in self.parts if p not in self.unit(part) and self.touches(p) & self.unit(part)
                )
                wanted |= {self.mover(p, part) for p in above} | set(self.carriers(part))
                loose |= {name for name in self.fasteners if self.holds(name, part)}
            for name in sorted(loose):
                clamp, bench = set(self.fasteners[name]["clamp"]), self.bench_of(name)
                for part in self.parts:
                    if set(self.parts[part].get("encloses", ())) & clamp and part not in clamp:
                        wanted.add(self.mover(part, bench or "body"))
        # What was put on last comes off first.
        self.removed = [part for part in reversed(self.parts) if part in wanted]
        self.undone = [name for name in self.fasteners if name in loose]

    def pin(self) -> None:
        """Lock fasteners that come off, by a pin or by a device of their own."""
        for name in self.undone:
            if self.chance(25):
                self.fasteners[name]["locking"] = "tab washer"
            if self.chance(25):
                clamped, pin = self.fasteners[name]["clamp"][0], f"pin_{name}"
                self.parts[pin] = {"rests_on": [clamped], "locks": [name]}
                bench = self.bench_of(name)
                if bench:
                    self.carrier[pin] = bench
                self.removed.insert(0, pin)
            if self.chance(25):
                self.fasteners[name]["renew"] = "always_when_disturbed"
        for part in self.removed:
            if self.chance(25):
                self.parts[part]["renew"] = "always_when_disturbed"

    def run_lines(self) -> None:
        for number in range(self.random.randint(0, 2)):
            self.lines[f"tube{number}"] = {"joins": [self.random.choice([*self.parts])]}

    def comes_off(self, line: str) -> bool:
        joined = set(self.lines[line]["joins"])
        return any(joined & self.unit(part) for part in self.removed) or "renew" in line

    def fill(self) -> None:
        """Put energies into what comes off, and facts that make them safe."""
        for number in range(self.random.randint(0, 3)):
            self.facts[f"fact{number}"] = {"text": f"Thing {number} is so"}
        holders = [self.parts[p] for p in self.removed] + [self.fasteners[f] for f in self.undone]
        holders += [self.lines[line] for line in self.lines if self.comes_off(line)]
        for number in range(self.random.randint(0, 2) if self.facts and holders else 0):
            safe = self.some(self.facts)
            self.energies[f"energy{number}"] = {
                "signal": "danger",
                "safe_when": safe,
                "otherwise": "It gets free",
            }
            for _ in range(self.random.randint(1, 2)):
                self.random.choice(holders).setdefault("contains", []).append(f"energy{number}")

    # --- what is done ---

    def write_steps(self) -> None:
        self.make_facts()
        for name in self.undone:
            if "locking" in self.fasteners[name]:
                self.step(f"unlock_{name}", APART, unlock=[name])
            self.step(f"undo_{name}", APART, undo=[name])
        off = [line for line in self.lines if self.comes_off(line)]
        for line in off:
            self.step(f"off_{line}", APART, disconnect=[line])
        for part in self.removed:
            self.step(f"out_{part}", APART, remove=[part], **self.passengers(part))
        self.work(off)
        if self.whole:
            self.put_together(off)
        self.end_facts()

    def passengers(self, part: str) -> dict[str, list[str]]:
        along = [other for other, base in self.carrier.items() if base == part]
        return {"with": along} if along else {}

    def make_facts(self) -> None:
        for name in self.facts:
            earlier = [other[len("make_") :] for other in self.steps if other.startswith("make_")]
            needs = {"needs": self.some(earlier)} if earlier and self.chance(50) else {}
            self.step(f"make_{name}", MAKE_SAFE, **{self.random.choice(["makes", "prove"]): [name]}, **needs)
        if self.chance(25):
            self.facts["running"] = {"text": "It runs", "at_start": True}
            self.step("stop", MAKE_SAFE, ends=["running"])
            read = {"before": ["stop"], "because": "It must still run"} if self.whole else {}
            self.step("read", MAKE_SAFE, needs=["running"], **read)

    def work(self, off: list[str]) -> None:
        bare = [
            p
            for p in self.parts
            if not any(p in self.touches(other) for other in self.parts if other not in self.removed)
        ]
        within_reach = [*self.removed, *self.undone, *off, *bare]
        for thing in self.some(dict.fromkeys(within_reach), 3) if within_reach else ():
            if self.chance(40):
                self.step(f"clean_{thing}", AT_BENCH, clean=[thing])
            verb = self.random.choice(["inspect", "measure", "lubricate"])
            if self.chance(60):
                self.step(f"{verb}_{thing}", AT_BENCH, **{verb: [thing]})

    def put_together(self, off: list[str]) -> None:
        for thing in (*self.removed, *self.undone):
            if "renew" in {**self.parts, **self.fasteners}[thing]:
                self.step(f"renew_{thing}", AT_BENCH, renew=[thing])
        for part in reversed(self.removed):
            self.step(f"in_{part}", TOGETHER, install=[part], **self.passengers(part))
        for name in self.undone:
            self.step(f"tighten_{name}", TOGETHER, tighten=[name])
            if "locking" in self.fasteners[name]:
                self.step(f"lock_{name}", TOGETHER, lock=[name])
        for line in off:
            self.step(f"on_{line}", TOGETHER, connect=[line])

    def end_facts(self) -> None:
        if "running" in self.facts and self.whole:
            self.step("start", RETURN, makes=["running"])
        guarding = {fact for energy in self.energies.values() for fact in energy["safe_when"]}
        for name in self.facts:
            if name != "running" and (self.whole or name not in guarding) and self.chance(50):
                self.step(f"end_{name}", RETURN, ends=[name])

    def merge(self) -> None:
        """Let one step do two things that belong together."""
        pairs = [
            ("undo_", "out_"),
            ("renew_", "in_"),
            ("in_", "tighten_"),
            ("off_", "undo_"),
            ("clean_", "inspect_"),
        ]
        first, second = self.random.choice(pairs)
        firsts = [name for name in self.steps if name.startswith(first)]
        seconds = [name for name in self.steps if name.startswith(second)]
        if firsts and seconds:
            one = self.random.choice(firsts)
            thing = one.partition("_")[2]
            near = [name for name in seconds if self.belong(thing, name.partition("_")[2])] or seconds[:1]
            other = self.random.choice(near)
            if not self.steps[one].keys() & self.steps[other].keys():
                self.steps[one] |= self.steps.pop(other)

    def belong(self, one: str, other: str) -> bool:
        screws = self.fasteners.get(one) or self.fasteners.get(other) or {"clamp": []}
        return one == other or bool({one, other} & set(screws["clamp"]))

    def order_in_words(self) -> None:
        for _ in range(self.random.randint(0, 2)):
            one, other = self.random.choice([*self.steps]), self.random.choice([*self.steps])
            if self.kind[one] < self.kind[other]:
                self.steps[other] |= {"after": [one], "because": "So it is asked"}

    def text(self) -> str:
        tables = {
            "facts": self.facts, "energies": self.energies, "parts": self.parts, "fasteners": self.fasteners,
            "lines": self.lines,
        }  # fmt: skip
        file: dict[str, Any] = {
            "module": "invented",
            "title": "Invented",
            "covered_task": "T-1",
            "sizes": ["S"],
        }
        file |= {name: table for name, table in tables.items() if table}
        file["steps"] = [{"id": name, "do": "Do it", **step} for name, step in self.steps.items()]
        return str(yaml.dump(file, Dumper=DUMPER, sort_keys=False, default_flow_style=None, width=200))


def invented_module(random: Random, most_parts: int = 5) -> str:
    """A procedure file for a machine of up to so many parts besides its body."""
    made = Invention(random, whole=random.randint(1, 100) <= 75)
    made.stack_parts(most_parts)
    if made.chance(50):
        made.make_units()
    made.fasten()
    made.take_apart()
    made.pin()
    made.run_lines()
    made.fill()
    made.write_steps()
    if not made.steps:
        made.step("look", AT_BENCH)
    if made.chance(40):
        made.merge()
    made.order_in_words()
    return made.text()
