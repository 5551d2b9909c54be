"""Marking an order: legal or not, the fewest moves to put it right, what is broken and what would have happened."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.procedure import window as windows
from trainer.procedure.model import Hazard
from trainer.procedure.moves import credit, fewest_moves

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from trainer.procedure.precedence import Reason
    from trainer.procedure.window import Window


class NotAnOrder(TrainerError):
    """The answer is no order of the window's steps."""


@dataclass(frozen=True)
class Broken:
    """A relation that the answer breaks."""

    before: str
    after: str
    text: str
    signal: Hazard | None


@dataclass(frozen=True)
class FirstIncident:
    """The first thing that would go wrong: at which step, its position from 1, and what happens."""

    step: str
    position: int
    signal: Hazard
    text: str


@dataclass(frozen=True)
class OrderMark:
    """A marked order; `move` is one smallest set of steps to be moved, `nearest` the legal order it leads to."""

    legal: bool
    moves: int
    credit: float
    critical: bool
    broken: tuple[Broken, ...]
    incident: FirstIncident | None
    move: tuple[str, ...]
    nearest: tuple[str, ...]


def mark_order(window: Window, answer: Sequence[str]) -> OrderMark:
    """Return the mark of an order of a window's steps.

    Credit is 1 - moves / (n - width), never below 0 (own choice: a legal order turned round needs n - width moves).

    Raises:
        NotAnOrder: steps are missing, unknown or named twice.
    """
    numbers = _numbers(window, answer)
    moves = fewest_moves(window.order, numbers)
    broken = _broken(window, answer)
    return OrderMark(
        legal=moves.count == 0,
        moves=moves.count,
        credit=credit(moves.count, len(numbers), window.order.width()),
        critical=any(item.signal is not None and item.signal.is_critical for item in broken),
        broken=broken,
        incident=_incident(window, answer, broken),
        move=tuple(step for step in answer if window.steps.index(step) in moves.moved),
        nearest=tuple(window.steps[number] for number in moves.nearest),
    )


def _numbers(window: Window, answer: Sequence[str]) -> list[int]:
    position = {step: number for number, step in enumerate(window.steps)}
    for step in answer:
        if step not in position:
            raise NotAnOrder(f"The answer names '{step}', which is not one of the steps asked for.")
    if len(set(answer)) != len(answer):
        twice = next(step for step in answer if list(answer).count(step) > 1)
        raise NotAnOrder(f"The answer has the step '{twice}' twice.")
    if len(answer) != len(window.steps):
        missing = ", ".join(step for step in window.steps if step not in answer)
        raise NotAnOrder(f"The answer leaves out: {missing}.")
    return [position[step] for step in answer]


def _broken(window: Window, answer: Sequence[str]) -> tuple[Broken, ...]:
    place = {step: number for number, step in enumerate(answer)}
    broken = {
        pair: min(reasons, key=_badness)
        for pair, reasons in window.relations.items()
        if place[pair[1]] < place[pair[0]]
    }
    for pair, reason in _critical_through_others(window, place):
        broken[pair] = min(broken.get(pair, reason), reason, key=_badness)
    told = [Broken(before, after, reason.text, reason.signal) for (before, after), reason in broken.items()]
    return tuple(sorted(told, key=lambda item: (place[item.after], place[item.before])))


def _critical_through_others(
    window: Window, place: Mapping[str, int]
) -> Iterator[tuple[tuple[str, str], Reason]]:
    """Yield critical relations to steps outside the window that could not be done yet, as the answer stands.

    Somebody else proves that the gauge reads zero, but only once the run is shut: opening before shutting is then as
    bad as opening before the proof, though shutting alone makes nothing harmless.
    """
    order, index = window.procedure.order, window.procedure.precedence.index
    for (other, after), reasons in window.procedure.precedence.relations.items():
        if after not in place or other in place:
            continue
        worst = min(reasons, key=_badness)
        if worst.signal and worst.signal.is_critical:
            held_up_by = [
                s for s in window.steps if order.precedes(index[s], index[other]) and place[s] > place[after]
            ]
            if held_up_by:
                yield (max(held_up_by, key=lambda step: order.before[index[step]].bit_count()), after), worst


def _badness(reason: Reason) -> int:
    return reason.signal.rank if reason.signal else len(Hazard)


def _incident(window: Window, answer: Sequence[str], broken: Sequence[Broken]) -> FirstIncident | None:
    failure = windows.first_failure(window, answer)
    if failure is None:
        return None
    if failure.step in window.steps:
        return FirstIncident(failure.step, failure.position, failure.signal, failure.need.happens)
    # Somebody else's step between the window's own can no longer be done: the answer's first early step is to blame.
    first = broken[0]
    place = list(answer).index(first.after) + 1
    return FirstIncident(first.after, place, failure.signal, failure.need.happens)
