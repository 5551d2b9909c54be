"""The story of a qualification: signatures, earlier papers, what happened to it, and changes that were to be shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.store import changes, earlier, life_events, qualifications
from trainer.store.changes import Step
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.records.earlier import EarlierRecord
    from trainer.store.changes import Demand
    from trainer.store.earlier import Check
    from trainer.store.session import Unit


@dataclass(frozen=True)
class LifeLine:
    """One line of the story of a qualification; `number` is the record it is about."""

    on: date
    what: str
    because: str
    by: str
    at: datetime
    number: str


_OF_CHANGE = {
    Step.SHOWN: "Change shown and confirmed",
    Step.NOT_SHOWN: "Suspended: the change was found not shown",
    Step.SIGNED_ANEW: "Change shown with a new signature",
    Step.RECALLED: "Change recalled: the earlier revision is in force again",
}
_WORDS = {
    Happened.SUSPENDED: "Suspended",
    Happened.LIFTED: "Suspension lifted as unfounded",
    Happened.RE_EVALUATED: "Suspension ended by a new evaluation",
    Happened.WITHDRAWN: "Withdrawn",
    Happened.STOPPED: "No longer does the task",
}


def lines(unit: Unit, person_id: str, task_id: str) -> tuple[LifeLine, ...]:
    """Return what happened to a person's qualification for a task, in the order in which it was written down."""
    told = [
        LifeLine(
            item.valid_from,
            "Renewed" if item.supersedes else "Qualified",
            f"Evaluated on {item.evaluated_on.isoformat()}; valid until {item.valid_until.isoformat()}.",
            item.signer_name,
            item.signed_at,
            item.number,
        )
        for item in qualifications.of_person(unit, person_id)
        if item.task_id == task_id
    ]
    told += [
        _on_paper(paper.record, paper.check)
        for paper in earlier.of_person(unit, person_id)
        if paper.record.task == task_id and paper.check is not None and paper.stands
    ]
    told += [
        LifeLine(
            event.on,
            _WORDS[event.act],
            f"{event.cause.words[:1].upper()}{event.cause.words[1:]}. {event.reason}"
            if event.cause
            else event.reason,
            event.by_name,
            event.at,
            event.number,
        )
        for event in life_events.of_person(unit, person_id)
        if event.task_id == task_id
    ]
    told += [
        line
        for demand in changes.of_person(unit, person_id)
        if demand.task_id == task_id
        for line in _lines_of_change(demand)
    ]
    return tuple(sorted(told, key=lambda line: line.at))


def _on_paper(record: EarlierRecord, check: Check) -> LifeLine:
    return LifeLine(
        record.valid_from,
        "Qualified by an earlier paper",
        f"Evaluated on {record.evaluated_on.isoformat()}; valid until {record.valid_until.isoformat()}. "
        f"Paper {record.paper} of {record.issued_by}, signed there by {record.supervisor}.",
        f"{check.name}, held against the paper",
        check.at,
        record.number,
    )


def _lines_of_change(demand: Demand) -> list[LifeLine]:
    about = f"Revision {demand.revision[:10]}"
    asked = f"{about}: to be shown by {demand.due.isoformat()}. {demand.reason}"
    return [
        LifeLine(demand.at.date(), "A change to be shown", asked, demand.by_name, demand.at, demand.number),
        *(
            LifeLine(
                step.on, _OF_CHANGE[step.act], f"{about}: {step.reason}", step.by_name, step.at, demand.number
            )
            for step in demand.steps
        ),
    ]
