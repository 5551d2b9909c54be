"""What the sheets of one job share: title block, item numbers, what is renewed, torque in words."""

from __future__ import annotations

import html
import re
from dataclasses import dataclass
from datetime import UTC, datetime, time
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from trainer.drawing import VIEWS
from trainer.drawing.paper import on_paper
from trainer.errors import TrainerError
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import NOTHING, pieces, short_revision
from trainer.procedure import tightening
from trainer.procedure.model import Pattern, Renewal, SameRevision, Verb
from trainer.procedure.way_round import right_way
from trainer.procedure.wording import full_stop, in_sentence
from trainer.trade.bolt_pattern import NoCrossPattern
from trainer.trade.castle_nut import Rule as CastleRule
from trainer.trade.torque import WrenchTooShort, pass_target, wrench_setting
from trainer.trade.units import Dimension

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.exports.packets import JobCardPacket
    from trainer.procedure.model import BySize, Fastener, Module, Part, Step
    from trainer.trade.units import Quantity

# The width in px that the section is drawn for: at half a sheet's width its numbers come out at 8 pt.
_SECTION = 360
# That of a station, which runs across the sheet: at its whole width the tags come out at 8 pt.
_STATION = 880
_SIZE = re.compile(r'width="([0-9.]+)" height="([0-9.]+)"')
INVENTED = "All values on this sheet are invented practice values for an invented machine; no real one is set by them."

_RULES = {
    CastleRule.NEXT_SLOT: "on to the next slot",
    CastleRule.BACK_OFF: "back to the last slot",
    CastleRule.ONE_FURTHER: "one slot further",
}


@dataclass(frozen=True)
class Drawn:
    """A drawing for the papers: the SVG, its height by its width, and what it shows, read aloud in its place.

    `caption` stands below it; `across` is whether it takes the whole width of the sheet.
    """

    svg: str
    aspect: float
    told: str
    caption: str
    across: bool

    def as_data(self) -> dict[str, Any]:
        """Return what a template needs to place it."""
        return {"aspect": self.aspect, "told": self.told, "caption": self.caption, "across": self.across}


@lru_cache(maxsize=16)
def _drawn(keyed: SameRevision, size: str, view: str) -> Drawn | None:
    across = view == "station"
    try:
        svg = VIEWS[view].draw(keyed.module, size or None, _STATION if across else _SECTION)
    except TrainerError:
        return None
    width, height = next((float(w), float(h)) for w, h in _SIZE.findall(svg))
    told = next(html.unescape(found) for found in re.findall(r"<desc[^>]*>([^<]*)</desc>", svg))
    if across:
        caption, told = "The station in service, before the first step.", f"Station in service. {told}"
    else:
        of_size = f", {unbroken(size)}" if size else ""
        caption, told = f"Section{of_size}.", f"Section with item numbers. {told}"
    return Drawn(on_paper(svg), height / width, told, f"{caption} Not to scale.", across)


def seen(module: Module, size: str) -> Drawn | None:
    """Return what the job is about: the section of a machine with its item numbers, else the station in service.

    None when the module gives neither shapes nor a station.
    """
    if not (module.geometry or module.station):
        return None
    return _drawn(SameRevision(module), size, "section" if module.geometry else "station")


def title_block(packet: JobCardPacket, kind: str) -> TitleBlock:
    """Return the title block of a sheet of this kind; the job number is left for the pen."""
    module = packet.module
    return TitleBlock(
        legal_owner=packet.company,
        title=f"{module.title}, {unbroken(packet.size)}",
        subtitle=f"Covered task {module.covered_task}" if module.covered_task else "",
        number=module.document or NOTHING,
        type=kind,
        revision=short_revision(module.revision),
        issued_by=packet.issued_by,
        approved_by=packet.approved_by,
        subject_label="Plant item",
        subject=packet.plant_item,
        extra_label="Job number",
        date=packet.issued_on,
    )


def issued_at(packet: JobCardPacket) -> datetime:
    """Return the moment that the sheets of the job are dated by: the start of the day of issue, UTC."""
    return datetime.combine(packet.issued_on, time(), tzinfo=UTC)


def told_of_values(module: Module) -> tuple[str, ...]:
    """Return what a sheet must say of its values: that they are invented, when the procedure says so."""
    return (INVENTED,) if "invented" in module.summary.casefold() else ()


def unbroken(size: str) -> str:
    """Return a size that stays on one line: `DN 80` with a no-break space."""
    return size.replace(" ", "\u00a0")


