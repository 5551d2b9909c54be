"""Say it: recall in a few words, without anything to recognise.

Values are marked by number and unit. Reasons are marked by the terms that an answer must hold. Where a program cannot
mark honestly the model answer is shown to compare with, that field counts for nothing, and the sheet says so before.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency.evidence import Skill
from trainer.drills.answer_forms import Say, SayField
from trainer.drills.kind import Asked
from trainer.drills.lines import letters
from trainer.drills.mark import Mark, Remark
from trainer.errors import TrainerError
from trainer.procedure.model import Verb
from trainer.procedure.wording import full_stop, the
from trainer.trade.units import Quantity

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.procedure.model import Module
    from trainer.procedure.window import Procedure

KIND = "say-it"
TITLE = "Say it"

# How far off a value may be, as a share of it: what rounding a converted torque takes (own choice).
TOLERANCE = 0.02
_REASONS = 2
_UNMARKED = "Not marked: compare it yourself afterwards."
_NOT = frozenset(("not", "no", "never", "without", "cannot"))
_UNITS = ("N·m", "lbf·ft", "lbf·in", "mm", "in")


@dataclass(frozen=True)
class _Asking:
    """One thing to be said: the question, a model answer, and a value or terms to mark it by, or neither."""

    field: SayField
    say: str
    value: Quantity | None = None
    terms: tuple[str, ...] = ()

    @property
    def is_marked(self) -> bool:
        return self.value is not None or bool(self.terms)


@lru_cache(maxsize=64)
def skills(procedure: Procedure) -> tuple[Skill, ...]:
    """Return the one skill, when the module has something to be said that can be marked."""
    module = procedure.module
    if not any(saying.terms for saying in module.sayings.values()):
        return ()
    return (Skill(KIND, "values and reasons, said freely", KIND),)


def missing(procedure: Procedure) -> str:
    """Return what to add to the module."""
    return "" if skills(procedure) else "Add `sayings` with the `terms` that an answer must hold."


def make(setting: Setting) -> Asked:
    """Return what is asked, with an empty line for each."""
    return Asked(
        ask="Say it in a few words.",
        given=f"{setting.size}. A value needs its unit.",
        form=Say(tuple(asking.field for asking in _problem(setting))),
    )


def key(setting: Setting) -> Answer:
    """Return the model answers."""
    return {asking.field.id: asking.say for asking in _problem(setting)}


def mark(setting: Setting, answer: Answer) -> Mark:
    """Return the mark of what can be marked; the rest is shown to compare with."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    remarks = tuple(_remark(asking, str(answer[asking.field.id])) for asking in _problem(setting))
    counted = [remark for remark in remarks if remark.marked]
    wrong = sum(not remark.right for remark in counted)
    return Mark(
        right=wrong == 0,
        credit=1 - wrong / len(counted),
        critical=False,
        headline="Right: said in your own words."
        if not wrong
        else f"{wrong} of {len(counted)} to be said better.",
        remarks=remarks,
    )


def holds(text: str, term: str) -> bool:
    """Tell whether a text holds a term: one of its alternatives, whose words begin words of the text.

    `leak` is found in `leaks` and `leaking`; `gas out` wants both words.
    """
    words = _words(text)
    return any(
        all(any(word.startswith(part) for word in words) for part in _words(alternative))
        for alternative in term.split("/")
    )


def _words(text: str) -> list[str]:
    return re.findall(r"[\w·%-]+", text.lower())


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[_Asking, ...]:
    """Return a value, a reason that is marked and, now and then, one that is not."""
    draw = setting.draw()
    module = setting.module
    values = _values(module, setting.size)
    marked = [saying for saying in module.sayings.values() if saying.terms]
    reasons = draw.sample(marked, min(len(marked), _REASONS if not values else 1))
    loose = [saying for saying in module.sayings.values() if not saying.terms]
    if loose and draw.below(2):
        reasons += draw.sample(loose, 1)
    asked = draw.sample(values, min(1, len(values)))
    asked += [(reason.ask, reason.say, None, reason.terms) for reason in reasons]
    return tuple(
        _Asking(SayField(letter, ask, "" if value or terms else _UNMARKED), say, value, terms)
        for letter, (ask, say, value, terms) in zip(letters(len(asked)), asked, strict=True)
    )


def _values(module: Module, size: str) -> list[tuple[str, str, Quantity | None, tuple[str, ...]]]:
    """Return the values of the module that a good hand knows: torques and limits at a size."""
    found: list[tuple[str, str, Quantity | None, tuple[str, ...]]] = []
    tightened = {name for step in module.steps.values() for name in step.on(Verb.TIGHTEN)}
    for fastener in module.fasteners.values():
        torque = fastener.torque.at(size) if fastener.torque else None
        if torque is not None and fastener.id in tightened:
            found.append((f"The torque of {the(fastener.name)} at {size}?", str(torque), torque, ()))
    for part in module.parts.values():
        judged = part.judged
        for words, limits in (("least", judged and judged.at_least), ("greatest", judged and judged.at_most)):
            limit = limits.at(size) if limits else None
            if judged is not None and limit is not None:
                ask = f"The {words} {judged.measure} of {the(part.name)} at {size}?"
                found.append((ask, str(limit), limit, ()))
    return found


def _remark(asking: _Asking, said: str) -> Remark:
    name = asking.field.id
    if asking.value is not None:
        return _value_remark(name, asking.value, said)
    model = f"A model answer: {full_stop(asking.say)}"
    if not asking.is_marked:
        return Remark(name, f"Compare it with this. {model}", right=True, marked=False)
    lacking = [term for term in asking.terms if not holds(said, term)]
    if lacking:
        wanted = ", ".join(f"“{term.replace('/', '” or “')}”" for term in lacking)
        return Remark(name, f"“{said[:60]}” does not speak of {wanted}. {model}")
    # A “not” that the model answer does not have may turn it round; terms alone cannot tell.
    if set(_words(said)) & _NOT and not set(_words(asking.say)) & _NOT:
        return Remark(name, f"The words are there, but so is a “not”. {model}")
    return Remark(name, f"It holds what it must. {model}", right=True)


def _value_remark(name: str, right: Quantity, said: str) -> Remark:
    told = f"It is {right.printed()}."
    try:
        given = Quantity.parse(said.replace(",", "."))
    except TrainerError:
        number = re.fullmatch(r"\s*[\d.,]+\s*", said)
        why = f"“{said[:60]}” has no unit" if number else f"“{said[:60]}” is not a number with a unit"
        return Remark(name, f"{why}. {told}")
    if given.dimension is not right.dimension:
        return Remark(name, f"{given.printed()} is {given.dimension.with_article}. {told}")
    if _near(given, right):
        return Remark(name, f"So it is: {right.printed()}.", right=True)
    swapped = next((unit for unit in _UNITS if _same_in(given, unit, right)), "")
    slip = f"that is the figure in {swapped}" if swapped else "too much" if given > right else "too little"
    return Remark(name, f"{given.printed()}: {slip}. {told}")


def _near(given: Quantity, right: Quantity) -> bool:
    return abs(given.si - right.si) <= TOLERANCE * abs(right.si)


def _same_in(given: Quantity, unit: str, right: Quantity) -> bool:
    other = Quantity(given.value, unit)
    return unit != given.unit and other.dimension is right.dimension and _near(other, right)
