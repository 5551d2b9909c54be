"""What a revision means for people who are qualified: what it touches, whom, and whether it has to be shown anew.

49 CFR 192.805(f), read through its twin, asks that changes are told to those who do the task; that the keeper may ask for a
change to be shown, and that this is the answer where it touches what can hurt somebody or abnormal conditions unless the
keeper says otherwise, is our own choice. A record transcribed from an earlier paper names no revision of ours, so whoever
holds nothing else is told of no change.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from trainer.actions import policy
from trainer.actions.published import prepared
from trainer.competency.skill_classes import SkillClass
from trainer.drills.difference import difference
from trainer.drills.element_classes import element_classes
from trainer.errors import TrainerError
from trainer.store import changes, people, qualifications
from trainer.store.changes import Step

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.competency.skill_classes import ElementClass
    from trainer.drills.difference import Difference
    from trainer.procedure.model import Module
    from trainer.store.changes import Demand
    from trainer.store.modules import Revision
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Unit

_LONGEST_REASON = 2000
_MOST_KEPT = 50
_differences: dict[tuple[str, str], Difference] = {}


class ChangeUndecided(TrainerError):
    """The decision whether a change has to be shown cannot be kept as it stands; the text says why."""


@dataclass(frozen=True)
class Concerned:
    """Somebody who is qualified under an earlier revision; `signed_under` is the one that they last showed."""

    person_id: str
    person_name: str
    crew: str
    task_id: str
    number: str
    signed_under: str


@dataclass(frozen=True)
class Publication:
    """What publishing a revision would do.

    `replaces` is the revision in force, "" for a new module, and `difference` what is different, None without one.
    `classes` are those of the new revision that are touched; `must_show` is what follows unless the keeper says
    otherwise, `due` the last day for showing it.
    """

    module_id: str
    title: str
    document: str
    revision: str
    replaces: str
    difference: Difference | None
    classes: tuple[ElementClass, ...]
    must_show: bool
    concerned: tuple[Concerned, ...]
    due: date

    @property
    def is_new(self) -> bool:
        """Another revision than the one in force."""
        return self.revision != self.replaces

    @property
    def weighty(self) -> tuple[ElementClass, ...]:
        """The classes touched in which an error can hurt somebody, or an abnormal condition has to be recognised."""
        return tuple(element for element in self.classes if element.skill_class is not SkillClass.ORDINARY)


def look(unit: Unit, module: Module, before: Revision | None, today: date) -> Publication:
    """Return what publishing a module would do; nothing is changed."""
    replaces = before.revision if before else ""
    found = None
    touched: tuple[ElementClass, ...] = ()
    if replaces and replaces != module.revision:
        found = _difference(unit, replaces, module)
        names = {skill.id for skill in found.skills}
        touched = tuple(one for one in element_classes(module) if names & set(one.skills))
    return Publication(
        module_id=module.id,
        title=module.title,
        document=module.document,
        revision=module.revision,
        replaces=replaces,
        difference=found,
        classes=touched,
        must_show=any(one.skill_class is not SkillClass.ORDINARY for one in touched),
        concerned=_concerned(unit, module, today) if found else (),
        due=today + timedelta(days=policy.in_force(unit).policy.change_days),
    )


def _difference(unit: Unit, old: str, new: Module) -> Difference:
    key = old, new.revision
    if key not in _differences:
        if len(_differences) >= _MOST_KEPT:
            _differences.clear()
        _differences[key] = difference(prepared(unit, old).module, new)
    return _differences[key]


def _concerned(unit: Unit, module: Module, today: date) -> tuple[Concerned, ...]:
    found = (_one(unit, person, module, today) for person in people.everybody(unit, with_retired=False))
    return tuple(one for one in found if one is not None)


def _one(unit: Unit, person: Person, module: Module, today: date) -> Concerned | None:
    held = newest_of(unit, person.id, module.id)
    if held is None or held.stopped or held.last_day < today:
        return None
    under = shown_under(unit, held)
    if under == module.revision:
        return None
    return Concerned(person.id, person.display_name, person.crew, held.task_id, held.number, under)


def newest_of(unit: Unit, person_id: str, module_id: str) -> Qualification | None:
    """Return the newest qualification of a person that was signed on a module, or None."""
    mine = qualifications.of_person(unit, person_id)
    return next((item for item in mine if item.record.get("module") == module_id), None)


def shown_under(unit: Unit, held: Qualification) -> str:
    """Return the revision that somebody last showed: the one they were signed under, or a later one confirmed since."""
    confirmed = [
        demand.end.evidence["revision"]
        for demand in changes.of_person(unit, held.person_id)
        if demand.module_id == held.record["module"]
        and demand.end is not None
        and demand.end.act is Step.SHOWN
        and demand.end.at >= held.signed_at
    ]
    return str(confirmed[-1] if confirmed else held.record["revision"])


def decided(found: Publication, must_show: bool | None, because: str) -> tuple[bool, str]:
    """Return whether the change has to be shown, and why, as it is kept.

    Args:
        found: what publishing would do.
        must_show: what the keeper says; None leaves it at what follows by itself.
        because: why, in writing; needed where the keeper decides about anybody.

    Raises:
        ChangeUndecided: the reason is missing or far too long, or nothing is touched that could be shown.
    """
    reason = because.strip()
    if len(reason) > _LONGEST_REASON:
        raise ChangeUndecided(f"Write down why in at most {_LONGEST_REASON} characters.")
    shows = found.must_show if must_show is None else must_show
    if shows and not found.classes:
        raise ChangeUndecided(
            "The change touches nothing that drills ask about, so nobody can show it in a sitting."
        )
    if reason or not found.concerned:
        return shows, reason
    if must_show is not None and (must_show or found.must_show):
        raise ChangeUndecided("Write down why the change has to be shown anew, or why not.")
    if not shows:
        return False, ""
    return True, f"It touches what can hurt somebody or abnormal conditions: {_titles(found.weighty)}."


def _titles(classes: tuple[ElementClass, ...]) -> str:
    return "; ".join(one.title for one in classes)


def ask(
    unit: Unit, actor: Actor, found: Publication, *, must_show: bool, because: str, now: datetime
) -> dict[str, Any]:
    """Ask everybody concerned to show a change, end what a return to an earlier revision makes idle, and say so for the log.

    Args:
        unit: the transaction in which the revision is kept and put in force.
        actor: who publishes.
        found: what publishing does.
        must_show: whether the change has to be shown anew.
        because: why.
        now: the time.
    """
    asked = []
    for one in found.concerned if must_show else ():
        number = changes.ask(
            unit,
            person_id=one.person_id,
            task_id=one.task_id,
            number=one.number,
            module_id=found.module_id,
            revision=found.revision,
            signed_under=one.signed_under,
            classes=[element.id for element in found.classes],
            reason=because or f"It touches {_titles(found.classes)}.",
            due=found.due,
            by=actor.person_id,
            by_name=actor.display_name,
            at=now,
        )
        asked.append(
            {
                "demand": number,
                "person": one.person_id,
                "task": one.task_id,
                "qualification": one.number,
                "signed_under": one.signed_under,
            }
        )
    return {
        "must_show": must_show,
        "because": because or (f"It touches {_titles(found.classes)}." if must_show else ""),
        "classes": [element.id for element in found.classes],
        "due": found.due.isoformat() if must_show else "",
        "asked": asked,
        "recalled": [_recall(unit, actor, demand, now) for demand in _idle(unit, found)],
        "by_name": actor.display_name,
    }


def _idle(unit: Unit, found: Publication) -> list[Demand]:
    """Return what is open of people who last showed the very revision that comes into force (again)."""
    idle = []
    for demand in changes.of_module(unit, found.module_id):
        held = newest_of(unit, demand.person_id, found.module_id) if demand.end is None else None
        if held is not None and demand.failed is None and shown_under(unit, held) == found.revision:
            idle.append(demand)
    return idle


def _recall(unit: Unit, actor: Actor, demand: Demand, now: datetime) -> dict[str, Any]:
    because = f"Revision {demand.signed_under[:10]}, which was shown, is in force again."
    step = changes.add(
        unit,
        demand,
        Step.RECALLED,
        on=now.date(),
        reason=because,
        by=actor.person_id,
        by_name=actor.display_name,
        at=now,
    )
    return {"demand": demand.id, "person": demand.person_id, "step": step, "reason": because}
