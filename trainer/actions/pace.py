"""How fast is forgotten, by task and by person, from what was shown again after a while; for who sets the numbers."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from trainer.actions import guidance, policy
from trainer.actions.actor import NotAllowed
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.competency.retention import half_lives, interval_days, refreshers
from trainer.competency.skill_classes import SkillClass
from trainer.store import attempts, modules, people

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.competency.policy import Policy
    from trainer.competency.retention import HalfLife, Refresher
    from trainer.store.modules import Revision
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit


@dataclass(frozen=True)
class PaceOfPerson:
    """What one person's refreshers of a task say: how many, how many right, and the half-life in days."""

    person_id: str
    name: str
    refreshers: int
    right: int
    half_life_days: float


@dataclass(frozen=True)
class PaceOfTask:
    """What all refreshers of a procedure say, with the intervals that the learnt half-life would give.

    `people` are those that the actor looks after and who have refreshers.
    """

    module_id: str
    title: str
    refreshers: int
    right: int
    half_life_days: float
    longest_days: float
    interval_days: dict[SkillClass, int]
    people: tuple[PaceOfPerson, ...]


@dataclass(frozen=True)
class PaceSheet:
    """The pace of every procedure in force, beside the half-life that the policy sets."""

    policy: Policy
    tasks: tuple[PaceOfTask, ...]


def sheet(db: Database, actor: Actor) -> PaceSheet:
    """Return what refreshers say of every procedure in force.

    Raises:
        NotAllowed: the actor neither sets the numbers nor looks after anybody.
    """
    if not (actor.may(Permission.POLICY_SET) or actor.may(Permission.ATTEMPT_READ)):
        raise NotAllowed(Permission.POLICY_SET)
    with db.reading() as unit:
        numbers = policy.in_force(unit).policy
        known = {person.id: person for person in people.everybody(unit)}
        return PaceSheet(
            numbers, tuple(_of_task(unit, actor, item, numbers, known) for item in modules.in_force(unit))
        )


def _of_task(
    unit: Unit, actor: Actor, revision: Revision, numbers: Policy, known: dict[str, Person]
) -> PaceOfTask:
    found = _refreshers(unit, revision, numbers)
    task, each = half_lives(found.items(), numbers)
    everybody = [item for items in found.values() for item in items]
    return PaceOfTask(
        module_id=revision.module_id,
        title=revision.title,
        refreshers=task.refreshers,
        right=sum(item.right for item in everybody),
        half_life_days=task.days,
        longest_days=task.longest_observed,
        interval_days={
            skill_class: interval_days(numbers, skill_class, pace=task) for skill_class in SkillClass
        },
        people=tuple(
            _of_person(known[person_id], items, each[person_id])
            for person_id, items in sorted(found.items())
            if person_id in known and actor.may_for(Permission.ATTEMPT_READ, crew=known[person_id].crew)
        ),
    )


def _of_person(person: Person, items: list[Refresher], learnt: HalfLife) -> PaceOfPerson:
    return PaceOfPerson(
        person.id, person.display_name, len(items), sum(item.right for item in items), learnt.days
    )


def _refreshers(unit: Unit, revision: Revision, numbers: Policy) -> dict[str, list[Refresher]]:
    """Return the refreshers of each person who has any, over all revisions: a new text makes nobody forget."""
    published = prepared(unit, revision.revision)
    found: dict[str, list[Refresher]] = {}
    rows = attempts.times_shown(unit, revision.module_id)
    for (person_id, skill_id), group in groupby(rows, key=lambda row: (row.person_id, row.skill)):
        skill = published.skill(skill_id)
        floor = guidance.guess_of(published, skill) if skill else 0.0
        seen = refreshers(
            ((row.at, row.right) for row in group), least_days=numbers.refresher_after_days, floor=floor
        )
        if seen:
            found.setdefault(person_id, []).extend(seen)
    return found
