"""Statements that went through the rules of the standard: none goes out otherwise."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.exports.activity import shape
from trainer.exports.activity.statements import statement

if TYPE_CHECKING:
    from trainer.exports.activity.done import Done
    from trainer.exports.activity.statements import Statement


class StatementUnsound(TrainerError):
    """A statement breaks a rule of the standard, so it stays here."""

    def __init__(self, entry: int, fault: str) -> None:
        super().__init__(f"What entry {entry} of the log tells cannot go out as a statement: {fault}")


def sound_statement(done: Done) -> Statement:
    """Return the statement of what was done.

    Raises:
        StatementUnsound: it breaks a rule of the standard.
    """
    made = statement(done)
    for fault in shape.faults(made):
        raise StatementUnsound(done.entry.number, fault)
    return made
