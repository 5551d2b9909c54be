"""What the sheets of a job are made from, where no other room has a value that says it all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from datetime import date

    from trainer.procedure.model import Module, Step


class SizeNotInModule(TrainerError):
    """A sheet was asked for at a size that the procedure does not cover."""

    def __init__(self, module: Module, size: str) -> None:
        super().__init__(f"'{module.title}' has no size '{size}'; it covers {', '.join(module.sizes)}.")


class StepNotInModule(TrainerError):
    """An order of work names a step that the procedure does not have."""

    def __init__(self, module: Module, step: str) -> None:
        super().__init__(f"'{module.title}' has no step '{step}'.")


@dataclass(frozen=True)
class JobCardPacket:
    """One job: a procedure at one size on one piece of plant.

    `order` names the steps in the order of work, all or some of them; without it they stand as in the file.

    Raises:
        SizeNotInModule: the procedure lists its sizes, and this is none of them.
        StepNotInModule: `order` names a step that is not there.
    """

    module: Module
    size: str
    company: str
    issued_by: str
    approved_by: str
    plant_item: str
    issued_on: date
    order: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a size or a step that the procedure does not have."""
        if self.module.sizes and self.size not in self.module.sizes:
            raise SizeNotInModule(self.module, self.size)
        for step in self.order:
            if step not in self.module.steps:
                raise StepNotInModule(self.module, step)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of this job in the order of work."""
        return tuple(self.module.steps[step] for step in self.order or self.module.steps)
