"""The figures: target torque at the size, the torque of one pass, and the wrench setting with the adapter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import Number, NumberField
from trainer.drills.kind import Asked
from trainer.drills.lines import numbers_of
from trainer.drills.mark import Mark, Remark
from trainer.procedure.model import Verb
from trainer.procedure.wording import capital, form, the
from trainer.trade import torque
from trainer.trade.units import Quantity

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.procedure.model import Adapter, Caution, Fastener, Module

UNITS = ("N·m", "lbf·ft", "lbf·in")
# Half of what a click wrench in good order is allowed to be off (ISO 6789, from memory: 4 %); own choice.
TOLERANCE = 0.02


@dataclass(frozen=True)
class Figure:
    """One figure asked for: its field, the right value, and the slips that lead to other values."""

    id: str
    text: str
    right: Quantity
    slips: tuple[tuple[Quantity, str], ...]
    how: str


def offered(fastener: Fastener, size: str) -> bool:
    """Tell whether there is a target torque at the size."""
    return fastener.torque is not None and fastener.torque.at(size) is not None


def make(setting: Setting, fastener: Fastener) -> Asked:
    """Return the fields to fill in."""
    count = fastener.count.at(setting.size) or 1
    many = (
        f"{fastener.name}: {count} at {setting.size}." if count > 1 else f"{fastener.name}, {setting.size}."
    )
    wrench = _adapter_words(fastener.adapter)
    fields = tuple(
        NumberField(f.id, f.text, UNITS, numbers_of(setting.module, [fastener.id]))
        for f in _figures(setting, fastener)
    )
    return Asked(
        ask=f"Which torque for {the(fastener.name)}?",
        given=f"{many} {wrench}".strip(),
        form=Number(fields),
        cautions=_cautions(setting.module, fastener),
        guess=0.0,
    )


def key(setting: Setting, fastener: Fastener) -> Answer:
    """Return the right figures."""
    return {f.id: {"value": str(f.right.value), "unit": f.right.unit} for f in _figures(setting, fastener)}


def mark(setting: Setting, fastener: Fastener, answer: Answer) -> Mark:
    """Return the mark; a wrong torque is critical, whichever way it is wrong."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    remarks = []
    for figure in _figures(setting, fastener):
        given = answer[figure.id]
        assert isinstance(given, dict)  # noqa: S101  # the form has read it
        remarks.append(_remark(figure, Quantity.of(given["value"], given["unit"]), fastener))
    wrong = sum(not remark.right for remark in remarks)
    return Mark(
        right=wrong == 0,
        credit=1 - wrong / len(remarks),
        critical=wrong > 0,
        headline="Right: the joint gets what it needs." if not wrong else _headline(remarks),
        remarks=tuple(remarks),
    )


def _headline(remarks: list[Remark]) -> str:
    return next(remark.text.partition(". ")[0] + "." for remark in remarks if not remark.right)


def _figures(setting: Setting, fastener: Fastener) -> list[Figure]:
    assert fastener.torque is not None  # noqa: S101  # only such fasteners are asked about
    target = fastener.torque.at(setting.size)
    assert target is not None  # noqa: S101  # as above
    figures = [
        Figure(
            "target",
            f"Target torque, {setting.size}",
            target,
            _other_targets(setting, fastener),
            f"the target at {setting.size} is {target.printed()}",
        )
    ]
    steps = [
        (number, p.percent)
        for number, p in enumerate(fastener.passes, start=1)
        if p.percent and p.percent < 100
    ]
    if steps:
        number, percent = setting.draw("pass").choice(steps)
        figures.append(_pass_figure(fastener, target, number, percent))
    if fastener.adapter:
        figures.append(_wrench_figure(fastener.adapter, target))
    return figures


