"""A name that is not defined anywhere.

Every part, fastener, line, fact, energy, phase, step, caution, tool and covered task that a file names must be
defined in the table where it belongs. The nearest name is offered.

Wrong:
    facts:
      run_shut: {text: The run is shut, hand_back: true}
    steps:
      - {id: shut, do: Close and lock both run valves, makes: run_shut}
      - {id: open, do: Take the locks off, ends: run_shutt}

Right:
    facts:
      run_shut: {text: The run is shut, hand_back: true}
    steps:
      - {id: shut, do: Close and lock both run valves, makes: run_shut}
      - {id: open, do: Take the locks off, ends: run_shut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import unknown_names
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "unknown-name"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each name that none of its tables defines."""
    for unknown in unknown_names(checked):
        reference = unknown.reference
        offer = f" Did you mean `{unknown.meant}`?" if unknown.meant else ""
        what = f"`{reference.name}` is not one of the {' or '.join(reference.tables)}.{offer}"
        mend = f"Correct the name, or define it under `{reference.tables[0]}`."
        yield Finding(CODE, SIGNAL, reference.place, what, mend)
