"""What each verb needs before it can be done, and why: one function a verb."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.conditions import Aspect, Need, need
from trainer.procedure.model import Hazard, Verb
from trainer.procedure.wording import Thing, full_stop, in_sentence

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from trainer.procedure.model import Energy
    from trainer.procedure.structure import Structure

_AGAIN = "All of it comes off again"


def needs_of(verb: Verb, name: str, built: Structure) -> Iterator[Need]:
    """Yield what a verb needs to be done to a thing that the module defines."""
    if verb in _OF_VERB:
        yield from _OF_VERB[verb](name, built)
    else:
        yield from _work_on(verb, name, built)


def needs_of_return(energy: Energy, built: Structure) -> Iterator[Need]:
    """Yield what must be closed before an energy comes back: everything that holds it in."""
    module = built.module

    def closed(aspect: Aspect, name: str, what: str) -> Need:
        why = f"{built.thing(name)} must be {what} before {Thing(energy.name)} comes back"
        return need(aspect, name, True, why, happens=built.what_happens(energy), signal=energy.signal)

    for part in module.parts.values():
        if energy.id in part.contains:
            yield closed(Aspect.IN_PLACE, part.id, "on")
            for fastener in module.fasteners.values():
                if part.id in fastener.clamps:
                    yield closed(Aspect.TIGHT, fastener.id, "tight")
    for fastener in module.fasteners.values():
        if energy.id in fastener.contains:
            yield closed(Aspect.TIGHT, fastener.id, "tight")
    for line in module.lines.values():
        if energy.id in line.contains:
            yield closed(Aspect.JOINED, line.id, "connected")


def _undo(name: str, built: Structure) -> Iterator[Need]:
    fastener = built.module.fasteners[name]
    own = Thing(fastener.name)
    yield need(Aspect.TIGHT, name, True, own.does("are", "undone already"))
    if fastener.locking:
        lock = Thing(fastener.locking)
        torn = f"{lock.does('hold', 'on')}: the thread or the lock tears"
        yield need(
            Aspect.LOCKED,
            name,
            False,
            f"{lock.does('hold', str(own))} until released",
            happens=torn,
            signal=Hazard.NOTICE,
        )
    for part in built.module.parts.values():
        if name in part.locks:
            pin = Thing(part.name)
            sheared = f"{pin.does('are', 'still in')}: turning {own} shears {pin.it} off"
            yield need(
                Aspect.IN_PLACE,
                part.id,
                False,
                f"{pin.does('lock', str(own))}: out first",
                happens=sheared,
                signal=Hazard.NOTICE,
            )
    for part_id in fastener.clamps:
        if part_id in built.module.parts:
            yield from _safe(built.module.parts[part_id].contains, own, built)
    yield from _safe(fastener.contains, own, built)
    yield from _within_reach(fastener.clamps, own, built)


def _tighten(name: str, built: Structure) -> Iterator[Need]:
    fastener = built.module.fasteners[name]
    own = Thing(fastener.name)
    bench = built.bench_of(fastener.clamps)
    yield need(Aspect.TIGHT, name, False, own.does("are", "tight already"))
    for part_id in fastener.clamps:
        if part_id in built.module.parts and part_id != bench:
            part = built.thing(part_id)
            out = f"{own} would be tightened with {part} still out"
            yield need(
                Aspect.IN_PLACE,
                built.moved_with(part_id, bench),
                True,
                f"{own.does('clamp', str(part))}: that goes in first",
                happens=out,
            )
    if built.is_always_renewed(name):
        yield _new(name, built)
    yield from _within_reach(fastener.clamps, own, built)


def _unlock(name: str, built: Structure) -> Iterator[Need]:
    yield need(Aspect.LOCKED, name, True, built.thing(name).does("are", "not locked"))


def _lock(name: str, built: Structure) -> Iterator[Need]:
    own = built.thing(name)
    yield need(Aspect.LOCKED, name, False, own.does("are", "locked already"))
    loose = f"{own} would be locked loose and work off in service"
    yield need(
        Aspect.TIGHT,
        name,
        True,
        f"{own} must be at torque before the lock is set",
        happens=loose,
        signal=Hazard.WARNING,
    )


def _remove(name: str, built: Structure) -> Iterator[Need]:
    unit = built.unit(name)
    own = built.thing(name)
    yield need(Aspect.IN_PLACE, name, True, own.does("are", "out already"))
    for part in built.above(unit):
        top = Thing(part.name)
        stuck = f"{own} cannot come out: {top} still {top.form('sit')} on {own.it}"
        goes = built.moved_with(part.id, name)
        yield need(Aspect.IN_PLACE, goes, False, f"{top.does('sit', f'on {own}')}: off first", happens=stuck)
    for part in built.around(unit):
        cover = Thing(part.name)
        hidden = f"{own} cannot be reached: {cover.does('are', 'still on')}"
        goes = built.moved_with(part.id, name)
        why = f"{cover.does('close', f'{own} in')}: off first"
        yield need(Aspect.IN_PLACE, goes, False, why, happens=hidden)
    for fastener in built.holding(name):
        screws = Thing(fastener.name)
        yield need(
            Aspect.TIGHT,
            fastener.id,
            False,
            f"{screws.does('hold', str(own))}: undone first",
            late=f"Once {screws.does('are', 'tight')}, {own} cannot come off",
            happens=f"{screws} still {screws.form('hold')} {own}: pulling bends or breaks something",
            signal=Hazard.NOTICE,
        )
    for line in built.module.lines.values():
        if unit & set(line.joins):
            tube = Thing(line.name)
            torn = f"{tube.does('are', 'torn off')} with {own}"
            yield need(
                Aspect.JOINED,
                line.id,
                False,
                f"{tube.does('are', f'fastened to {own}')}: off first",
                happens=torn,
                signal=Hazard.NOTICE,
            )
    yield from _safe(built.module.parts[name].contains, own, built)
    yield from _at_bench(name, built)


def _install(name: str, built: Structure) -> Iterator[Need]:
    part = built.module.parts[name]
    own = Thing(part.name)
    yield need(Aspect.IN_PLACE, name, False, own.does("are", "in already"))
    yield from _support(name, built)
    yield from _complete(name, built)
    for fastener in built.holding(name):
        screws = Thing(fastener.name)
        yield need(
            Aspect.TIGHT,
            fastener.id,
            False,
            f"{screws} must be off before {own} can go on",
            late=f"{own.does('go', 'on')} before {screws.does('are', 'tightened')}",
            happens=f"{screws} would be tight with {own} still out",
            signal=Hazard.NOTICE,
        )
    for locked in part.locks:
        if locked in built.module.fasteners:
            nut = built.thing(locked)
            loose = f"{nut.does('are', 'locked')} before the torque is on, and {nut.form('work')} loose in service"
            yield need(
                Aspect.TIGHT,
                locked,
                True,
                f"{nut} must be at torque before {own.does('lock', nut.it)}",
                happens=loose,
                signal=Hazard.WARNING,
            )
    if built.is_always_renewed(name):
        yield _new(name, built)
    if built.is_acted_on(Verb.CLEAN, name):
        dirt = f"Dirt goes in with {own} and cuts the seals"
        yield need(Aspect.CLEAN, name, True, own.does("go", "in clean"), happens=dirt, signal=Hazard.NOTICE)
    yield from _at_bench(name, built)


def _support(name: str, built: Structure) -> Iterator[Need]:
    """What a part sits on goes in first; a unit is built up on its base at the bench."""
    own = built.thing(name)
    for below in built.under(name):
        seat = built.thing(below)
        yield need(
            Aspect.IN_PLACE,
            built.moved_with(below, name),
            True,
            f"{own.does('sit', f'on {seat}')}: that goes in first",
            late=f"{own.does('need', f'{seat} in place')}",
            happens=f"{own.does('have', 'nothing to sit on')}: {seat.does('are', 'still out')}. {_AGAIN}",
            signal=Hazard.NOTICE,
        )


def _complete(name: str, built: Structure) -> Iterator[Need]:
    """What a part encloses or carries along is in before it."""
    own = built.thing(name)
    for inside in built.inside(name):
        core = built.thing(inside)
        gap = f"{own.does('are', 'closed over a gap')}: {core.does('are', 'still on the bench')}. {_AGAIN}"
        yield need(
            Aspect.IN_PLACE,
            built.moved_with(inside, name),
            True,
            f"{core.does('go', 'in')} before {own.does('close', core.it + ' in')}",
            happens=gap,
            signal=Hazard.NOTICE,
        )
    for member in sorted(built.unit(name) - {name}):
        piece = built.thing(member)
        why = f"{piece.does('go', f'in as one unit with {own}')}: built up at the bench first"
        yield need(
            Aspect.IN_PLACE,
            member,
            True,
            why,
            happens=f"{own.does('go', 'in')} without {piece}. {_AGAIN}",
            signal=Hazard.NOTICE,
        )


def _disconnect(name: str, built: Structure) -> Iterator[Need]:
    line = built.module.lines[name]
    yield need(Aspect.JOINED, name, True, Thing(line.name).does("are", "off already"))
    yield from _safe(line.contains, Thing(line.name), built)


def _connect(name: str, built: Structure) -> Iterator[Need]:
    line = built.module.lines[name]
    own = Thing(line.name)
    yield need(Aspect.JOINED, name, False, own.does("are", "on already"))
    for part_id in line.joins:
        if part_id in built.module.parts:
            part = built.thing(part_id)
            loose = f"{own.does('have', 'nothing to be fastened to')}: {part.does('are', 'still off')}"
            yield need(
                Aspect.IN_PLACE,
                built.moved_with(part_id),
                True,
                f"{own.does('are', f'fastened to {part}')}: that goes on first",
                happens=loose,
            )


def _work_on(verb: Verb, name: str, built: Structure) -> Iterator[Need]:
    """Cleaning, inspecting, measuring, renewing, lubricating: within reach, and clean unless it is the cleaning."""
    own = built.thing(name)
    yield from _access(verb, name, built)
    if verb is Verb.RENEW:
        if built.is_always_renewed(name) and built.is_disturbed(name):
            yield need(Aspect.SOUND, name, False, f"{own.does('are', 'renewed')} once the old one is out")
    elif verb is not Verb.CLEAN and built.is_acted_on(Verb.CLEAN, name):
        why = f"Clean {own} first: dirt hides what there is to see and spoils grease"
        dirty = f"{own.does('are', 'still dirty')}: a crack or a cut stays hidden"
        yield need(Aspect.CLEAN, name, True, why, happens=dirty, signal=Hazard.NOTICE)


def _access(verb: Verb, name: str, built: Structure) -> Iterator[Need]:
    own = built.thing(name)
    doing = _DOING[verb]

    def out_of_the_way(aspect: Aspect, obstacle: str, why: str) -> Need:
        other = own.it if obstacle == name else str(built.thing(obstacle))
        where = "out" if aspect is Aspect.IN_PLACE else "off"
        return need(
            aspect,
            obstacle,
            False,
            why,
            late=f"{own} can no longer be {doing} after that",
            happens=f"{own} cannot be {doing} yet: {other} must come {where} first",
        )

    if name in built.module.fasteners:
        yield out_of_the_way(Aspect.TIGHT, name, f"{own} must be off to be {doing}")
    elif name in built.module.lines:
        yield out_of_the_way(Aspect.JOINED, name, f"{own} must be off to be {doing}")
    elif built.is_acted_on(Verb.REMOVE, name):
        yield out_of_the_way(Aspect.IN_PLACE, name, f"{own} must be out to be {doing}")
    elif name in built.base_of:
        base = built.base_of[name]
        yield out_of_the_way(Aspect.IN_PLACE, base, f"{built.thing(base)} must be at the bench")
    else:
        for other in (*built.above({name}), *built.around({name})):
            yield out_of_the_way(
                Aspect.IN_PLACE,
                built.moved_with(other.id),
                f"{Thing(other.name).does('cover', str(own))}: off first",
            )


def _safe(energies: Iterable[str], touched: Thing, built: Structure) -> Iterator[Need]:
    """An energy is gone before anything that contains it is touched."""
    module = built.module
    for energy in (module.energies[name] for name in energies if name in module.energies):
        otherwise = f"Otherwise: {in_sentence(full_stop(energy.otherwise))}"
        for fact_id in energy.safe_when:
            if fact_id in module.facts:
                state = in_sentence(module.facts[fact_id].text)
                yield need(
                    Aspect.FACT,
                    fact_id,
                    True,
                    f"{energy.name} must be harmless before {touched.does('are', 'touched')}: {state}. {otherwise}",
                    late=f"{touched.does('are', 'touched')} only while {state}. {otherwise}",
                    happens=built.what_happens(energy),
                    signal=energy.signal,
                )


def _at_bench(name: str, built: Structure) -> Iterator[Need]:
    base = built.base_of.get(name)
    if base is not None:
        own, unit = built.thing(name), built.thing(base)
        worked = own.does("are", "worked at the bench")
        yield need(
            Aspect.IN_PLACE,
            base,
            False,
            f"{worked}: {unit.does('come', 'out first')}",
            late=f"{worked}, before {unit.does('go', 'in again')}",
            happens=f"{own} cannot be reached while {unit.does('are', 'in place')}",
        )


def _within_reach(clamped: tuple[str, ...], own: Thing, built: Structure) -> Iterator[Need]:
    """A fastener is reached at the bench when it holds a unit together, and only with its cover off."""
    bench = built.bench_of(clamped)
    if bench is not None:
        unit = built.thing(bench)
        yield need(
            Aspect.IN_PLACE,
            bench,
            False,
            f"{own} can only be reached at the bench: {unit.does('come', 'out first')}",
            late=f"{own} can no longer be reached once {unit.does('are', 'in place')}",
            happens=f"{own} cannot be reached while {unit.does('are', 'in place')}",
        )
    for part in built.module.parts.values():
        # What goes through the cover as well is reached from outside.
        if set(part.encloses) & set(clamped) and part.id not in clamped:
            cover = Thing(part.name)
            yield need(
                Aspect.IN_PLACE,
                built.moved_with(part.id, bench),
                False,
                f"{cover.does('hide', str(own))}: off first",
                late=f"{own} can no longer be reached once {cover.does('are', 'on')}",
                happens=f"{own} cannot be reached: {cover.does('are', 'still on')}",
            )


def _new(name: str, built: Structure) -> Need:
    own = built.thing(name)
    part = built.module.parts.get(name)
    spent = f"{own.does('have', 'taken a set')} and {own.form('leak')} under pressure"
    if part is not None and part.locks:
        spent = f"{own.does('have', 'been bent once')} and {own.form('break')} in service"
    why = f"{own.does('are', 'never used twice')}: new from the kit"
    happens = f"The old one goes back in: {spent}"
    return need(Aspect.SOUND, name, True, why, happens=happens, signal=Hazard.CAUTION)


_OF_VERB: dict[Verb, Callable[[str, Structure], Iterator[Need]]] = {
    Verb.UNLOCK: _unlock,
    Verb.DISCONNECT: _disconnect,
    Verb.UNDO: _undo,
    Verb.REMOVE: _remove,
    Verb.INSTALL: _install,
    Verb.CONNECT: _connect,
    Verb.TIGHTEN: _tighten,
    Verb.LOCK: _lock,
}
_DOING = {
    Verb.CLEAN: "cleaned",
    Verb.INSPECT: "inspected",
    Verb.MEASURE: "measured",
    Verb.RENEW: "renewed",
    Verb.LUBRICATE: "lubricated",
}
