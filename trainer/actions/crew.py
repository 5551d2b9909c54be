"""The crew by its tasks on one day: who may do what, what lapses, what changed."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import changes, crew_changes, crew_findings, evidence, sheets
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission, Role
from trainer.actions.views import CrewLine, LapseLine
from trainer.records.qualification import ENDS_SOON_DAYS, CrewRow, CrewSheet
from trainer.store import crews as crew_tallies
from trainer.store import held, people

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.changes import ChangeDue
    from trainer.actions.crew_findings import Found
    from trainer.records.qualification import CoveredTask, CrewCell
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Database


_AT_WORK = frozenset({Role.TECHNICIAN.value, Role.MENTOR.value})


def crews(db: Database, actor: Actor, *, now: datetime) -> tuple[CrewLine, ...]:
    """Return the crews this actor may see, by name."""
    actor.must(Permission.CREW_READ)
    with db.reading() as unit:
        found = crew_tallies.tallies(unit, roles=_AT_WORK, day=now.date())
    return tuple(
        CrewLine(one.crew, one.people, one.able)
        for one in found
        if one.crew and actor.may_for(Permission.CREW_READ, crew=one.crew)
    )


def crew_sheet(db: Database, actor: Actor, crew: str, *, now: datetime) -> CrewSheet:
    """Return the crew sheet of today.

    Its columns are the covered tasks that a module in force serves, or that somebody of the crew holds.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    actor.must(Permission.CREW_READ)
    today = now.date()
    with db.reading() as unit:
        members = [person for person in people.everybody(unit, crew=crew) if works(person)]
        if not crew or not members or not actor.may_for(Permission.CREW_READ, crew=crew):
            raise NotFound("crew", crew)
        found = crew_findings.read(unit, crew)
        tasks = columns(found)
        rows = tuple(_row(person, tasks, found, today) for person in members)
        changes = crew_changes.since(members, found, today)
    return CrewSheet(
        company=db.company,
        title=f"Crew sheet, {crew}",
        document=f"CS-{''.join(word[0] for word in crew.split()).upper()}-{today:%Y%m%d}",
        day=today,
        tasks=tasks,
        rows=rows,
        changes=changes,
        issued_by=actor.display_name,
    )


def lapses(
    db: Database,
    actor: Actor,
    *,
    crew: str | None = None,
    days: int = ENDS_SOON_DAYS,
    most: int | None = None,
    now: datetime,
) -> tuple[LapseLine, ...]:
    """Return what has lapsed and what ends within some days, changes to be shown too, the earliest end first.

    Args:
        db: the database.
        actor: who asks.
        crew: one crew, or all that the actor may see.
        days: how far to look ahead.
        most: no more than so many; all unless given.
        now: the time.
    """
    actor.must(Permission.CREW_READ)
    today = now.date()
    if crew is None and not actor.sees_every_crew(Permission.CREW_READ):
        crew = actor.crew
    with db.reading() as unit:
        ending = held.ending(unit, until=today + timedelta(days=days), crew=crew, most=most)
        if most is None:
            names = {person.id: person for person in people.everybody(unit, crew=crew)}
        else:
            names = people.by_ids(unit, {term.person_id for term in ending})
        tasks = sheets.read_register(unit).tasks
        until = today + timedelta(days=days)
        to_show = [one for one in changes.everybody(unit, crew) if not one.shown and one.due <= until]
    lines = [
        _lapse(term, names[term.person_id], tasks[term.task_id], today)
        for term in ending
        if actor.may_for(Permission.CREW_READ, crew=names[term.person_id].crew)
    ]
    lines += [
        _change(one, tasks[one.task_id], today)
        for one in to_show
        if actor.may_for(Permission.CREW_READ, crew=one.crew)
    ]
    ordered = sorted(lines, key=lambda line: (line.valid_until, line.person_name, line.task_id))
    return tuple(ordered[:most])


def _change(one: ChangeDue, task: CoveredTask, today: date) -> LapseLine:
    """A change that is not shown ends working alone, as a lapse does."""
    return LapseLine(
        person_id=one.person_id,
        person_name=one.person_name,
        crew=one.crew,
        task_id=one.task_id,
        task_title=f"{task.title} (a change is to be shown)",
        number=one.number,
        valid_until=one.due,
        days=(one.due - today).days,
        span=task.conditions.span,
    )


def _lapse(term: Term, person: Person, task: CoveredTask, today: date) -> LapseLine:
    return LapseLine(
        person_id=person.id,
        person_name=person.display_name,
        crew=person.crew,
        task_id=term.task_id,
        task_title=task.title,
        number=term.number,
        valid_until=term.last_day,
        days=(term.last_day - today).days,
        span=task.conditions.span,
    )


def works(person: Person) -> bool:
    """Whether a person stands on the sheet of the crew: who does the work, or watches over it at the bench."""
    return not _AT_WORK.isdisjoint(person.roles)


def columns(found: Found) -> tuple[CoveredTask, ...]:
    """Return the covered tasks that a module in force serves, or that somebody holds, by group and number."""
    served = {revision.task_id for revision in found.register.revisions.values()}
    wanted = served | {task_id for _, task_id in found.held}
    tasks = [task for task in found.register.tasks.values() if task.id in wanted]
    return tuple(sorted(tasks, key=lambda task: (_first_of_group(tasks, task.group), task.id)))


def _first_of_group(tasks: Sequence[CoveredTask], group: str) -> str:
    """Groups stand in the order of their first task, and stay together."""
    return min(task.id for task in tasks if task.group == group)


def _row(person: Person, tasks: Iterable[CoveredTask], found: Found, today: date) -> CrewRow:
    return CrewRow(
        person_id=person.id,
        name=person.display_name,
        grade=person.grade,
        cells=tuple(_cell(person, task, found, today) for task in tasks),
    )


def _cell(person: Person, task: CoveredTask, found: Found, today: date) -> CrewCell:
    key = person.id, task.id
    return evidence.stands(
        found.held.get(key, ()),
        assigned=key in found.assigned,
        ready=found.ready(person.id, task, today) is not None,
        today=today,
    )
