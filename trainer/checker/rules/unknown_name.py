"""A name that is not defined anywhere.

Every part, fastener, line, fact, energy, phase, step, caution, tool and covered task that a file names must be
defined in the table where it belongs. The nearest name is offered.

Wrong:
    facts:
      run_shut: {text: The run is shut}
    steps:
      - {id: shut, do: Close and lock both run valves, makes: run_shutt}

Right:
    facts:
      run_shut: {text: The run is shut}
    steps:
      - {id: shut, do: Close and lock both run valves, makes: run_shut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.checker.checked import Checked

CODE = "unknown-name"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each name that none of its tables defines."""
    module, shared = checked.module, checked.shared
    tables: dict[str, Mapping[str, object]] = {
        "parts": module.parts,
        "fasteners": module.fasteners,
        "lines": module.lines,
        "facts": module.facts,
        "energies": module.energies,
        "phases": module.phases,
        "steps": module.steps,
        "cautions": {**shared.cautions, **module.cautions},
        "tools": shared.tools,
        "tasks": shared.tasks,
    }
    for reference in module.references:
        known = {name for table in reference.tables for name in tables[table]}
        if reference.name not in known:
            where = " or ".join(reference.tables)
            what = f"`{reference.name}` is not one of the {where}.{nearest(reference.name, known)}"
            yield Finding(
                CODE,
                SIGNAL,
                reference.place,
                what,
                f"Correct the name, or define it under `{reference.tables[0]}`.",
            )
