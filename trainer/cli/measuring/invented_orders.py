"""Invented orders and answers of any size for timing, the same in every run."""

from __future__ import annotations

from trainer.procedure.draw import Draw
from trainer.procedure.orders import PartialOrder


def woven(size: int, runs: int, seed: str = "") -> PartialOrder:
    """Return some runs of steps with a link across for about three steps in ten, as in a real overhaul."""
    draw = Draw(f"woven/{size}/{runs}/{seed}")
    last: dict[int, int] = {}
    relations = []
    for step in range(size):
        run = draw.below(runs)
        if run in last:
            relations.append((last[run], step))
        if step and draw.below(10) < 3:
            relations.append((draw.below(step), step))
        last[run] = step
    return PartialOrder.from_relations(size, relations)


def shuffled(size: int, seed: str = "") -> list[int]:
    """Return all steps in any order."""
    return Draw(f"shuffled/{size}/{seed}").shuffled(range(size))


def nearly_right(size: int, seed: str = "") -> list[int]:
    """Return a legal order of a woven one with one step in eight taken out and put in elsewhere."""
    draw = Draw(f"nearly/{size}/{seed}")
    answer = list(range(size))
    for _ in range(max(1, size // 8)):
        answer.insert(draw.below(size), answer.pop(draw.below(size)))
    return answer
