"""The log of what people do, written in the transaction that does it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, func, or_, select, text

from trainer.records import canonical
from trainer.records.log_entry import entry, moment
from trainer.store import ledger
from trainer.store.schema.log import events

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit

# An arbitrary number that stands for "the end of the log" among PostgreSQL's advisory locks.
_LOG_LOCK = 7_104_001
_AT_ONCE = 1000


@dataclass(frozen=True)
class Event:
    """Who did what and when; `person_id` is "" for the command line on the host."""

    number: int
    at: datetime
    person_id: str
    action: str
    payload: str

    @property
    def is_destroyed(self) -> bool:
        """Its payload is gone: it was kept long enough, and two people decided so."""
        return not self.payload


# Built once: it is part of every change that anybody makes.
_ADD = (
    events.insert()
    .from_select(
        list(events.c),
        select(
            func.coalesce(func.max(events.c.number), 0) + 1,
            *(
                bindparam(column.name, type_=column.type)
                for column in (events.c.at, events.c.person_id, events.c.action, events.c.payload)
            ),
        ),
    )
    .returning(events.c.number)
)


def add(unit: Unit, *, at: datetime, person_id: str, action: str, payload: dict[str, Any]) -> int:
    """Return the number of the new entry; numbers have no gap and follow the order of commit.

    Call it last in a unit of work: on PostgreSQL it holds the end of the log until the commit.
    """
    hold(unit)
    values: dict[str, Any] = {
        "at": at,
        "person_id": person_id or None,
        "action": action,
        "payload": canonical.written(payload),
    }
    number: int = unit.execute(_ADD, values).scalar_one()
    written = entry(
        number=number, at=moment(at), person_id=person_id, action=action, payload=values["payload"]
    )
    ledger.append(unit, number, written)
    return number


def of_person(unit: Unit, person_id: str, actions: Iterable[str]) -> Iterator[Event]:
    """Yield what a person did of some actions, in its order; what was destroyed is passed over."""
    wanted = select(events).where(
        events.c.person_id == person_id, events.c.action.in_(tuple(actions)), events.c.payload != ""
    )
    for row in unit.execute(wanted.order_by(events.c.number)):
        yield _event(row)


def naming(unit: Unit, person_id: str, words: Iterable[str] = ()) -> Iterator[Event]:
    """Yield what a person did and whatever names them or one of some words in its payload, in its order.

    Args:
        unit: the transaction.
        person_id: number of the person.
        words: numbers of records and the like, as they stand in a payload.
    """
    named = [events.c.payload.contains(f'"{word}"', autoescape=True) for word in (person_id, *words)]
    wanted = select(events).where(or_(events.c.person_id == person_id, *named))
    for row in unit.execute(wanted.order_by(events.c.number)):
        yield _event(row)


def by_action(unit: Unit, actions: Iterable[str]) -> Iterator[Event]:
    """Yield what anybody did of some actions, in its order; what was destroyed is passed over."""
    wanted = select(events).where(events.c.action.in_(tuple(actions)), events.c.payload != "")
    for row in unit.execute(wanted.order_by(events.c.number)):
        yield _event(row)


def since(unit: Unit, number: int = 0) -> Iterator[Event]:
    """Yield the entries after a number, in their order; memory stays the same however many there are.

    Those whose payload was destroyed say so.
    """
    asked = select(events).where(events.c.number > number).order_by(events.c.number)
    # Closed also when the reader stops half way: a server's cursor would stay open.
    with unit.execute(asked.execution_options(yield_per=_AT_ONCE)) as rows:
        for part in rows.partitions():
            for row in part:
                yield _event(row)


def newest(unit: Unit, action: str) -> Event | None:
    """Return the newest entry of an action that has its payload, or None."""
    return _first(unit, action, events.c.number.desc())


def oldest(unit: Unit, action: str) -> Event | None:
    """Return the oldest entry of an action that has its payload, or None."""
    return _first(unit, action, events.c.number)


def _first(unit: Unit, action: str, order: Any) -> Event | None:
    row = unit.execute(
        select(events).where(events.c.action == action, events.c.payload != "").order_by(order).limit(1)
    ).one_or_none()
    return None if row is None else _event(row)


def hold(unit: Unit) -> None:
    """Hold the end of the log until the transaction ends: nobody adds to it meanwhile."""
    if unit.dialect.name == "postgresql":
        unit.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOG_LOCK})


def _event(row: Row[Any]) -> Event:
    return Event(row.number, row.at, row.person_id or "", row.action, row.payload)
