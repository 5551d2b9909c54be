"""How marking grows with the number of steps: the power of it between 20 and 200 steps."""

from __future__ import annotations

from math import log
from typing import TYPE_CHECKING

from trainer.cli.figures.marking_orders import CASES, mark
from trainer.cli.measuring.invented_orders import nearly_right, shuffled, woven
from trainer.cli.measuring.timing import Goal, Reading, in_turn

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Growth of marking"

SMALL, LARGE = 20, 200


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the power k in "time grows as steps to the power k"; the floor column holds the smaller size."""
    for kind, answers in (("nearly right", nearly_right), ("shuffled", shuffled)):
        small, large = (
            [(woven(size, 4, str(n)), answers(size, str(n))) for n in range(CASES)] for size in (SMALL, LARGE)
        )
        a, b = in_turn(
            lambda cases=small: [mark(*case) for case in cases],  # type: ignore[misc]
            lambda cases=large: [mark(*case) for case in cases],  # type: ignore[misc]
            effort,
        )
        power = log(b / a) / log(LARGE / SMALL)
        name = f"{TITLE}: {SMALL} to {LARGE} steps {kind}, power of the number of steps"
        yield Reading(name, a, b, power, Goal("at most", 1.9))
