"""Telling people what a revision changes in work they are qualified for (49 CFR 192.805(f), read through its twin).

Whoever was signed off on an earlier revision has the difference to that one before them, until they say that they
have read it. The qualification holds meanwhile (own choice); a supervisor who sees it otherwise suspends for a change.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import journal
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.drills.difference import difference
from trainer.store import modules, notices, people, qualifications

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.drills.difference import Difference
    from trainer.store.modules import Revision
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit


@dataclass(frozen=True)
class NoticeLine:
    """A revision that somebody qualified has to read, and when they did."""

    person_id: str
    person_name: str
    crew: str
    module_id: str
    module_title: str
    document: str
    revision: str
    signed_under: str
    published_at: datetime
    read_at: datetime | None


@dataclass(frozen=True)
class NoticeSheet:
    """One notice with what is different."""

    line: NoticeLine
    difference: Difference


def mine(db: Database, actor: Actor, *, now: datetime) -> tuple[NoticeLine, ...]:
    """Return what the actor has to read, the newest revision first."""
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        return _of_person(unit, actor.person_id, now.date())


def sheet(db: Database, actor: Actor, module_id: str, *, now: datetime) -> NoticeSheet:
    """Return what the revision in force changes in the actor's own work.

    Raises:
        NotFound: there is nothing for the actor to read about this module.
    """
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        line = _line(unit, actor, module_id, now)
        old, new = prepared(unit, line.signed_under), prepared(unit, line.revision)
    return NoticeSheet(line, difference(old.module, new.module))


def acknowledge(db: Database, actor: Actor, module_id: str, revision: str, *, now: datetime) -> None:
    """Keep that the actor has read what a revision changes; saying so again changes nothing.

    Raises:
        NotFound: there is nothing to read, or another revision has come into force since.
    """
    actor.must(Permission.RECORD_OWN)
    with db.writing() as unit:
        line = _line(unit, actor, module_id, now)
        if line.revision != revision:
            raise NotFound("revision in force", revision[:10])
        if notices.read(unit, revision, actor.person_id, now):
            journal.note(
                unit,
                actor,
                "notice:read",
                at=now,
                module=module_id,
                revision=revision,
                signed_under=line.signed_under,
            )


def everybody(db: Database, actor: Actor, *, now: datetime) -> tuple[NoticeLine, ...]:
    """Return who has to read what and when they did, who has not read it first."""
    actor.must(Permission.QUALIFICATION_READ)
    with db.reading() as unit:
        lines = [
            line for person in people.everybody(unit) for line in _of_person(unit, person.id, now.date())
        ]
    return tuple(sorted(lines, key=lambda one: (one.read_at is not None, one.published_at, one.person_name)))


def _line(unit: Unit, actor: Actor, module_id: str, now: datetime) -> NoticeLine:
    for line in _of_person(unit, actor.person_id, now.date()):
        if line.module_id == module_id:
            return line
    raise NotFound("change to read in", module_id)


def _of_person(unit: Unit, person_id: str, today: date) -> tuple[NoticeLine, ...]:
    in_force = {item.module_id: item for item in modules.in_force(unit)}
    newest: dict[str, Qualification] = {}
    for held in qualifications.of_person(unit, person_id):
        newest.setdefault(str(held.record.get("module", "")), held)
    lines = []
    for module_id, held in newest.items():
        revision = in_force.get(module_id)
        if revision is None or held.last_day < today or held.record["revision"] == revision.revision:
            continue
        lines.append(_noted(unit, person_id, held, revision))
    return tuple(sorted(lines, key=lambda line: line.published_at, reverse=True))


def _noted(unit: Unit, person_id: str, held: Qualification, revision: Revision) -> NoticeLine:
    person = people.by_id(unit, person_id)
    return NoticeLine(
        person_id=person_id,
        person_name=person.display_name if person else person_id,
        crew=person.crew if person else "",
        module_id=revision.module_id,
        module_title=revision.title,
        document=revision.document,
        revision=revision.revision,
        signed_under=str(held.record["revision"]),
        published_at=revision.published_at,
        read_at=notices.reads_of(unit, revision.revision).get(person_id),
    )
