"""A line is taken off and never put on again.

Wrong:
    lines:
      loading_line: {joins: body}
      sensing_line: {joins: body}
    steps:
      - {id: "off", do: Take both lines off, disconnect: [loading_line, sensing_line]}
      - {id: "on", do: Put the loading line on, connect: loading_line}

Right:
    lines:
      loading_line: {joins: body}
      sensing_line: {joins: body}
    steps:
      - {id: "off", do: Take both lines off, disconnect: [loading_line, sensing_line]}
      - {id: "on", do: Put both lines on, connect: [loading_line, sensing_line]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import never_back
from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "disconnected-never-connected"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each of them, at the step that disconnects it."""
    meant = misspelt(checked, Verb.CONNECT)
    for thing, step in never_back(checked.module, Verb.DISCONNECT).items():
        if thing not in meant:
            what = f"`{step}` disconnects `{thing}`, and no step connects it again."
            place = checked.place_in_step(step, thing)
            yield Finding(CODE, SIGNAL, place, what, f"Add a step with `connect: {thing}`.")
