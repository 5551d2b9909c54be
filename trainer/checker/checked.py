"""What a rule looks at: the module, everything derived from it, and the shared tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from trainer.procedure.window import NoOrder

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.findings import Finding, Place, Signal
    from trainer.procedure.model import Module
    from trainer.procedure.precedence import Fault, Trouble
    from trainer.procedure.shared_tables import SharedTables
    from trainer.procedure.window import Procedure


@dataclass(frozen=True, eq=False)
class Checked:
    """One module under the checker's eye."""

    module: Module
    procedure: Procedure
    shared: SharedTables

    def read_as(self, code: str) -> Iterator[Finding]:
        """Yield what reading the file has found under a code."""
        return (finding for finding in self.module.problems if finding.code == code)

    def troubles(self, fault: Fault) -> Iterator[Trouble]:
        """Yield the faults of one kind in the derived order."""
        return (trouble for trouble in self.procedure.precedence.troubles if trouble.fault is fault)

    @property
    def has_order(self) -> bool:
        """Tell whether the module has an order; without one other rules tell why."""
        try:
            return self.procedure.order is not None
        except NoOrder:
            return False

    def says(self, *path: str | int) -> bool:
        """Tell whether a key stands in the file, whether or not its value could be read."""
        return path in self.module.places

    def place_in_step(self, step: str, name: str) -> Place:
        """Return where a step names a thing, a fact or another step; the step itself when it does not."""
        path = ("steps", step)
        return self._names_in_blocks.get((path, name)) or self.module.place(*path)

    @cached_property
    def _names_in_blocks(self) -> dict[tuple[tuple[str | int, ...], str], Place]:
        places: dict[tuple[tuple[str | int, ...], str], Place] = {}
        for reference in self.module.references:
            places.setdefault((reference.path[:2], reference.name), reference.place)
        return places


class Rule(Protocol):
    """A module of `checker/rules`: its docstring has a sentence, `Wrong:` and `Right:` examples."""

    CODE: str
    SIGNAL: Signal

    def check(self, checked: Checked) -> Iterator[Finding]:
        """Yield the findings."""
