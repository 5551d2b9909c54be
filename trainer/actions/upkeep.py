"""Keeping an installation up to date: its schema, its register of covered tasks, its summaries."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from trainer.actions import journal
from trainer.actions.opening import unopened
from trainer.actions.permissions import Permission
from trainer.actions.rebuild import carried
from trainer.records import key_file
from trainer.store import events, summaries, tasks
from trainer.store import upgrade as schema

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.records.qualification import CoveredTask
    from trainer.settings import Settings
    from trainer.store.session import Database


def upgrade(settings: Settings) -> tuple[str, ...]:
    """Bring the database of an installation to the present schema, making it if there is none.

    Returns:
        A sentence for each thing done; one that says so when there was nothing to do.

    Raises:
        DatabaseOutOfReach: the database cannot be opened.
        SchemaUnknown: the database was made by a newer program.
        KeyFileUnusable: the key that signs the log cannot be kept.
    """
    done: list[str] = []
    with unopened(settings) as db:
        if db.is_sqlite and db.url.database:
            done += _make_folder(db.url.database)
        changes = schema.to_newest(db)
        done += changes or [f"The database has the present schema, {schema.newest()}."]
    return (*done, *_make_key(settings))


def _make_key(settings: Settings) -> list[str]:
    if key_file.exists(settings.keys):
        return []
    made = key_file.make(settings.keys, settings.log_name)
    return [f"Made the key that signs the log, under the name {made.name}; keep a copy of {settings.keys}."]


def _make_folder(path: str) -> list[str]:
    folder = Path(path).resolve().parent
    if folder.is_dir():
        return []
    folder.mkdir(parents=True)
    return [f"Made the folder {folder}."]


def carry_rows(db: Database, actor: Actor, *, now: datetime) -> tuple[str, ...]:
    """Write into the log, once, what the entries of an earlier program did not tell, so that rows can be made of it.

    Returns:
        A sentence that says so; nothing where the log tells everything.
    """
    actor.must(Permission.LEDGER_SIGN)
    with db.writing() as unit:
        if not carried.is_short(unit):
            return ()
        events.hold(unit)
        done = carried.write(unit, now=now)
    return (f"Carried the rows of an earlier program into the log, in {done} entries.",)


def registered_tasks(db: Database, actor: Actor) -> tuple[CoveredTask, ...]:
    """Return the covered tasks of the register, by number."""
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        return tuple(task for _, task in sorted(tasks.every(unit).items()))


def rebuild_summaries(db: Database, actor: Actor, *, now: datetime) -> int:
    """Make the summaries of practice anew from the attempts; return how many there are."""
    actor.must(Permission.PEOPLE_MANAGE)
    with db.writing() as unit:
        made = summaries.rebuild(unit)
        journal.note(unit, actor, "summary:rebuild", at=now, rows=made)
    return made
