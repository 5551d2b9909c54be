"""Cover of a crew: what ends when, and what hangs on whom."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import crew as crews
from trainer.actions import crew_findings
from trainer.actions.actor import NotFound
from trainer.actions.cover_views import (
    CoverSheet,
    CrewCover,
    Ending,
    Fall,
    Forecast,
    Hinge,
    ShortTask,
    Track,
)
from trainer.actions.permissions import Permission
from trainer.records import cover
from trainer.records.cover import Holding
from trainer.store import people

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.crew_findings import Found
    from trainer.records.cover import Shortage
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

# How far a forecast may look ahead, in weeks.
WEEKS = (4, 13, 26, 52)


def read(unit: Unit, actor: Actor, crew: str, day: date) -> tuple[CrewCover, Found, tuple[Person, ...]]:
    """Return a crew's cover, what is known of it besides, and its people.

    Raises:
        NotAllowed: the actor reads no crew.
        NotFound: there is no such crew for this actor.
    """
    actor.must(Permission.CREW_READ)
    members = tuple(person for person in people.everybody(unit, crew=crew) if crews.works(person))
    if not crew or not members or not actor.may_for(Permission.CREW_READ, crew=crew):
        raise NotFound("crew", crew)
    found = crew_findings.read(unit, crew)
    names = {person.id: person.display_name for person in members}
    holdings = tuple(
        Holding(term.person_id, term.task_id, first, last)
        for terms in found.held.values()
        for term in terms
        for first, last in term.spans
        if term.person_id in names
    )
    tasks = {task.id: task for task in crews.columns(found)}
    return CrewCover(crew, day, names, tasks, holdings), found, members


def forecast(db: Database, actor: Actor, crew: str, *, weeks: int, now: datetime) -> Forecast:
    """Return what ends within some weeks and what falls short by it.

    Args:
        db: the database.
        actor: who asks.
        crew: the crew.
        weeks: how far to look ahead.
        now: the time.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    with db.reading() as unit:
        found, _, _ = read(unit, actor, crew, now.date())
    return forecast_of(found, weeks)


def forecast_of(found: CrewCover, weeks: int) -> Forecast:
    """Return the forecast of a crew's cover."""
    until = found.day + timedelta(weeks=weeks)
    endings = _endings(found, until)
    (_, already), *later = cover.forecast(found.holdings, found.needed, found.day, weeks)
    falls, before = [], already
    for day, short in later:
        known = {shortage.task: shortage.have for shortage in before}
        worse = [s for s in short if s.have < known.get(s.task, s.needed)]
        before = short
        if worse:
            tasks = {shortage.task for shortage in worse}
            ended = [e for e in endings if e.last == day - timedelta(days=1) and e.task.id in tasks]
            falls.append(Fall(day, _short(found, worse), tuple(ended)))
    return Forecast(
        crew=found.crew,
        day=found.day,
        weeks=weeks,
        already=_short(found, already),
        falls=tuple(falls),
        tracks=tuple(_track(found, task_id, until) for task_id in found.tasks),
        endings=endings,
    )


def _short(found: CrewCover, shortages: Iterable[Shortage]) -> tuple[ShortTask, ...]:
    return tuple(ShortTask(found.tasks[item.task], item.have) for item in shortages)


def _endings(found: CrewCover, until: date) -> tuple[Ending, ...]:
    """Return the last days within the time, of those who hold today; a renewal that is signed already counts."""
    able = {(h.person, h.task) for h in found.holdings if h.first <= found.day <= h.last}
    last: dict[tuple[str, str], date] = {}
    for held in found.holdings:
        key = (held.person, held.task)
        last[key] = max(last.get(key, held.last), held.last)
    return tuple(
        sorted(
            (
                Ending(person, found.people[person], found.tasks[task], day)
                for (person, task), day in last.items()
                if (person, task) in able and day < until
            ),
            key=lambda ending: (ending.last, ending.name, ending.task.id),
        )
    )


def _track(found: CrewCover, task_id: str, until: date) -> Track:
    held = [h for h in found.holdings if h.task == task_id]
    turns = {h.first for h in held} | {h.last + timedelta(days=1) for h in held}
    days = [found.day, *sorted(day for day in turns if found.day < day <= until)]
    steps: list[tuple[date, int]] = []
    for day in days:
        have = len(cover.able(held, day).get(task_id, ()))
        if not steps or steps[-1][1] != have:
            steps.append((day, have))
    return Track(found.tasks[task_id], tuple(steps))


def sheet(
    db: Database,
    actor: Actor,
    crew: str,
    *,
    away: Collection[str] = (),
    day: date | None = None,
    now: datetime,
) -> CoverSheet:
    """Return who covers what, what hangs on one person, and what is short with some people away.

    Args:
        db: the database.
        actor: who asks.
        crew: the crew.
        away: numbers of people chosen away; others than the crew's are passed over.
        day: the day asked about, today unless given.
        now: the time.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    on = day or now.date()
    with db.reading() as unit:
        found, _, _ = read(unit, actor, crew, on)
    gone = tuple(person for person in found.people if person in set(away))
    able = cover.able(found.holdings, on)
    return CoverSheet(
        crew=crew,
        day=on,
        people=tuple(found.people.items()),
        tasks=tuple(
            (task, tuple(sorted(found.people[person] for person in able.get(task.id, ()))))
            for task in found.tasks.values()
        ),
        short=_short(found, cover.shortages(found.holdings, found.needed, on)),
        hinges=tuple(
            Hinge(one.person, found.people[one.person], _short(found, one.shortages))
            for one in cover.dependences(found.holdings, found.needed, on)
        ),
        away=gone,
        then_short=_short(found, cover.shortages(found.holdings, found.needed, on, away=frozenset(gone)))
        if gone
        else (),
    )
