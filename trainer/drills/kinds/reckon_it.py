"""Reckon it: numbers with units and a tolerance, worked out from what is given.

A wrong number is looked up among the slips of the trade and named: another unit, another size, another of the values
in question, a diameter taken for a radius, gauge taken for absolute, the point in the wrong place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills.answer_forms import Number, NumberField
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Mark, Remark
from trainer.errors import TrainerError
from trainer.procedure.wording import capital
from trainer.trade.reckon import reckon, reckoning_named
from trainer.trade.units import Dimension, Quantity, unit_named

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.procedure.model import Figure
    from trainer.procedure.window import Procedure

KIND = "reckon-it"
TITLE = "Reckon it"

FIGURES = 2
_AIR = Quantity.of("1.01325", "bar(d)")


@dataclass(frozen=True)
class Asking:
    """One figure as asked: its field, the values given, the right answer, and whose figure it is."""

    field: NumberField
    figure: Figure
    given: Mapping[str, str]
    right: Quantity


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the module has figures to be reckoned."""
    if not procedure.module.figures:
        return ()
    return (Skill(KIND, "forces, pressures and torques, reckoned", KIND),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else "Add `figures`: what is given, and the computation that answers."


def make(setting: Setting) -> Asked:
    """Return one or two figures to fill in."""
    fields = tuple(asking.field for asking in _problem(setting))
    return Asked(
        ask="Reckon it.",
        given=f"{setting.size}. A figure within a few percent will do; mind the unit.",
        form=Number(fields),
    )


def key(setting: Setting) -> Answer:
    """Return the right figures."""
    return {
        a.field.id: {"value": str(a.right.rounded(4).value), "unit": a.right.unit} for a in _problem(setting)
    }


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark; a wrong figure is told with the slip that leads to it."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    remarks = []
    for asking in _problem(setting):
        given = answer[asking.field.id]
        assert isinstance(given, dict)  # noqa: S101  # the form has read it
        remarks.append(_remark(setting, asking, Quantity.of(given["value"], given["unit"])))
    wrong = [remark for remark in remarks if not remark.right]
    return Mark(
        right=not wrong,
        credit=1 - len(wrong) / len(remarks),
        critical=False,
        headline="Right." if not wrong else wrong[0].text.partition(". ")[0] + ".",
        remarks=tuple(remarks),
    )


def values(figure: Figure, size: str) -> dict[str, tuple[str, ...]]:
    """Return what may be given for each input at a size."""
    return {name: value.at(size) or () for name, value in figure.given.items()}


def result(figure: Figure, given: Mapping[str, str]) -> Quantity:
    """Return what the figure's computation makes of given values, in the first of its units.

    Raises:
        TrainerError: the computation refuses, or its result is no quantity of that unit.
    """
    return worked_out(figure.by, figure.units[0], given)


def worked_out(by: str, unit: str, given: Mapping[str, str]) -> Quantity:
    """Return what a computation makes of given values, in a unit.

    Raises:
        TrainerError: the computation refuses, or its result is no quantity of that unit.
    """
    made = reckon(by, given)
    if not isinstance(made.value, float | int):
        raise NoQuantity(by)
    return Quantity.of(made.value, made.unit).to(unit)


class NoQuantity(TrainerError):
    """A computation gives words or a list where one number with a unit is wanted."""

    def __init__(self, name: str) -> None:
        super().__init__(f"'{name}' does not give one number with a unit.")


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[Asking, ...]:
    draw = setting.draw()
    figures = list(setting.module.figures.values())
    chosen = draw.sample(figures, min(FIGURES, len(figures)))
    made = []
    for letter, figure in zip(letters(len(chosen)), chosen, strict=True):
        given = {name: draw.choice(texts) for name, texts in values(figure, setting.size).items()}
        text = figure.ask
        for name, value in given.items():
            text = text.replace(f"{{{name}}}", _printed(value))
        made.append(Asking(NumberField(letter, text, figure.units), figure, given, result(figure, given)))
    return tuple(made)


def _printed(text: str) -> str:
    try:
        return Quantity.parse(text).printed()
    except TrainerError:
        return text


def _remark(setting: Setting, asking: Asking, given: Quantity) -> Remark:
    reckoning = reckoning_named(asking.figure.by)
    how = f"{asking.right.printed(3)}: {reckoning.formula}"
    if _near(asking, given, asking.right):
        return Remark(asking.field.id, f"{capital(how)}.", right=True)
    slip = _unit_slip(asking, given) or _named_slip(setting, asking, given) or _point_slip(asking, given)
    if not slip:
        slip = "too much" if given.si > asking.right.si else "too little"
    return Remark(asking.field.id, f"{given.printed()}: {slip}. {capital(how)}.")


def _near(asking: Asking, given: Quantity, value: Quantity) -> bool:
    return abs(given.si - value.si) <= asking.figure.within / 100 * abs(value.si)


def _unit_slip(asking: Asking, given: Quantity) -> str:
    """Return the unit in which the given number would have been right, in words; empty when there is none."""
    for unit in _units_near(asking):
        if unit != given.unit and _near(asking, Quantity(given.value, unit), asking.right):
            return f"that is the figure in {unit}"
    return ""


def _units_near(asking: Asking) -> tuple[str, ...]:
    """Return the units offered and those that the trade mixes up with them."""
    usual = {
        Dimension.TORQUE: ("N·m", "lbf·ft", "lbf·in"),
        Dimension.FORCE: ("N", "kN", "lbf"),
        Dimension.GAUGE: ("bar", "mbar", "kPa", "psi"),
        Dimension.ABSOLUTE: ("bar(a)", "kPa(a)", "psi(a)"),
        Dimension.VOLUME: ("m³", "L", "ft³"),
    }
    names = (*asking.figure.units, *usual.get(asking.right.dimension, ()))
    return tuple(dict.fromkeys(unit_named(name).name for name in names))


def _named_slip(setting: Setting, asking: Asking, given: Quantity) -> str:
    for changed, words in _slips(setting, asking):
        try:
            value = result(asking.figure, changed)
        except TrainerError:
            continue
        if not _near(asking, value, asking.right) and _near(asking, given, value):
            return words
    return ""


def _slips(setting: Setting, asking: Asking) -> Iterator[tuple[Mapping[str, str], str]]:
    """Yield what was taken instead of what is given, and how that is called."""
    given = asking.given
    for size in setting.module.sizes:
        if size != setting.size:
            wrong = {
                name: _same_place(asking.figure, name, given[name], setting.size, size) for name in given
            }
            yield wrong, f"that is the figure for {size}"
            for name, text in wrong.items():
                if text != given[name]:
                    yield {**given, name: text}, f"that takes the {_spoken(name)} of {size}"
    for name, texts in values(asking.figure, setting.size).items():
        for text in texts:
            if text != given[name]:
                yield {**given, name: text}, f"that is the figure for {_printed(text)}"
    for name, text in given.items():
        yield from _misread(given, name, text)


def _same_place(figure: Figure, name: str, text: str, size: str, other: str) -> str:
    """Return the value of another size that stands where this one stands."""
    here, there = figure.given[name].at(size) or (), figure.given[name].at(other) or ()
    place = here.index(text)
    return there[place] if place < len(there) else text


def _misread(given: Mapping[str, str], name: str, text: str) -> Iterator[tuple[Mapping[str, str], str]]:
    try:
        value = Quantity.parse(text)
    except TrainerError:
        return
    if "diameter" in name:
        yield {**given, name: str(value.scaled(2))}, "that takes the diameter for the radius"
        yield {**given, name: str(value.scaled(0.5))}, "that takes the radius for the diameter"
    if value.dimension is Dimension.GAUGE:
        yield {**given, name: f"{value.value} {value.unit}(a)"}, "that takes the gauge reading for absolute"
        more = value.to("bar").value + _AIR.value
        yield {**given, name: f"{more} bar"}, "that adds the pressure of the air"
        yield {**given, name: f"{value.to('bar').value - _AIR.value} bar"}, "that takes the air off once more"


def _point_slip(asking: Asking, given: Quantity) -> str:
    for places, words in ((1, "one place"), (2, "two places"), (3, "three places")):
        for factor in (10**places, 10**-places):
            if _near(asking, given, asking.right.scaled(float(factor))):
                return f"the point stands {words} off"
    return ""


def _spoken(name: str) -> str:
    return name.replace("_", " ")