def _other_targets(setting: Setting, fastener: Fastener) -> tuple[tuple[Quantity, str], ...]:
    slips = []
    assert fastener.torque is not None  # noqa: S101  # as above
    for size in setting.module.sizes:
        other = fastener.torque.at(size)
        if size != setting.size and other is not None:
            slips.append((other, f"that is the figure for {size}"))
    for another in setting.module.fasteners.values():
        value = another.torque.at(setting.size) if another.torque else None
        if another.id != fastener.id and value is not None:
            slips.append((value, f"that is the figure for {the(another.name)}"))
    return tuple(slips)


def _pass_figure(fastener: Fastener, target: Quantity, number: int, percent: int) -> Figure:
    right = torque.pass_target(target, percent)
    slips = [(target, "that is the full target, not the pass")]
    slips += [
        (torque.pass_target(target, p.percent), f"that is pass {n}, {p.percent} %")
        for n, p in enumerate(fastener.passes, start=1)
        if p.percent and p.percent not in (percent, 100)
    ]
    text = f"Pass {number} of {len(fastener.passes)}"
    return Figure(
        "pass",
        text,
        right,
        tuple(slips),
        f"pass {number} is {percent} % of {target.printed()}, {right.printed()}",
    )


def _wrench_figure(adapter: Adapter, target: Quantity) -> Figure:
    angle = _degrees(adapter)
    right = torque.wrench_setting(target, adapter.wrench, adapter.offset, angle)
    backwards = torque.applied_torque(target, adapter.wrench, adapter.offset, angle)
    in_line = torque.wrench_setting(target, adapter.wrench, adapter.offset, 0)
    how = (
        f"set {right.printed(3)}: target × L / (L + E cos α) with L = {adapter.wrench.printed()}, "
        f"E = {adapter.offset.printed()}, α = {angle:g}°"
    )
    slips = (
        (backwards, "that takes the adapter the wrong way"),
        (target, "that leaves the adapter out"),
        (in_line, "that takes the adapter as in line"),
    )
    return Figure("setting", "Wrench setting for the last pass, with the adapter", right, slips, how)


def _degrees(adapter: Adapter) -> float:
    return float(adapter.angle.to("°").value) if adapter.angle else 0.0


def _adapter_words(adapter: Adapter | None) -> str:
    if adapter is None:
        return ""
    angle = _degrees(adapter)
    how = "in line with the handle" if angle == 0 else f"at {angle:g}° to the handle, 0° being in line"
    return f"An adapter of {adapter.offset.printed()} sits {how} on a wrench of {adapter.wrench.printed()}."


def _remark(figure: Figure, given: Quantity, fastener: Fastener) -> Remark:
    if _near(given, figure.right):
        return Remark(figure.id, f"{capital(figure.how)}.", right=True)
    slip = _unit_slip(figure.right, given)
    if not slip:
        slip = next((words for value, words in figure.slips if _near(given, value)), "")
    if not slip:
        slip = _too_much_or_little(given, figure.right, fastener)
    return Remark(figure.id, f"{given.printed()}: {slip}. {capital(figure.how)}.")


def _near(given: Quantity, right: Quantity) -> bool:
    return abs(given.si - right.si) <= TOLERANCE * abs(right.si)


def _unit_slip(right: Quantity, given: Quantity) -> str:
    """Return the unit in which the given number would have been right, in words; empty when there is none."""
    for unit in UNITS:
        if unit != given.unit and _near(Quantity(given.value, unit), right):
            return f"that is the figure in {unit}"
    return ""


def _too_much_or_little(given: Quantity, right: Quantity, fastener: Fastener) -> str:
    if given.si > right.si:
        return f"too much; {the(fastener.name)} {form(fastener.name, 'stretches', 'stretch')} or the thread strips"
    return "too little; the joint is not clamped and leaks"


def _cautions(module: Module, fastener: Fastener) -> tuple[Caution, ...]:
    names = dict.fromkeys(
        name
        for step in module.steps.values()
        if fastener.id in step.on(Verb.TIGHTEN)
        for name in step.cautions
    )
    return tuple(module.cautions[name] for name in names if name in module.cautions)
