"""Answers as people of the demonstration give them: right by the key of the drill, wrong by a likely slip."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer import drills
from trainer.drills.slips import slips

if TYPE_CHECKING:
    from trainer.actions.views import DrillAddress
    from trainer.procedure.model import Module


def right(module: Module, address: DrillAddress) -> Any:
    """Return an answer that earns full marks."""
    return drills.key(module, address.kind, address.size or None, address.seed)


def wrong(module: Module, address: DrillAddress) -> Any:
    """Return the likeliest slip that is marked wrong."""
    for slip in slips(module, address.kind, address.size or None, address.seed):
        return slip
    raise LookupError(f"every slip is right at {address}")
