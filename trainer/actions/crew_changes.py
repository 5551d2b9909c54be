"""What changed on a crew sheet lately: signatures, lapses, and who became ready."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import evidence
from trainer.records.qualification import CrewChange, Standing

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date, datetime

    from trainer.actions.crew_findings import Found
    from trainer.records.qualification import CoveredTask
    from trainer.store.evaluations import Evaluation
    from trainer.store.people import Person
    from trainer.store.qualifications import Term

LOOK_BACK = timedelta(days=30)
_DAY = timedelta(days=1)


def since(members: Iterable[Person], found: Found, today: date) -> tuple[CrewChange, ...]:
    """Return the changes of the last 30 days, the oldest first."""
    changes: list[CrewChange] = []
    names = {person.id: person for person in members}
    begin = today - LOOK_BACK
    for (person_id, task_id), held in found.held.items():
        if person_id in names and _moved(held, begin, today):
            changes += _signed_and_lapsed(names[person_id], task_id, held, today)
            changes += _suspended_and_lifted(names[person_id], task_id, held, today)
    for person_id, task_id in found.waiting:
        if person_id in names:
            changes += _became_ready(names[person_id], found.register.tasks[task_id], found, today)
    recent = [change for change in changes if begin <= change.on <= today]
    return tuple(sorted(recent, key=lambda change: (change.on, change.name, change.task)))


def _moved(held: Sequence[Term], begin: date, today: date) -> bool:
    """Whether anything can have changed lately: of most cells nothing has, and they are passed over."""
    eve = begin - _DAY
    return any(item.suspended or item.valid_from >= begin or eve <= item.last_day < today for item in held)


def _became_ready(person: Person, task: CoveredTask, found: Found, today: date) -> Iterator[CrewChange]:
    ready = found.ready(person.id, task, today)
    until = evidence.newest_last_day(found.held.get((person.id, task.id), ()), today)
    if ready is not None and (until is None or until < today):
        was = Standing.LAPSED if until is not None else Standing.IN_PRACTICE
        yield CrewChange(_ready_since(found, ready).date(), person.display_name, task.id, was, Standing.READY)


def _signed_and_lapsed(
    person: Person, task_id: str, held: Sequence[Term], today: date
) -> Iterator[CrewChange]:
    for item in held:
        yield CrewChange(item.valid_from, person.display_name, task_id, _before(item, held), Standing.SIGNED)
        over = item.last_day + _DAY
        renewed = any(other.supersedes == item.number and other.valid_from <= over for other in held)
        if over <= today and not renewed:
            now = Standing.NOT_ASSIGNED if item.stopped else Standing.LAPSED
            # A term that was ended before its time came from where it was.
            was = Standing.ENDS_SOON if item.ended_on is None else Standing.SIGNED
            yield CrewChange(over, person.display_name, task_id, was, now)


def _suspended_and_lifted(
    person: Person, task_id: str, held: Sequence[Term], today: date
) -> Iterator[CrewChange]:
    """A suspension that a new signature ended is told by the signature."""
    for item in held[0].suspended if held else ():
        if item.demand and item.ended_on is not None and item.ended_on <= item.from_day:
            # A change that was shown in time never held anybody back.
            continue
        yield CrewChange(item.from_day, person.display_name, task_id, Standing.SIGNED, Standing.SUSPENDED)
        if (
            item.ended_on is not None
            and item.ended_on <= today
            and item.ended_how in ("lifted", "shown", "recalled")
        ):
            yield CrewChange(item.ended_on, person.display_name, task_id, Standing.SUSPENDED, Standing.SIGNED)


def _before(item: Term, held: Sequence[Term]) -> Standing:
    """Return where the person stood before the signature: suspended, still qualified, or ready."""
    eve = item.valid_from - _DAY
    if any(one.covers(eve) and one.ended_on == item.valid_from for one in item.suspended):
        return Standing.SUSPENDED
    before = next((other for other in held if other.number == item.supersedes), None)
    if before is not None and before.valid_until >= item.valid_from:
        soon = before.valid_until - item.valid_from <= timedelta(days=60)
        return Standing.ENDS_SOON if soon else Standing.SIGNED
    return Standing.READY


def _ready_since(found: Found, evaluation: Evaluation) -> datetime:
    """Return when the last piece came together: the evaluation, or the last class to be decided."""
    decided = found.assessed[evaluation.id].since
    return evaluation.at if decided is None else max(evaluation.at, decided)
