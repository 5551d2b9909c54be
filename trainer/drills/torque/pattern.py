"""The pattern: in which order the bolts of a set are tightened in one pass."""

from __future__ import annotations

from fractions import Fraction
from math import factorial
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import Arrange, Line
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Mark, Remark
from trainer.drills.sketch import Shown, sketch
from trainer.procedure import tightening
from trainer.procedure.wording import the
from trainer.trade import bolt_pattern

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.procedure.model import Fastener

_FOUR = 4


def offered(fastener: Fastener, size: str) -> bool:
    """Tell whether the set is tightened crosswise, or in an order that the site prescribes."""
    return tightening.has_order(fastener, size)


def make(setting: Setting, fastener: Fastener) -> Asked:
    """Return the bolts in the order of their numbers."""
    count = fastener.count.at(setting.size) or 0
    lines = tuple(
        Line(letter, f"Number {number}", _clock(number, count))
        for number, letter in enumerate(letters(count), start=1)
    )
    rule = (
        "in the order that the procedure prescribes"
        if tightening.prescribed(fastener, setting.size)
        else "crosswise"
    )
    return Asked(
        ask=f"One pass over {the(fastener.name)}: in which order, {rule}?",
        given=f"{count} of them at {setting.size}, numbered clockwise from the top as you look down on the joint.",
        form=Arrange(lines),
        guess=float(
            Fraction(count if not tightening.prescribed(fastener, setting.size) else 1, factorial(count))
        ),
        # Tapped in order, it fills the lines; its bolts go by the names of the lines and tell no order.
        picture=sketch("bolts", part=fastener.id, controls=True, tokens=tuple(letters(count))),
    )


def key(setting: Setting, fastener: Fastener) -> Answer:
    """Return the prescribed order, or the cross pattern from number 1."""
    count = fastener.count.at(setting.size) or 0
    letter = letters(count)
    return [letter[number - 1] for number in tightening.order_of(fastener, setting.size)]


def mark(setting: Setting, fastener: Fastener, answer: Answer) -> Mark:
    """Return the mark; any cross pattern is right unless the site prescribes one order."""
    count = fastener.count.at(setting.size) or 0
    number_of = {letter: number for number, letter in enumerate(letters(count), start=1)}
    order = [number_of[letter] for letter in answer]
    position, why = _first_fault(fastener, setting.size, order)
    if not position:
        return Mark(True, 1.0, False, "Right: the joint comes down even.")
    one = "-".join(map(str, tightening.order_of(fastener, setting.size)))
    return Mark(
        right=False,
        credit=(position - 1) / count,
        critical=False,
        headline=f"From line {position} on the joint is pulled down on one side.",
        remarks=(Remark(list(answer)[position - 1], why),),
        instead=f"One order that works: {one}.",
    )


def shown(setting: Setting, fastener: Fastener, answer: Answer) -> tuple[Shown, ...]:
    """Return the four turns of an answer in which it goes wrong, beside those of an order that works."""
    count = fastener.count.at(setting.size) or 0
    number_of = {letter: number for number, letter in enumerate(letters(count), start=1)}
    order = [number_of[letter] for letter in answer]
    position, _ = _first_fault(fastener, setting.size, order)
    if not position:
        return (_seen(fastener, "Your order, its first four", order, 1),)
    group = (position - 1) // _FOUR + 1
    through = group * _FOUR
    model = tightening.order_of(fastener, setting.size)
    return (
        _seen(fastener, "Your order", order[:through], group, position),
        _seen(fastener, "An order that works", model[:through], group),
    )


def _seen(fastener: Fastener, words: str, order: Sequence[int], group: int, wrong: int = 0) -> Shown:
    said = ", ".join(map(str, order))
    picture = sketch("bolts", part=fastener.id, order=tuple(order), group=group, crossed=wrong)
    return Shown(f"{words}: {said}.", picture)


def _first_fault(fastener: Fastener, size: str, order: list[int]) -> tuple[int, str]:
    prescribed = tightening.prescribed(fastener, size)
    if prescribed:
        for position, (given, wanted) in enumerate(zip(order, prescribed, strict=True), start=1):
            if given != wanted:
                return position, f"The procedure prescribes number {wanted} here, not {given}."
        return 0, ""
    fault = bolt_pattern.first_fault(order, len(order))
    return (fault.position, fault.sentence) if fault else (0, "")


def _clock(number: int, count: int) -> str:
    """Return where a bolt sits, as the angle from the top."""
    return f"{360 * (number - 1) / count:.0f}° from the top"
