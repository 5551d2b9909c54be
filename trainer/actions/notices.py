"""Telling people what a revision changes in work they are qualified for (49 CFR 192.805(f), read through its twin).

Whoever was signed off on an earlier revision has the difference to that one before them, until they say that they
have read it. The qualification holds meanwhile (own choice); what the keeper wants shown anew is in `actions/changes.py`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.actions import changes, journal
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.drills.difference import difference
from trainer.store import changes as store_changes
from trainer.store import notices
from trainer.store.changes import Step

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.drills.difference import Difference
    from trainer.store.notices import NoticeLine as NoticeLine
    from trainer.store.session import Database, Unit


@dataclass(frozen=True)
class NoticeSheet:
    """One notice with what is different."""

    line: NoticeLine
    difference: Difference


def mine(db: Database, actor: Actor, *, now: datetime) -> tuple[NoticeLine, ...]:
    """Return what the actor has to read, the newest revision first."""
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        return _to_read(unit, now.date(), actor.person_id)


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
        lines = _to_read(unit, now.date())
    return tuple(sorted(lines, key=lambda one: (one.read_at is not None, one.published_at, one.person_name)))


def _line(unit: Unit, actor: Actor, module_id: str, now: datetime) -> NoticeLine:
    for line in _to_read(unit, now.date(), actor.person_id):
        if line.module_id == module_id:
            return line
    raise NotFound("change to read in", module_id)


def _to_read(unit: Unit, today: date, person_id: str | None = None) -> tuple[NoticeLine, ...]:
    lines = notices.to_read(unit, today, person_id=person_id)
    return tuple(replace(line, to_show=_to_show(unit, line, today)) for line in lines)


def _to_show(unit: Unit, line: NoticeLine, today: date) -> str:
    mine = [one for one in store_changes.of_person(unit, line.person_id) if one.module_id == line.module_id]
    ends = [one.end for one in mine if one.end is not None and one.end.act is Step.SHOWN]
    if any(end.evidence["revision"] == line.revision for end in ends):
        return "Shown, and confirmed by a supervisor."
    change = changes.of_module(unit, line.person_id, line.module_id) if mine else None
    return change.sentence(today) if change else ""
