"""Activity statements on their way: rows ⇄ `Waiting`. A statement goes in once, whoever puts it there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select, update

from trainer.store import upserts
from trainer.store.schema.outbox import outbox

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from trainer.store.session import Unit

_WAITS = (outbox.c.sent_at.is_(None), outbox.c.refused == "")


@dataclass(frozen=True)
class Waiting:
    """A statement that is still to go out; `tries` tells how often that failed."""

    id: int
    statement: str
    tries: int
    next_at: datetime


@dataclass(frozen=True)
class Counted:
    """How many statements have arrived, wait and were refused; when the next try is due, and the newest arrival."""

    sent: int
    waiting: int
    refused: int
    tries: int
    next_at: datetime | None
    last_sent_at: datetime | None


@dataclass(frozen=True)
class Refused:
    """A statement that the receiver, or our own rules, would not have; and why."""

    statement_id: str
    entry: int
    why: str


def newest_entry(unit: Unit) -> int:
    """Return the last entry of the log that put something in, 0 before the first."""
    number: int | None = unit.execute(select(func.max(outbox.c.entry))).scalar_one()
    return number or 0


def add(
    unit: Unit, *, statement_id: str, entry: int, statement: str, at: datetime, refused: str = ""
) -> None:
    """Put a statement in, unless it is in already."""
    new = upserts.insert(unit.dialect.name, outbox).values(
        statement_id=statement_id,
        entry=entry,
        statement=statement,
        queued_at=at,
        tries=0,
        next_at=at,
        refused=refused,
    )
    unit.execute(new.on_conflict_do_nothing(index_elements=[outbox.c.statement_id]))


def waiting(unit: Unit, *, limit: int) -> tuple[Waiting, ...]:
    """Return the statements that wait, in the order in which they came in."""
    c = outbox.c
    rows = unit.execute(
        select(c.id, c.statement, c.tries, c.next_at).where(*_WAITS).order_by(c.id).limit(limit)
    )
    return tuple(Waiting(row.id, row.statement, row.tries, row.next_at) for row in rows)


def sent(unit: Unit, ids: Sequence[int], at: datetime) -> None:
    """Note that statements have arrived."""
    unit.execute(update(outbox).where(outbox.c.id.in_(ids), *_WAITS).values(sent_at=at, statement=""))


def refuse(unit: Unit, number: int, why: str) -> None:
    """Note that a statement will not be tried again, and why; its text stays."""
    unit.execute(update(outbox).where(outbox.c.id == number, *_WAITS).values(refused=why))


def put_off(unit: Unit, ids: Sequence[int], until: datetime) -> None:
    """Note that statements could not go out and are not tried before a moment."""
    unit.execute(
        update(outbox).where(outbox.c.id.in_(ids), *_WAITS).values(tries=outbox.c.tries + 1, next_at=until)
    )


def next_due(unit: Unit) -> datetime | None:
    """Return before when nothing is to be tried, None when nothing waits."""
    due: datetime | None = unit.execute(select(func.max(outbox.c.next_at)).where(*_WAITS)).scalar_one()
    return due


def counted(unit: Unit) -> Counted:
    """Return how things stand."""
    c = outbox.c
    row = unit.execute(
        select(
            func.count(c.sent_at).label("sent"),
            func.count().filter(*_WAITS).label("waiting"),
            func.count().filter(c.refused != "").label("refused"),
            func.coalesce(func.max(c.tries).filter(*_WAITS), 0).label("tries"),
            func.max(c.next_at).filter(*_WAITS).label("next_at"),
            func.max(c.sent_at).label("last_sent_at"),
        )
    ).one()
    return Counted(row.sent, row.waiting, row.refused, row.tries, row.next_at, row.last_sent_at)


def refusals(unit: Unit, *, limit: int) -> tuple[Refused, ...]:
    """Return what was refused, newest first."""
    c = outbox.c
    rows = unit.execute(
        select(c.statement_id, c.entry, c.refused).where(c.refused != "").order_by(c.id.desc()).limit(limit)
    )
    return tuple(Refused(row.statement_id, row.entry, row.refused) for row in rows)
