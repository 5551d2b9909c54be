"""While somebody sits, nothing here helps them: no practice, no procedure, no printed card."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.store import sittings

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.store.session import Database, Unit


class SittingUnderWay(TrainerError):
    """The person is in the middle of a sitting."""

    def __init__(self, sitting_id: int) -> None:
        self.sitting_id = sitting_id
        super().__init__("You are in the middle of a sitting. Finish it first; practice and procedures wait.")


def must_not_sit(unit: Unit, actor: Actor) -> None:
    """Let pass who is not in the middle of a sitting; one that is released and not begun hinders nobody.

    Raises:
        SittingUnderWay: they are.
    """
    if actor.is_system:
        return
    found = sittings.open_of(unit, actor.person_id)
    if found is not None and sittings.newest_question(unit, found.id) is not None:
        raise SittingUnderWay(found.id)


def must_not_sit_now(db: Database, actor: Actor) -> None:
    """Let pass like `must_not_sit`, with a transaction of its own.

    Raises:
        SittingUnderWay: they sit.
    """
    with db.reading() as unit:
        must_not_sit(unit, actor)
