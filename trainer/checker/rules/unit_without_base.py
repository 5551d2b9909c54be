"""Parts come along `with` something, and it is not clear with what.

`with` names what comes along with the one part that the step takes out or puts in. With none or several of them nobody
can tell which unit is meant, and a part does not come along with itself.

Wrong:
    parts: {cover: {}, cage: {}, disc: {}}
    steps:
      - {id: out, do: Lift cover and cage with the disc, remove: [cover, cage], with: disc}
      - {id: in, do: Lower cage and cover, install: [cover, cage]}

Right:
    parts: {cover: {}, cage: {}, disc: {}}
    steps:
      - {id: out, do: Lift the cage with the disc, remove: cage, with: disc}
      - {id: cover, do: Lift the cover, remove: cover}
      - {id: in, do: Lower cage and cover, install: [cover, cage]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.model import Step

CODE = "unit-without-base"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each `with` that has not exactly one part to go with."""
    for step in checked.module.steps.values():
        bases = list(dict.fromkeys((*step.on(Verb.REMOVE), *step.on(Verb.INSTALL))))
        what = _trouble(step, bases)
        if what:
            mend = "Take out or put in one part in this step, and name only the others under `with`."
            yield Finding(CODE, SIGNAL, checked.module.place("steps", step.id, "with"), what, mend)


def _trouble(step: Step, bases: list[str]) -> str:
    if not step.along:
        return ""
    if not bases:
        return f"`{step.id}` takes {quoted(step.along)} along, but takes out or puts in nothing."
    if len(bases) > 1:
        return f"`{step.id}` moves {len(bases)} parts, {quoted(bases)}: {quoted(step.along)} could come with any."
    return f"`{step.id}` has `{bases[0]}` come along with itself." if bases[0] in step.along else ""
