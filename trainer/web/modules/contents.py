"""A procedure laid out for reading: numbered steps, a parts list and a torque table in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from trainer.procedure.model import Renewal
from trainer.trade.castle_nut import Rule as CastleRule
from trainer.trade.units import THIN_SPACE

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from trainer.procedure.model import BySize, Caution, Fastener, Module, Part, Pass, Step
    from trainer.trade.units import Quantity


T = TypeVar("T")


@dataclass(frozen=True)
class StepShown:
    """One step: the cautions that are read before it, then what is done."""

    number: int
    items: str
    do: str
    note: str
    tools: str
    record: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class PhaseShown:
    """A stretch of the job under its heading."""

    title: str
    steps: tuple[StepShown, ...]


@dataclass(frozen=True)
class ItemShown:
    """A line of the parts list; `renew` is "always", "on condition" or ""."""

    item: int
    name: str
    count: str
    mass: str
    renew: str
    kit: str
    lift: str


@dataclass(frozen=True)
class TorqueShown:
    """A line of the torque table: one text a size."""

    item: int
    name: str
    by_size: tuple[str, ...]
    how: str


@dataclass(frozen=True)
class Contents:
    """A whole procedure laid out."""

    phases: tuple[PhaseShown, ...]
    items: tuple[ItemShown, ...]
    torques: tuple[TorqueShown, ...]
    tools: tuple[str, ...]


_RENEW = {Renewal.ALWAYS: "always", Renewal.ON_CONDITION: "on condition", Renewal.KEEP: ""}
_CASTLE = {
    CastleRule.NEXT_SLOT: "then on to the next slot",
    CastleRule.BACK_OFF: "then back to the last slot",
    CastleRule.ONE_FURTHER: "then one slot further",
}
_TORQUE_UNITS = ("N·m", "lbf·ft")


def contents(module: Module, tools: Mapping[str, str], leading_torque: str) -> Contents:
    """Return the procedure laid out; steps without a phase stand under no heading."""
    items = module.item_numbers()
    numbered = list(enumerate(module.steps.values(), start=1))
    phases = []
    for phase in dict.fromkeys(step.phase for step in module.steps.values()):
        title = module.phases[phase].title if phase in module.phases else ""
        steps = [_step(n, step, module, items, tools) for n, step in numbered if step.phase == phase]
        phases.append(PhaseShown(title, tuple(steps)))
    used = dict.fromkeys(tool for step in module.steps.values() for tool in step.tools)
    return Contents(
        phases=tuple(phases),
        items=tuple(
            [_part(part, items[part.id], module.sizes) for part in module.parts.values()]
            + [_set(fastener, items[fastener.id], module.sizes) for fastener in module.fasteners.values()]
        ),
        torques=tuple(
            _torque(fastener, items[fastener.id], module.sizes, leading_torque)
            for fastener in module.fasteners.values()
            if fastener.torque is not None or fastener.hand_tight
        ),
        tools=tuple(tools.get(tool, tool) for tool in used),
    )


def _step(
    number: int, step: Step, module: Module, items: Mapping[str, int], tools: Mapping[str, str]
) -> StepShown:
    return StepShown(
        number=number,
        items=runs(items[target] for target in (*step.targets, *step.along) if target in items),
        do=step.do,
        note=step.note,
        tools=", ".join(tools.get(tool, tool) for tool in step.tools),
        record=step.record,
        cautions=tuple(module.cautions[name] for name in step.cautions if name in module.cautions),
    )


def runs(numbers: Iterable[int]) -> str:
    """Return item numbers with neighbours drawn together: "4, 10 to 12"."""
    texts: list[str] = []
    held = sorted(set(numbers))
    while held:
        end = 1
        while end < len(held) and held[end] == held[end - 1] + 1:
            end += 1
        run, held = held[:end], held[end:]
        texts.append(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)))
    return ", ".join(texts)


def _part(part: Part, item: int, sizes: tuple[str, ...]) -> ItemShown:
    mass = _by_size(part.mass, sizes, lambda quantity: quantity.printed())
    return ItemShown(
        item, part.name, _by_size(part.count, sizes, str), mass, _RENEW[part.renew], part.kit, part.lift
    )


def _set(fastener: Fastener, item: int, sizes: tuple[str, ...]) -> ItemShown:
    thread = _by_size(fastener.thread, sizes, str).replace("\n", ", ")
    name = f"{fastener.name}, {thread}" if thread else fastener.name
    return ItemShown(
        item, name, _by_size(fastener.count, sizes, str), "", _RENEW[fastener.renew], fastener.kit, ""
    )


def _by_size(value: BySize[T] | None, sizes: tuple[str, ...], show: Callable[[T], str]) -> str:
    """Return one text when all sizes are alike, else a line a size."""
    if value is None:
        return ""
    each = [(size, value.at(size)) for size in sizes or ("",)]
    texts = [(size, show(one)) for size, one in each if one is not None]
    if len({text for _, text in texts}) <= 1:
        return texts[0][1] if texts else ""
    return "\n".join(f"{size}: {text}" for size, text in texts)


def _torque(fastener: Fastener, item: int, sizes: tuple[str, ...], leading: str) -> TorqueShown:
    cells = tuple(_torque_at(fastener, size, leading) for size in sizes or ("",))
    return TorqueShown(item, fastener.name, cells, _how(fastener))


def torque_at(fastener: Fastener, size: str, leading: str) -> tuple[str, str]:
    """Return the torque of a set of fasteners at a size, and how it is tightened and locked; "" where nothing is said."""
    said = fastener.torque is not None or fastener.hand_tight
    return (_torque_at(fastener, size, leading) if said else ""), _how(fastener)


def _torque_at(fastener: Fastener, size: str, leading: str) -> str:
    torque = fastener.torque.at(size or None) if fastener.torque else None
    if torque is None:
        return "hand tight" if fastener.hand_tight else "–"
    castle = fastener.castle
    most = castle.torque_max.at(size or None) if castle and castle.torque_max else None
    first = leading if leading in _TORQUE_UNITS else _TORQUE_UNITS[0]
    second = _TORQUE_UNITS[1 - _TORQUE_UNITS.index(first)]
    return f"{_span(torque, most, first)} ({_span(torque, most, second)})"


def _span(least: Quantity, most: Quantity | None, unit: str) -> str:
    """Return one torque, or "30 to 38 N·m", each to three figures at least."""
    low = _in(least, unit)
    return low if most is None else f"{low.removesuffix(THIN_SPACE + unit)} to {_in(most, unit)}"


def _in(torque: Quantity, unit: str) -> str:
    return torque.printed() if torque.unit == unit else torque.to(unit).rounded(3).printed()


def _how(fastener: Fastener) -> str:
    words = []
    if fastener.passes:
        words.append("passes " + ", ".join(_pass(one) for one in fastener.passes))
    if fastener.pattern:
        words.append(f"{fastener.pattern.value} pattern")
    if fastener.castle:
        words.append(_CASTLE[fastener.castle.rule])
    if fastener.locking:
        words.append(fastener.locking)
    return "; ".join(words)


def _pass(one: Pass) -> str:
    return "round" if one.is_round else f"{one.percent} %"
