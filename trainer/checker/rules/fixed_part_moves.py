"""A step takes out or puts in a part that is said to stay where it is.

Wrong:
    parts:
      body: {fixed: true}
    steps:
      - {id: out, do: Lift the body out of the run, remove: body}
      - {id: in, do: Lower the body into the run, install: body}

Right:
    parts:
      body: {fixed: false}
    steps:
      - {id: out, do: Lift the body out of the run, remove: body}
      - {id: in, do: Lower the body into the run, install: body}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "fixed-part-moves"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step that moves a fixed part."""
    module = checked.module
    fixed = {part.id for part in module.parts.values() if part.fixed}
    for step in module.steps.values():
        moved = {Verb.REMOVE: "takes out", Verb.INSTALL: "puts in"}
        acts = [(name, word) for verb, word in moved.items() for name in step.on(verb)]
        acts += [(name, "takes along") for name in step.along]
        for name, word in acts:
            if name in fixed:
                what = f"`{step.id}` {word} `{name}`, which is `fixed`."
                mend = f"Take `fixed` off `{name}`, or name the part that moves."
                yield Finding(CODE, SIGNAL, checked.place_in_step(step.id, name), what, mend)
