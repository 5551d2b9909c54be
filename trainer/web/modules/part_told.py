"""What there is to know of one item, in plain words: from the procedure, in the order in which a hand asks for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions.actor import NotFound
from trainer.procedure.model import Renewal
from trainer.procedure.way_round import right_way
from trainer.procedure.wording import capital, full_stop, listed
from trainer.web.modules.contents import torque_at

if TYPE_CHECKING:
    from trainer.procedure.model import Caution, Fastener, Judgement, Module, Part

_RENEW = {
    Renewal.ALWAYS: "always, whenever it was disturbed",
    Renewal.ON_CONDITION: "on condition",
    Renewal.KEEP: "no",
}


@dataclass(frozen=True)
class PartTold:
    """One item: its name, (label, text) rows, cautions of the steps that handle it, and those steps by number.

    `steps` are (number, what is done, id of the step before, "" for the first one).
    """

    id: str
    number: int
    name: str
    rows: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]
    steps: tuple[tuple[int, str, str], ...]

    @property
    def sentence(self) -> str:
        """The item in one sentence, as a screen reader says it when it is chosen."""
        facts = "; ".join(f"{label.lower()}: {text}" for label, text in self.rows[:3])
        return f"Item {self.number}, {self.name}. {capital(full_stop(facts))}"


def part_told(module: Module, thing: str, size: str, leading_torque: str) -> PartTold:
    """Return what there is to know of a part or set of fasteners at a size.

    Args:
        module: the procedure.
        thing: the id of a part or set of fasteners.
        size: the size.
        leading_torque: the torque unit that stands first.

    Raises:
        NotFound: the procedure has no such item.
    """
    numbers = module.item_numbers()
    if thing not in numbers:
        raise NotFound("item", thing)
    part, fastener = module.parts.get(thing), module.fasteners.get(thing)
    if part is not None:
        rows = _part_rows(module, part, size)
    else:
        rows = _fastener_rows(module, module.fasteners[thing], size, leading_torque)
    order = list(module.steps.values())
    handled = [n for n, step in enumerate(order) if thing in (*step.targets, *step.along)]
    names = dict.fromkeys(name for n in handled for name in order[n].cautions)
    cautions = [module.cautions[name] for name in names if name in module.cautions]
    return PartTold(
        id=thing,
        number=numbers[thing],
        name=part.name if part is not None else fastener.name if fastener is not None else thing,
        rows=tuple((label, text) for label, text in rows if text),
        cautions=tuple(sorted(cautions, key=lambda caution: caution.signal.rank)),
        steps=tuple((n + 1, order[n].do, order[n - 1].id if n else "") for n in handled),
    )


def _part_rows(module: Module, part: Part, size: str) -> list[tuple[str, str]]:
    mass = part.mass.at(size or None) if part.mass else None
    way = part.way_round
    goes = "" if way is None else "either way will do" if way.either else right_way(module, way)
    return [
        ("Material", part.material),
        ("Renew", _renew(part.renew, part.kit)),
        ("Way round", goes),
        ("The other way", way.turned if way is not None and not way.either else ""),
        *_judged(part.judged, size),
        ("Quantity", _count(part.count.at(size or None))),
        (
            "Mass",
            f"{mass.printed()} each"
            if mass and (part.count.at(size or None) or 1) > 1
            else mass.printed()
            if mass
            else "",
        ),
        ("Lift", part.lift),
        ("Sits on", listed([module.name(other) for other in part.rests_on])),
        ("Locks", listed([module.name(other) for other in part.locks])),
    ]


def _fastener_rows(
    module: Module, fastener: Fastener, size: str, leading_torque: str
) -> list[tuple[str, str]]:
    torque, how = torque_at(fastener, size, leading_torque)
    return [
        ("Torque", torque),
        ("How", how),
        ("Thread", (fastener.thread.at(size or None) if fastener.thread else None) or ""),
        ("Renew", _renew(fastener.renew, fastener.kit)),
        *_judged(fastener.judged, size),
        ("Quantity", _count(fastener.count.at(size or None))),
        ("Holds", listed([module.name(other) for other in fastener.clamps])),
    ]


def _renew(rule: Renewal, kit: str) -> str:
    return f"{_RENEW[rule]}; from the kit: {kit}" if kit else _RENEW[rule]


def _count(number: int | None) -> str:
    return str(number) if number else ""


def _judged(judged: Judgement | None, size: str) -> list[tuple[str, str]]:
    if judged is None:
        return []
    least = judged.at_least.at(size or None) if judged.at_least else None
    most = judged.at_most.at(size or None) if judged.at_most else None
    limits = [f"at least {least.printed()}" if least else "", f"at most {most.printed()}" if most else ""]
    measured = f"{judged.measure}: {' and '.join(filter(None, limits))}" if judged.measure else ""
    return [
        ("Measure", measured),
        ("Keep it with", "; ".join(judged.sound)),
        ("Not with", "; ".join(judged.unsound)),
    ]
