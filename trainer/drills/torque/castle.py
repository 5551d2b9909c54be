"""The castle nut: what to do at the torque when a slot lines up, or none does."""

from __future__ import annotations

from functools import lru_cache
from math import prod
from typing import TYPE_CHECKING

from trainer.drills.answer_forms import Choose, Option, Row
from trainer.drills.kind import Asked
from trainer.drills.lines import letters, numbers_of
from trainer.drills.mark import Mark, Remark
from trainer.drills.sketch import sketch
from trainer.procedure.wording import the
from trainer.trade import castle_nut
from trainer.trade.castle_nut import Action

if TYPE_CHECKING:
    from trainer.drills.answer_forms import Answer
    from trainer.drills.kind import Setting
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Fastener
    from trainer.trade.units import Quantity

_ROWS, _OPTIONS = 3, 4
# How far past a slot the nut stands where none lines up, as a share of the way to the next one.
_PAST = (0.4, 0.5, 0.6)
_WORDS = {
    Action.TIGHTEN_TO_MINIMUM: "tighten to the minimum first",
    Action.TURN_TO_NEXT_SLOT: "tighten on to the next slot, not over the ceiling",
    Action.TURN_ONE_FURTHER: "turn one slot further",
    Action.BACK_OFF: "back off to the first slot that lines up",
    Action.FIT_PIN: "fit the pin",
    Action.CHANGE_WASHER_OR_NUT: "take the nut off, change washer or nut, start again",
}
# What comes of each action where it is not the one to take.
_WRONG = {
    Action.TIGHTEN_TO_MINIMUM: "There is nothing to tighten to: the minimum is on.",
    Action.TURN_TO_NEXT_SLOT: "Tightening on from here goes past what the nut needs or may have.",
    Action.TURN_ONE_FURTHER: "One slot further is not this procedure's rule, and the stud pays for it.",
    Action.BACK_OFF: "Backing off gives the clamping away, and nobody sees it.",
    Action.FIT_PIN: "The pin goes in only with the torque on and a slot over the hole.",
    Action.CHANGE_WASHER_OR_NUT: "Another washer is for when the ceiling is reached, not before.",
}


def offered(fastener: Fastener, size: str) -> bool:
    """Tell whether it is a castle nut with a torque at the size."""
    return (
        fastener.castle is not None and fastener.torque is not None and fastener.torque.at(size) is not None
    )


def make(setting: Setting, fastener: Fastener) -> Asked:
    """Return a row a situation."""
    low, high = _range(setting, fastener)
    ceiling = f" Ceiling {high.printed()}." if high else ""
    rows = tuple(row for row, _ in _problem(setting))
    return Asked(
        ask=f"{fastener.name}: what do you do now?",
        given=f"{setting.size}. Minimum {low.printed()}.{ceiling} {_drag_words(setting, fastener)}The pin is a new one.",
        form=Choose(rows),
        guess=prod(1 / len(row.options) for row in rows),
    )


def key(setting: Setting, fastener: Fastener) -> Answer:  # noqa: ARG001  # as its siblings
    """Return the right option of each row."""
    return {
        row.id: next(o.id for o in row.options if o.text == _WORDS[decision.action])
        for row, decision in _problem(setting)
    }


def mark(setting: Setting, fastener: Fastener, answer: Answer) -> Mark:
    """Return the mark; a nut left loose or overtightened is critical."""
    assert isinstance(answer, dict)  # noqa: S101  # the form has read it
    remarks = []
    for row, decision in _problem(setting):
        chosen = next(option.text for option in row.options if option.id == answer[row.id])
        right = chosen == _WORDS[decision.action]
        why_not = next(_WRONG[action] for action, words in _WORDS.items() if words == chosen)
        told = decision.sentence if right else f"{why_not} {decision.sentence}"
        remarks.append(Remark(row.id, told, right=right))
    wrong = sum(not remark.right for remark in remarks)
    return Mark(
        right=wrong == 0,
        credit=1 - wrong / len(remarks),
        critical=wrong > 0,
        headline="Right: the nut is at torque and locked."
        if not wrong
        else f"{wrong} of {len(remarks)} would leave {the(fastener.name)} wrong.",
        remarks=tuple(remarks),
    )


def _range(setting: Setting, fastener: Fastener) -> tuple[Quantity, Quantity | None]:
    assert fastener.torque is not None and fastener.castle is not None  # noqa: S101, PT018  # see offered
    low = fastener.torque.at(setting.size)
    assert low is not None  # noqa: S101  # see offered
    return low, fastener.castle.torque_max.at(setting.size) if fastener.castle.torque_max else None


def _drag(setting: Setting, fastener: Fastener) -> Quantity | None:
    assert fastener.castle is not None  # noqa: S101  # see offered
    return fastener.castle.drag.at(setting.size) if fastener.castle.drag else None


def _drag_words(setting: Setting, fastener: Fastener) -> str:
    drag = _drag(setting, fastener)
    return f"It takes {drag.printed()} to run the nut down; add that to both. " if drag else ""


def _picture(fastener: Fastener, past: float) -> Sketch:
    """Return the nut as it stands: the line beside it says the same, and neither says what to do."""
    return sketch("castle_nut", part=fastener.id, past=past, figures=False, beside=True)


@lru_cache(maxsize=256)
def _problem(setting: Setting) -> tuple[tuple[Row, castle_nut.Decision], ...]:
    draw, turns = setting.draw("situations"), setting.draw("turns")
    fastener = setting.module.fasteners[setting.skill.id.partition(":")[2]]
    low, high = _range(setting, fastener)
    drag = _drag(setting, fastener)
    assert fastener.castle is not None  # noqa: S101  # see offered
    step = castle_nut.slot_angle(fastener.castle.slots)
    at_minimum = low + drag if drag else low
    under = at_minimum.scaled(0.7).rounded(2)
    situations = [(at_minimum, False), (at_minimum, True), (under, True)]
    if high:
        situations.append((high + drag if drag else high, False))
    rows = []
    chosen = draw.shuffled(situations)[:_ROWS]
    for letter, (now, aligned) in zip(letters(len(chosen)), chosen, strict=True):
        decision = castle_nut.decide(fastener.castle.rule, now, low, high, drag, aligned)
        others = [words for action, words in _WORDS.items() if action is not decision.action]
        texts = draw.shuffled([_WORDS[decision.action], *draw.sample(others, _OPTIONS - 1)])
        options = tuple(Option(name, text) for name, text in zip(letters(len(texts)), texts, strict=True))
        line = "a slot lines up with the hole" if aligned else "no slot lines up with the hole"
        rows.append(
            (
                Row(
                    letter,
                    f"At {now.printed()} {line}.",
                    options,
                    numbers_of(setting.module, [fastener.id]),
                    picture=_picture(fastener, 0.0 if aligned else turns.choice(_PAST) * step),
                ),
                decision,
            )
        )
    return tuple(rows)
