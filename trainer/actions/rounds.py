"""Reading the round that a person is in with a covered task: which evidence counts for the next signature."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.competency.rounds import round_after
from trainer.store import changes, life_events, qualifications

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.competency.rounds import Round
    from trainer.store.session import Unit


def of_person(unit: Unit, person_id: str, task_id: str, *, before: datetime | None = None) -> Round:
    """Return the round that a person is in with a task, or was in before a moment."""
    return round_after(
        qualifications.signatures(unit, person_id, task_id),
        (*life_events.breaks(unit, person_id, task_id), *changes.breaks(unit, person_id, task_id)),
        before=before,
    )
