"""A change of a procedure that has to be shown anew: what is open, and what becomes of it.

Whoever is qualified under an earlier revision sits for the element classes that the change touches, by the same plans and
numbers, released by a mentor, unaided. Work seen at the bench counts as ever, but none is asked for: that belongs to the
renewal (own choice).
Passed, a supervisor confirms it (`confirm_change.py`); found not ready, the person is evaluated anew as a whole.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Protocol

from trainer.actions import journal, readiness
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.competency.sequential import Decision
from trainer.store import changes, people, qualifications, sittings
from trainer.store.changes import Step

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.published import Prepared
    from trainer.actions.readiness import Assessed
    from trainer.competency.skill_classes import ElementClass
    from trainer.store.changes import Demand
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit

FAILED = "qualification:change_not_shown"
NOTHING_LEFT = "Nothing of what the change touched is left in the revision in force."


class OfRevision(Protocol):
    """What names classes of a revision: a demand as it is kept, or as the log tells it."""

    @property
    def revision(self) -> str:
        """The revision."""

    @property
    def classes(self) -> tuple[str, ...]:
        """The ids of its classes."""


@dataclass(frozen=True)
class ChangeDue:
    """What one person has to show of one module, and where they stand with it.

    `classes` are those of the revision in force that the change touches, `assessed` where the person stands in them; while
    they sit nothing tells that to anybody, because it would give marks away.
    """

    person_id: str
    person_name: str
    crew: str
    task_id: str
    module_id: str
    module_title: str
    revision: str
    number: str
    due: date
    reason: str
    asked_by: str
    classes: tuple[ElementClass, ...]
    assessed: Assessed
    demands: tuple[Demand, ...]
    sits: bool

    @property
    def failed(self) -> bool:
        """It was found not shown; only an evaluation as a whole ends that."""
        return any(demand.failed is not None for demand in self.demands)

    @property
    def shown(self) -> bool:
        """Every class that the change touches is passed, and only the confirmation is missing."""
        return not self.failed and not self.sits and self.assessed.readiness.passed

    @property
    def to_be_shown(self) -> bool:
        """A sitting can still show it, and has not yet."""
        return not self.shown and not self.failed

    @property
    def titles(self) -> str:
        """The classes in words."""
        return "; ".join(element.title for element in self.classes)

    def held_back(self, today: date) -> bool:
        """The person does not work alone at it."""
        return self.failed or today > self.due

    def sentence(self, today: date) -> str:
        """What stands on the sheets: what is to be shown, by when and why."""
        if self.failed:
            failed = next(demand.failed for demand in self.demands if demand.failed is not None)
            return (
                f"{failed.reason} All of it has to be shown anew since {failed.on.isoformat()}, and signed."
            )
        if self.sits:
            return f"To be shown by {self.due.isoformat()}; a sitting is released or under way."
        if self.shown:
            return "Shown; a supervisor has to confirm it."
        late = "was to be shown by" if self.held_back(today) else "to be shown by"
        return f"{self.titles}: {late} {self.due.isoformat()} in a sitting. {self.reason}"


def of_person(unit: Unit, person_id: str) -> tuple[ChangeDue, ...]:
    """Return what a person has open, by module."""
    person = people.by_id(unit, person_id)
    open_ones = [demand for demand in changes.of_person(unit, person_id) if demand.end is None]
    return () if person is None else _by_module(unit, person, open_ones)


def of_module(unit: Unit, person_id: str, module_id: str) -> ChangeDue | None:
    """Return what a person has to show of one module, None without anything."""
    return next((one for one in of_person(unit, person_id) if one.module_id == module_id), None)


def everybody(unit: Unit, crew: str | None = None) -> tuple[ChangeDue, ...]:
    """Return what everybody still here has open, of one crew when asked, the earliest due first."""
    listed: dict[str, list[Demand]] = {}
    for demand in changes.open_ones(unit, crew=crew):
        listed.setdefault(demand.person_id, []).append(demand)
    found: list[ChangeDue] = []
    for person_id, demands in listed.items():
        person = people.by_id(unit, person_id)
        if person is not None:
            found += _by_module(unit, person, demands)
    return tuple(sorted(found, key=lambda one: (one.due, one.person_name, one.module_id)))


def _by_module(unit: Unit, person: Person, demands: Iterable[Demand]) -> tuple[ChangeDue, ...]:
    listed: dict[str, list[Demand]] = {}
    for demand in demands:
        listed.setdefault(demand.module_id, []).append(demand)
    found = (_due(unit, person, tuple(mine)) for mine in listed.values())
    return tuple(one for one in found if one is not None)


def _due(unit: Unit, person: Person, demands: tuple[Demand, ...]) -> ChangeDue | None:
    newest = demands[-1]
    held = held_of(unit, person.id, newest.task_id)
    # Once the task is done no more, or the qualification is over, there is nothing to go on with under the new revision.
    if not held or held[0].stopped or held[0].ended_on is not None:
        return None
    revision = in_force(unit, newest.module_id)
    published = prepared(unit, revision.revision)
    classes = touched(unit, published, demands)
    return ChangeDue(
        person_id=person.id,
        person_name=person.display_name,
        crew=person.crew,
        task_id=newest.task_id,
        module_id=newest.module_id,
        module_title=revision.title,
        revision=revision.revision,
        number=held[0].number,
        due=min(demand.due for demand in demands),
        reason=" ".join(dict.fromkeys(demand.reason for demand in demands)),
        asked_by=newest.by_name,
        classes=classes,
        assessed=readiness.of_person(
            unit, person.id, revision.revision, only=frozenset(element.id for element in classes)
        ),
        demands=demands,
        sits=sittings.open_of(unit, person.id) is not None,
    )


def touched(unit: Unit, published: Prepared, demands: Iterable[OfRevision]) -> tuple[ElementClass, ...]:
    """Return the classes of a revision that hold what demands name; a later revision may have parted them otherwise."""
    skills: set[str] = set()
    for demand in demands:
        for element in prepared(unit, demand.revision).elements:
            if element.id in demand.classes:
                skills.update(element.skills)
    return tuple(element for element in published.elements if skills & set(element.skills))


def held_of(unit: Unit, person_id: str, task_id: str) -> tuple[Qualification, ...]:
    """Return what a person holds or held for a task, the newest first."""
    return qualifications.of_person(unit, person_id, task_id=task_id)


def settle(unit: Unit, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> None:
    """Keep that a change was found not shown, if what was just sat or seen says so.

    Args:
        unit: the transaction in which a sitting ended or an observation was signed.
        actor: whose doing ended it.
        person_id: whose evidence.
        module_id: the module.
        now: the time.
    """
    due = of_module(unit, person_id, module_id)
    # What is open in a sitting is settled with its end.
    if due is None or due.failed or due.sits:
        return
    failed = [
        item.element.title for item in due.assessed.readiness.classes if item.decision is Decision.NOT_READY
    ]
    if not failed:
        return
    because = f"Found not ready in what the change touches: {'; '.join(failed)}."
    today = now.date()
    steps = [
        {
            "demand": demand.id,
            "by": demand.by,
            "by_name": demand.by_name,
            "step": changes.add(
                unit,
                demand,
                Step.NOT_SHOWN,
                on=today,
                reason=because,
                by=demand.by,
                by_name=demand.by_name,
                at=now,
            ),
        }
        for demand in due.demands
    ]
    journal.note(
        unit,
        actor,
        FAILED,
        at=now,
        person=person_id,
        task=due.task_id,
        qualification=due.number,
        module=module_id,
        revision=due.revision,
        steps=steps,
        on=today.isoformat(),
        reason=because,
    )


def due(db: Database, actor: Actor, crew: str | None = None) -> tuple[ChangeDue, ...]:
    """Return what people have to show of changes, of one crew or of all that the actor may see, the earliest due first."""
    actor.must(Permission.CREW_READ)
    with db.reading() as unit:
        return tuple(
            one for one in everybody(unit, crew) if actor.may_for(Permission.CREW_READ, crew=one.crew)
        )


def end_by_signature(
    unit: Unit, actor: Actor, signed: Qualification, *, now: datetime
) -> list[dict[str, Any]]:
    """Let a new signature end what a person had to show for its task, and return what the log says of it.

    It was signed under the revision in force.
    """
    because = f"Shown anew as a whole and signed as {signed.number}."
    return [
        {
            "demand": demand.id,
            "reason": because,
            "step": changes.add(
                unit,
                demand,
                Step.SIGNED_ANEW,
                on=now.date(),
                reason=because,
                by=actor.person_id,
                by_name=actor.display_name,
                at=now,
            ),
        }
        for demand in changes.of_person(unit, signed.person_id)
        if demand.task_id == signed.task_id and demand.end is None
    ]


def statement_of(assessed: Assessed) -> str:
    """Return what a confirmation rests on, in words."""
    return assessed.readiness.sentence if assessed.readiness.classes else NOTHING_LEFT


def shown_data(assessed: Assessed) -> list[dict[str, Any]]:
    """Return what each class came to, as plain values without floats."""
    return [
        {**asdict(one), "decided_on": one.decided_on.isoformat() if one.decided_on else None}
        for one in assessed.on_record()
    ]
