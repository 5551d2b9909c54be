"""One cause, one finding: states whose fault has a code of its own, so that what follows from it is not told again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import out_of_balance
from trainer.checker.circles import circles
from trainer.checker.names import misspelt
from trainer.procedure.model import Verb
from trainer.procedure.precedence import Fault
from trainer.procedure.states import Aspect

if TYPE_CHECKING:
    from trainer.checker.checked import Checked
    from trainer.procedure.states import Variable


def told_elsewhere(checked: Checked) -> frozenset[Variable]:
    """Return the states that another rule already tells an error about."""
    module = checked.module
    states = {trouble.variable for trouble in checked.troubles(Fault.TWO_MAKERS) if trouble.variable}
    states |= {variable for _, variable in checked.procedure.plan.self_undoing}
    states |= set(out_of_balance(module))
    states |= {(Aspect.IN_PLACE, part) for circle in rests_in_circles(checked) for part in circle}
    states |= {
        (Aspect.DONE, step.id) for step in module.steps.values() if step.id in step.after + step.before
    }
    meant = misspelt(checked, *Verb, "makes", "prove", "ends")
    states |= {variable for variable in checked.procedure.plan.start if variable[1] in meant}
    return frozenset(states)


def rests_in_circles(checked: Checked) -> list[tuple[str, ...]]:
    """Return the circles of parts that rest on each other, or on themselves."""
    return list(circles({part.id: part.rests_on for part in checked.module.parts.values()}))
