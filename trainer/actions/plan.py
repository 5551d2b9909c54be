"""Plans of cover: the least that restores it, written as lines that people change, keep and assign."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from trainer.actions import assign, cover, journal, policy
from trainer.actions.actor import NotFound
from trainer.actions.cover_views import ShortTask
from trainer.actions.permissions import Permission, Role
from trainer.actions.plan_views import LineShown, PlanAsk, PlanHead, PlanLine, PlanRoom, PlanSheet
from trainer.errors import TrainerError
from trainer.records import cover as reckoning
from trainer.records.cover import Holding, Means, Measure
from trainer.store import assignments, people, plans, sequences

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.cover_views import CrewCover
    from trainer.actions.crew_findings import Found
    from trainer.store.plans import KeptPlan
    from trainer.store.session import Database, Unit

# Weeks that are proposed to begin with, and the most that may be asked for.
WEEKS, MOST_WEEKS = 13, 104
MOST_LINES = 200
# How long the choice may be looked for.
SECONDS = 5.0


class PlanUnfit(TrainerError):
    """A plan, or what is asked of one, cannot be used as it stands."""

    def __init__(self, why: str) -> None:
        super().__init__(f"{why}; nothing was kept.")


class PlanChanged(TrainerError):
    """Somebody kept a newer version of the plan in the meantime."""

    def __init__(self, version: int, name: str) -> None:
        super().__init__(
            f"{name} kept version {version} of this plan meanwhile; look at it, then keep yours again to go over it."
        )


def room(db: Database, actor: Actor, crew: str, *, now: datetime) -> PlanRoom:
    """Return what a plan for a crew is made from; proposed are the tasks that fall short within 13 weeks.

    Raises:
        NotAllowed: the actor keeps no plans.
        NotFound: there is no such crew for this actor.
    """
    actor.must(Permission.PLAN_KEEP)
    today = now.date()
    with db.reading() as unit:
        found, _, _ = cover.read(unit, actor, crew, today)
        numbers = policy.in_force(unit).policy
        seeing_to_it = _responsible(unit, found)
    short = reckoning.shortages(found.holdings, found.needed, today + timedelta(weeks=WEEKS))
    return PlanRoom(
        crew=crew,
        day=today,
        people=tuple(found.people.items()),
        responsible=seeing_to_it,
        tasks=tuple(found.tasks.values()),
        asked=PlanAsk(
            tuple(item.task for item in short),
            WEEKS,
            None,
            any_one_away=False,
            refresher_weeks=numbers.refresher_weeks,
            new_weeks=numbers.new_weeks,
        ),
    )


def _responsible(unit: Unit, found: CrewCover) -> tuple[tuple[str, str], ...]:
    """Return who can see to a line: mentors of the crew first, then supervisors, then the rest of the crew."""
    mentors, supervisors, others = [], [], []
    for person in people.everybody(unit):
        entry = (person.id, person.display_name)
        if Role.MENTOR.value in person.roles and person.crew == found.crew:
            mentors.append(entry)
        elif Role.SUPERVISOR.value in person.roles:
            supervisors.append(entry)
        elif person.id in found.people:
            others.append(entry)
    return (*mentors, *supervisors, *others)


def propose(db: Database, actor: Actor, crew: str, ask: PlanAsk, *, now: datetime) -> tuple[PlanLine, ...]:
    """Return the smallest set of measures that reaches what is asked, as lines of a plan.

    Candidates are people whose qualification has lapsed or ends by then (a refresher), who are assigned a module for
    the task (a new qualification), and who wait for a signature (no further weeks).

    Raises:
        NotAllowed: the actor keeps no plans.
        NotFound: there is no such crew for this actor.
        PlanUnfit: what is asked cannot be used.
        CoverOutOfReach: no choice is enough; the sentence names the tasks.
        CoverTakesTooLong: no choice was found in time.
    """
    actor.must(Permission.PLAN_KEEP)
    today = now.date()
    with db.reading() as unit:
        found, known, _ = cover.read(unit, actor, crew, today)
        seeing_to_it = _responsible(unit, found)
    _must_be_fit(ask, found)
    then = today + timedelta(weeks=ask.weeks)
    chosen = reckoning.least(
        found.holdings,
        _needed(ask, found),
        then,
        tuple(_candidates(found, known, ask, then)),
        weeks=ask.weeks,
        any_one_away=ask.any_one_away,
        seconds=SECONDS,
    )
    first = seeing_to_it[0][0] if seeing_to_it else ""
    order = list(found.tasks)
    lines = [
        PlanLine(m.person, m.task, m.means, m.weeks, first, today + timedelta(weeks=max(m.weeks, 1)))
        for m in chosen
    ]
    return tuple(sorted(lines, key=lambda line: (line.due, order.index(line.task_id), line.person_id)))


def _must_be_fit(ask: PlanAsk, found: CrewCover) -> None:
    if not ask.tasks:
        raise PlanUnfit("Choose at least one task")
    unknown = [task for task in ask.tasks if task not in found.tasks]
    if unknown:
        raise PlanUnfit(f"The crew has no task {unknown[0]}")
    for name, value in (
        ("weeks there are", ask.weeks),
        ("weeks of a refresher", ask.refresher_weeks),
        ("weeks of a new qualification", ask.new_weeks),
    ):
        if not 1 <= value <= MOST_WEEKS:
            raise PlanUnfit(f"The {name} must be a whole number from 1 to {MOST_WEEKS}")
    if ask.cover is not None and not 1 <= ask.cover <= len(found.people):
        raise PlanUnfit(f"Cover must be from 1 to {len(found.people)}, the number of people of the crew")


def _needed(ask: PlanAsk, found: CrewCover) -> dict[str, int]:
    return {task: ask.cover or found.tasks[task].needed for task in ask.tasks}


def _candidates(found: CrewCover, known: Found, ask: PlanAsk, then: date) -> Iterable[Measure]:
    able = reckoning.able(found.holdings, then)
    held = {(holding.person, holding.task) for holding in found.holdings}
    for task_id in ask.tasks:
        task = found.tasks[task_id]
        for person in found.people:
            if person in able.get(task_id, ()):
                continue
            means = Means.REFRESHER if (person, task_id) in held else Means.NEW
            if known.ready(person, task, found.day) is not None:
                yield Measure(person, task_id, means, 0)
            elif means is Means.REFRESHER:
                yield Measure(person, task_id, means, ask.refresher_weeks)
            elif (person, task_id) in known.assigned:
                yield Measure(person, task_id, means, ask.new_weeks)


def keep(
    db: Database,
    actor: Actor,
    crew: str,
    ask: PlanAsk,
    lines: Sequence[PlanLine],
    *,
    number: int | None = None,
    after: int = 0,
    now: datetime,
) -> PlanHead:
    """Keep a plan, or a further version of one; every version stays.

    Args:
        db: the database.
        actor: who keeps it.
        crew: the crew.
        ask: what the plan is to reach.
        lines: its lines.
        number: of the plan that gets another version, None for a new plan.
        after: the version the lines were changed from.
        now: the time.

    Raises:
        NotAllowed: the actor keeps no plans.
        NotFound: there is no such crew or plan for this actor.
        PlanUnfit: a line cannot be used.
        PlanChanged: the plan has a newer version than the one that was changed.
    """
    actor.must(Permission.PLAN_KEEP)
    today = now.date()
    with db.writing() as unit:
        found, _, _ = cover.read(unit, actor, crew, today)
        before = None
        if number is None:
            number = sequences.take(unit, "plans")
        else:
            before = plans.newest(unit, number)
            if before is None or before.crew != crew:
                raise NotFound("plan", number)
            if before.version != after:
                raise PlanChanged(before.version, before.keeper_name)
        _must_be_fit(ask, found)
        _must_hold(lines, found, dict(_responsible(unit, found)), today, new=before is None)
        made_on = date.fromisoformat(before.sheet["made_on"]) if before else today
        sheet = _as_data(ask, lines, made_on)
        version = after + 1
        if not plans.add(
            unit, number=number, version=version, crew=crew, sheet=sheet, by=actor.person_id, at=now
        ):
            raise PlanChanged(version, "Somebody else")
        journal.note(unit, actor, "plan:keep", at=now, plan=number, version=version, crew=crew, sheet=sheet)
    return PlanHead(number, version, actor.display_name, now, len(lines))


def _must_hold(
    lines: Sequence[PlanLine], found: CrewCover, seeing_to_it: dict[str, str], today: date, *, new: bool
) -> None:
    if not lines:
        raise PlanUnfit("A plan needs at least one line")
    if len(lines) > MOST_LINES:
        raise PlanUnfit(f"A plan holds {MOST_LINES} lines at most")
    seen: set[tuple[str, str]] = set()
    for position, line in enumerate(lines, start=1):
        wrong = ""
        if line.person_id not in found.people:
            wrong = "choose a person of the crew"
        elif line.task_id not in found.tasks:
            wrong = "choose a task of the crew"
        elif (line.person_id, line.task_id) in seen:
            wrong = f"{found.people[line.person_id]} and {line.task_id} stand in the plan already"
        elif line.responsible not in seeing_to_it:
            wrong = "choose who sees to it"
        elif not 0 <= line.weeks <= MOST_WEEKS:
            wrong = f"the weeks must be from 0 to {MOST_WEEKS}"
        elif new and line.due < today:
            wrong = f"{line.due.isoformat()} has passed, choose a later due day"
        if wrong:
            raise PlanUnfit(f"Line {position}: {wrong}")
        seen.add((line.person_id, line.task_id))


def _as_data(ask: PlanAsk, lines: Iterable[PlanLine], made_on: date) -> dict[str, Any]:
    return {
        "made_on": made_on.isoformat(),
        "ask": {
            "tasks": list(ask.tasks),
            "weeks": ask.weeks,
            "cover": ask.cover,
            "any_one_away": ask.any_one_away,
            "refresher_weeks": ask.refresher_weeks,
            "new_weeks": ask.new_weeks,
        },
        "lines": [
            {
                "person": line.person_id,
                "task": line.task_id,
                "means": line.means.value,
                "weeks": line.weeks,
                "responsible": line.responsible,
                "due": line.due.isoformat(),
            }
            for line in lines
        ],
    }


def _lines(kept: KeptPlan) -> tuple[PlanLine, ...]:
    return tuple(
        PlanLine(
            line["person"],
            line["task"],
            Means(line["means"]),
            line["weeks"],
            line["responsible"],
            date.fromisoformat(line["due"]),
        )
        for line in kept.sheet["lines"]
    )


def _ask(kept: KeptPlan) -> PlanAsk:
    asked = kept.sheet["ask"]
    return PlanAsk(**{**asked, "tasks": tuple(asked["tasks"])})


def of_crew(db: Database, actor: Actor, crew: str) -> tuple[PlanHead, ...]:
    """Return the plans of a crew at their newest versions, the newest plan first.

    Raises:
        NotFound: there is no such crew for this actor.
    """
    if not actor.may_for(Permission.CREW_READ, crew=crew):
        raise NotFound("crew", crew)
    with db.reading() as unit:
        return tuple(_head(kept) for kept in plans.of_crew(unit, crew))


def _head(kept: KeptPlan) -> PlanHead:
    return PlanHead(kept.number, kept.version, kept.keeper_name, kept.at, len(kept.sheet["lines"]))


def sheet(db: Database, actor: Actor, number: int, *, version: int | None = None, now: datetime) -> PlanSheet:
    """Return a kept plan, its newest version unless another is asked for, and how far each line is.

    Raises:
        NotAllowed: the actor reads no crew.
        NotFound: there is no such plan or version for this actor.
    """
    actor.must(Permission.CREW_READ)
    today = now.date()
    with db.reading() as unit:
        newest = plans.newest(unit, number)
        kept = newest if version is None else plans.version_of(unit, number, version)
        if newest is None or kept is None or not actor.may_for(Permission.CREW_READ, crew=kept.crew):
            raise NotFound("plan", number)
        found, known, _ = cover.read(unit, actor, kept.crew, today)
        names = {person.id: person.display_name for person in people.everybody(unit, with_retired=True)}
        due = {
            (person_id, item.module_id): item.due
            for person_id, listed in assignments.of_people(unit, crew=kept.crew).items()
            for item in listed
        }
    ask, lines = _ask(kept), _lines(kept)
    made_on = date.fromisoformat(kept.sheet["made_on"])
    for_day = made_on + timedelta(weeks=ask.weeks)
    able = reckoning.able(found.holdings, max(for_day, today))
    after = (*found.holdings, *(Holding(one.person_id, one.task_id, for_day, for_day) for one in lines))
    needed = {task: n for task, n in _needed_of(ask, known).items() if task in known.register.tasks}
    return PlanSheet(
        head=_head(kept),
        newest=newest.version,
        crew=kept.crew,
        made_on=made_on,
        for_day=for_day,
        ask=ask,
        lines=tuple(
            LineShown(
                position=position,
                line=one,
                person=names[one.person_id],
                task=known.register.tasks[one.task_id],
                responsible=names[one.responsible],
                done=one.person_id in able.get(one.task_id, ()),
                assigned=tuple(
                    (module.title, due[one.person_id, module.module_id])
                    for module in known.register.revisions.values()
                    if module.task_id == one.task_id and (one.person_id, module.module_id) in due
                ),
                to_assign=tuple(
                    (module.module_id, module.title)
                    for module in known.register.revisions.values()
                    if module.task_id == one.task_id and (one.person_id, module.module_id) not in due
                )
                if one.person_id in found.people
                else (),
            )
            for position, one in enumerate(lines, start=1)
        ),
        then_short=tuple(
            ShortTask(replace(known.register.tasks[item.task], needed=item.needed), item.have)
            for item in reckoning.shortages(after, needed, for_day)
        ),
        may_keep=actor.may(Permission.PLAN_KEEP),
        may_assign=actor.may_for(Permission.MODULE_ASSIGN, crew=kept.crew),
    )


def _needed_of(ask: PlanAsk, known: Found) -> dict[str, int]:
    tasks = known.register.tasks
    return {task: ask.cover or tasks[task].needed for task in ask.tasks if task in tasks}


def assign_line(
    db: Database, actor: Actor, number: int, position: int, module_id: str, *, now: datetime
) -> None:
    """Turn a line of a plan's newest version into an assignment with the line's due day.

    Raises:
        NotFound: there is no such plan, line or module for this actor.
        DueInThePast: the due day has passed.
        PersonHasLeft: the person has retired.
    """
    found = sheet(db, actor, number, now=now)
    shown = next((one for one in found.lines if one.position == position), None)
    if shown is None or module_id not in dict(shown.to_assign):
        raise NotFound("line to assign", position)
    assign.assign(db, actor, shown.line.person_id, module_id, shown.line.due, now=now)