def item_ranges(numbers: Iterable[int]) -> str:
    """Return item numbers as a card has them: `5, 7 to 9`; two neighbours stay `7, 8`."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(str(number) for number in run) for run in runs
    )


def things(module: Module) -> Mapping[str, Part | Fastener]:
    """Return all that has an item number, in the order of the numbers."""
    return {**module.parts, **module.fasteners}


def quantity(count: BySize[int], size: str) -> str:
    """Return how many there are at a size; a dash where the procedure does not say."""
    value = count.at(size)
    return NOTHING if value is None else str(value)


def disturbed(packet: JobCardPacket) -> frozenset[str]:
    """Return what the job takes hold of: what its steps act on, what comes along, and what a removed part rests on.

    The last counts because a gasket under a lifted cover is disturbed whether or not a step names it.
    """
    module, reached = packet.module, set[str]()
    for step in packet.steps:
        reached.update(step.targets, step.along)
        for part in step.on(Verb.REMOVE):
            if part in module.parts:
                reached.update(module.parts[part].rests_on)
    return frozenset(reached)


def renewed(packet: JobCardPacket, renewal: Renewal) -> list[str]:
    """Return what this job disturbs and its procedure renews in that way, in the order of item numbers."""
    reached = disturbed(packet)
    return [
        name for name, thing in things(packet.module).items() if thing.renew is renewal and name in reached
    ]


def torque_words(fastener: Fastener, size: str) -> tuple[str, str]:
    """Return the torque of a fastener at a size, in N·m and in lbf·ft."""
    torque = fastener.torque.at(size) if fastener.torque else None
    if torque is None:
        return ("hand tight" if fastener.hand_tight else NOTHING, "")
    if torque.dimension is not Dimension.TORQUE:
        return (torque.printed(), "")
    return (torque.to("N·m").printed(), torque.to("lbf·ft").printed(3))


def tightening_words(fastener: Fastener, size: str) -> list[str]:
    """Return how a fastener is tightened at a size: passes, order, castle nut, adapter, locking; a line each."""
    torque = fastener.torque.at(size) if fastener.torque else None
    if torque is not None and torque.dimension is not Dimension.TORQUE:
        torque = None
    lines = [_passes(fastener, torque), _order(fastener, size), _castle(fastener, size)]
    lines += [_adapter(fastener, torque), f"Locked by {fastener.locking}" if fastener.locking else ""]
    return [line for line in lines if line]


def _passes(fastener: Fastener, torque: Quantity | None) -> str:
    if not fastener.passes:
        return ""
    parts = []
    for each in fastener.passes:
        if each.percent is None:
            parts.append("round and round at full torque until none turns")
        else:
            target = f" {pass_target(torque, each.percent).printed()}" if torque else ""
            parts.append(f"{each.percent}\u202f%{target}")
    return "Passes: " + ", then ".join(parts)


def _order(fastener: Fastener, size: str) -> str:
    order = tightening.prescribed(fastener, size)
    if not order and fastener.pattern is Pattern.CROSS:
        try:
            order = tightening.order_of(fastener, size)
        except NoCrossPattern:
            return "Order: crosswise"
    if not order:
        return "Order: one after the other, round" if fastener.pattern is Pattern.ROUND else ""
    return "Order: " + "-".join(str(bolt) for bolt in order)


def _castle(fastener: Fastener, size: str) -> str:
    castle = fastener.castle
    if castle is None:
        return ""
    limit = castle.torque_max.at(size) if castle.torque_max else None
    words = f"Castle nut, {castle.slots} slots: when hole and slot do not meet, {_RULES[castle.rule]}"
    return f"{words}, never above {limit.printed()}" if limit else words


def _adapter(fastener: Fastener, torque: Quantity | None) -> str:
    adapter = fastener.adapter
    if adapter is None:
        return ""
    degrees = float(adapter.angle.to("°").value) if adapter.angle else 0.0
    words = f"Adapter {adapter.offset.printed()} on wrench {adapter.wrench.printed()}"
    if degrees:
        words += f" at {degrees:g}°"
    if torque is None:
        return words
    try:
        setting = wrench_setting(torque, adapter.wrench, adapter.offset, degrees)
    except WrenchTooShort as problem:
        return str(problem)
    return f"{words}: set the wrench to {setting.printed(3)}"


def caution_rows(module: Module, step: Step) -> list[dict[str, Any]]:
    """Return the cautions of a step as rows of a card, worst first."""
    known = [module.cautions[name] for name in step.cautions if name in module.cautions]
    return [
        {"kind": "caution", "signal": caution.signal.value, "text": piece}
        for caution in sorted(known, key=lambda caution: caution.signal.rank)
        for piece in pieces(caution.text)
    ]


def handling(module: Module, step: Step, size: str) -> tuple[str, ...]:
    """Return what the step's parts ask for: which way round they go in, and how a heavy one is lifted."""
    installed = [module.parts[name] for name in step.on(Verb.INSTALL) if name in module.parts]
    sentences = [
        f"{part.name}: {right_way(module, part.way_round)}."
        for part in installed
        if part.way_round is not None and not part.way_round.either
    ]
    moved = dict.fromkeys((*step.on(Verb.REMOVE), *step.on(Verb.INSTALL)))
    for part in (module.parts[name] for name in moved if name in module.parts):
        mass = part.mass.at(size) if part.mass else None
        if part.lift and mass is not None:
            sentences.append(f"{part.name}, {mass.printed()}: {in_sentence(full_stop(part.lift))}")
    return tuple(sentences)
