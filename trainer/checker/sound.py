"""A module fit for use: read, checked, and refused in one sentence when it has errors."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.check import check_module, is_sound
from trainer.errors import TrainerError
from trainer.procedure import library
from trainer.procedure.findings import Signal

if TYPE_CHECKING:
    from trainer.procedure.model import Module


class ModuleUnsound(TrainerError):
    """A module has errors, so nothing made from it could be trusted."""

    def __init__(self, module: Module, errors: int) -> None:
        many = "1 error" if errors == 1 else f"{errors} errors"
        super().__init__(f"{module.file} has {many}: run `trainer check {module.file}` and mend them first.")


def sound_module(name: str) -> Module:
    """Return the module of a path or a shipped name.

    Raises:
        ModuleUnsound: the checker finds errors in it.
        NoSuchProcedure, FileUnreadable: it cannot be read.
    """
    module = library.load(name)
    findings = check_module(module)
    if not is_sound(findings):
        raise ModuleUnsound(module, sum(finding.signal is Signal.ERROR for finding in findings))
    return module
