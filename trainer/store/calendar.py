"""Secret addresses of calendars. Of an address only the hash comes here."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import insert, select, update

from trainer.store.schema.calendar import calendar_addresses

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.session import Unit


def add(unit: Unit, person_id: str, *, token_hash: str, at: datetime) -> int:
    """Return the number of a person's new address; one that is in force has to be ended before."""
    kept = insert(calendar_addresses).values(person_id=person_id, token_hash=token_hash, made_at=at)
    number: int = unit.execute(kept.returning(calendar_addresses.c.id)).scalar_one()
    return number


def end(unit: Unit, person_id: str, at: datetime) -> int | None:
    """End the address of a person that is in force; return its number, None when there is none."""
    c = calendar_addresses.c
    ended = (
        update(calendar_addresses)
        .where(c.person_id == person_id, c.ended_at.is_(None))
        .values(ended_at=at)
        .returning(c.id)
    )
    number: int | None = unit.execute(ended).scalar_one_or_none()
    return number


def made_at(unit: Unit, person_id: str) -> datetime | None:
    """Return since when a person has the address in force, None without one."""
    c = calendar_addresses.c
    found: datetime | None = unit.execute(
        select(c.made_at).where(c.person_id == person_id, c.ended_at.is_(None))
    ).scalar_one_or_none()
    return found


def owner(unit: Unit, token_hash: str) -> str | None:
    """Return whose address in force this is, or None."""
    c = calendar_addresses.c
    found: str | None = unit.execute(
        select(c.person_id).where(c.token_hash == token_hash, c.ended_at.is_(None))
    ).scalar_one_or_none()
    return found


def ever_of(unit: Unit, person_id: str) -> tuple[tuple[datetime, datetime | None], ...]:
    """Return from when to when each address of a person was in force (None: it still is), the oldest first."""
    c = calendar_addresses.c
    rows = unit.execute(select(c.made_at, c.ended_at).where(c.person_id == person_id).order_by(c.id))
    return tuple((row.made_at, row.ended_at) for row in rows)
