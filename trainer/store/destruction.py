"""Destroying what was kept of one person at one task: rows and photographs, statements, and the payloads of log entries.

The guards of every table let exactly these rows go, once a confirmation is kept, and nothing else.
"""

from __future__ import annotations

from contextlib import closing
from typing import TYPE_CHECKING, Any

from sqlalchemy import delete, exists, insert, select, text, update

from trainer.store.schema.attempts import attempts, skill_summaries
from trainer.store.schema.changes import change_demands, change_steps
from trainer.store.schema.earlier import earlier_checks, earlier_qualifications
from trainer.store.schema.keeping import destroyed_entries
from trainer.store.schema.life import life_events
from trainer.store.schema.log import events
from trainer.store.schema.modules import assignments, module_revisions
from trainer.store.schema.observations import evaluation_observations, observation_entries, observations
from trainer.store.schema.outbox import outbox
from trainer.store.schema.photographs import observation_photographs, photographs
from trainer.store.schema.qualifications import evaluations, qualifications
from trainer.store.schema.sittings import sitting_answers, sitting_ends, sitting_questions, sittings

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from sqlalchemy import Table

    from trainer.store.session import Database, Unit

_AT_ONCE = 500
NOT_SENT = "Destroyed after it had been kept long enough; not sent."


def entries(unit: Unit, numbers: Sequence[int], confirmation: int) -> None:
    """Destroy the payloads of entries of the log, and of the statements that were made of them.

    Args:
        unit: the transaction.
        numbers: the entries.
        confirmation: number of the word that confirmed it, kept in the same transaction.
    """
    overwrite(unit)
    for begin in range(0, len(numbers), _AT_ONCE):
        part = numbers[begin : begin + _AT_ONCE]
        unit.execute(
            insert(destroyed_entries),
            [{"number": number, "confirmation": confirmation, "act": "confirmed"} for number in part],
        )
        unit.execute(update(events).where(events.c.number.in_(part)).values(payload=""))
        waits = outbox.c.sent_at.is_(None)
        unit.execute(
            update(outbox).where(outbox.c.entry.in_(part), waits).values(statement="", refused=NOT_SENT)
        )


def rows(unit: Unit, person_id: str, task_id: str) -> None:
    """Destroy the rows and photographs of a person at a task."""
    overwrite(unit)
    revisions = select(module_revisions.c.revision).where(module_revisions.c.covered_task_id == task_id)

    def of_task(table: Table) -> Any:
        return (table.c.person_id == person_id) & (table.c.covered_task_id == task_id)

    def of_revision(table: Table) -> Any:
        return (table.c.person_id == person_id) & table.c.revision.in_(revisions)

    _parts(unit, change_demands.c.id, of_task(change_demands), (change_steps.c.demand,))
    _whole(unit, life_events, of_task(life_events))
    _parts(unit, earlier_qualifications.c.number, of_task(earlier_qualifications), (earlier_checks.c.number,))
    _whole(unit, qualifications, of_task(qualifications))
    _parts(unit, evaluations.c.id, of_task(evaluations), (evaluation_observations.c.evaluation_id,))
    pictured = _pictures(unit, of_task(observations))
    _parts(
        unit,
        observations.c.id,
        of_task(observations),
        (observation_entries.c.observation_id, observation_photographs.c.observation_id),
    )
    _unused(unit, pictured)
    _parts(
        unit,
        sittings.c.id,
        of_revision(sittings),
        (sitting_answers.c.sitting_id, sitting_questions.c.sitting_id, sitting_ends.c.sitting_id),
    )
    named = select(module_revisions.c.module_id).where(module_revisions.c.covered_task_id == task_id)
    _whole(unit, assignments, (assignments.c.person_id == person_id) & assignments.c.module_id.in_(named))
    _whole(unit, attempts, of_revision(attempts))
    _whole(unit, skill_summaries, of_revision(skill_summaries))


def overwrite(unit: Unit) -> None:
    """Let SQLite write zeros over what is deleted, instead of leaving it in the file until the room is needed."""
    if unit.dialect.name == "sqlite":
        unit.execute(text("PRAGMA secure_delete=ON"))


def settle(db: Database) -> None:
    """Bring the zeros into the file and empty what SQLite keeps beside it; elsewhere the server does that by itself."""
    if db.is_sqlite:
        # Outside of any transaction; while others read, what they still need stays until the next time.
        with closing(db.engine.raw_connection()) as held:
            held.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _parts(unit: Unit, key: Any, of_whole: Any, parts: Iterable[Any]) -> None:
    """Delete the parts of some rows, then the rows."""
    wholes = select(key).where(of_whole)
    for column in parts:
        unit.execute(delete(column.table).where(column.in_(wholes)))
    _whole(unit, key.table, of_whole)


def _whole(unit: Unit, table: Table, condition: Any) -> None:
    unit.execute(delete(table).where(condition))


def _pictures(unit: Unit, of_whole: Any) -> list[str]:
    asked = (
        select(observation_photographs.c.sha256)
        .distinct()
        .join(observations, observations.c.id == observation_photographs.c.observation_id)
        .where(of_whole)
    )
    return list(unit.execute(asked).scalars())


def _unused(unit: Unit, sha256: Sequence[str]) -> None:
    """Delete photographs that go with no observation any more."""
    used = exists().where(observation_photographs.c.sha256 == photographs.c.sha256)
    for begin in range(0, len(sha256), _AT_ONCE):
        part = sha256[begin : begin + _AT_ONCE]
        unit.execute(delete(photographs).where(photographs.c.sha256.in_(part), ~used))
