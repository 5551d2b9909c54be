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
    """What the sheet of a crew is made from; evaluations that wait and terms by (person, task)."""

    register: Register
    assigned: set[tuple[str, str]]
    waiting: Mapping[tuple[str, str], Sequence[Evaluation]]
    assessed: Mapping[int, Assessed]
    held: Mapping[tuple[str, str], Sequence[Term]]

    def ready(self, person_id: str, task: CoveredTask, today: date) -> Evaluation | None:
        """Return the evaluation that a signature could be put on today, or None."""
        for item in self.waiting.get((person_id, task.id), ()):
            if self.assessed[item.id].readiness.ready and evidence.still_carries(item, task, today):
                return item
        return None


def read(unit: Unit, crew: str) -> Found:
    """Return what is known of a crew."""
    register = sheets.read_register(unit)
    revisions = register.revisions
    evaluated = evaluations.waiting(unit, crew=crew)
    waiting: dict[tuple[str, str], list[Evaluation]] = {}
    for item in evaluated:
        waiting.setdefault((item.person_id, item.task_id), []).append(item)
    return Found(
        register=register,
        assigned={
            (person_id, revisions[item.module_id].task_id)
            for person_id, listed in assignments.of_people(unit, crew=crew).items()
            for item in listed
        },
        waiting=waiting,
        assessed={item.id: readiness.of_person(unit, item.person_id, item.revision) for item in evaluated},
        held=held.terms(unit, crew=crew),
    )
