"""What the sheet of a crew is made from, read at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import evidence, readiness, sheets
from trainer.store import assignments, evaluations, held

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from trainer.actions.readiness import Assessed
    from trainer.actions.sheets import Register
    from trainer.records.qualification import CoveredTask
    from trainer.store.evaluations import Evaluation
    from trainer.store.qualifications import Term
    from trainer.store.session import Unit


@dataclass(frozen=True)
class Found:
    """What the sheet of a crew is made from."""

    register: Register
    assigned: set[tuple[str, str]]
    waiting: tuple[Evaluation, ...]
    assessed: Mapping[int, Assessed]
    held: Mapping[tuple[str, str], Sequence[Term]]

    def ready(self, person_id: str, task: CoveredTask, today: date) -> Evaluation | None:
        """Return the evaluation that a signature could be put on today, or None."""
        for item in self.waiting:
            if (
                item.person_id == person_id
                and item.task_id == task.id
                and self.assessed[item.id].readiness.ready
                and evidence.still_carries(item, task, today)
            ):
                return item
        return None


def read(unit: Unit, crew: str) -> Found:
    """Return what is known of a crew."""
    register = sheets.read_register(unit)
    revisions = register.revisions
    waiting = evaluations.waiting(unit, crew=crew)
    return Found(
        register=register,
        assigned={
            (person_id, revisions[item.module_id].task_id)
            for person_id, listed in assignments.of_people(unit, crew=crew).items()
            for item in listed
        },
        waiting=waiting,
        assessed={item.id: readiness.of_person(unit, item.person_id, item.revision) for item in waiting},
        held=held.terms(unit, crew=crew),
    )
