"""Addresses for reminders and what was told: rows ⇄ values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, select, update

from trainer.store.schema.mails import mail_addresses, mails_told
from trainer.store.schema.people import people
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Address:
    """Where a person's reminders go; `paused` when they want none."""

    address: str
    paused: bool


def address_of(unit: Unit, person_id: str) -> Address | None:
    """Return a person's address, or None."""
    a = mail_addresses.c
    row = unit.execute(select(a.address, a.paused).where(a.person_id == person_id)).one_or_none()
    return None if row is None else Address(row.address, row.paused)


def reachable(unit: Unit) -> dict[str, str]:
    """Return the addresses of everybody still here who wants reminders, by number of person."""
    a = mail_addresses.c
    rows = unit.execute(
        select(a.person_id, a.address)
        .join(people, people.c.id == a.person_id)
        .where(a.paused.is_(False), people.c.retired_at.is_(None))
    )
    return {row.person_id: row.address for row in rows}


def put(unit: Unit, person_id: str, address: str, at: datetime) -> None:
    """Keep a person's address; whether they want reminders stays as they set it."""
    unit.execute(
        insert(unit.dialect.name, mail_addresses)
        .values(person_id=person_id, address=address, at=at)
        .on_conflict_do_update(
            index_elements=[mail_addresses.c.person_id], set_={"address": address, "at": at}
        )
    )


def remove(unit: Unit, person_id: str) -> None:
    """Forget a person's address."""
    unit.execute(delete(mail_addresses).where(mail_addresses.c.person_id == person_id))


def pause(unit: Unit, person_id: str, *, paused: bool) -> bool:
    """Note whether a person wants reminders; return whether they have an address."""
    done = unit.execute(
        update(mail_addresses).where(mail_addresses.c.person_id == person_id).values(paused=paused)
    )
    return bool(done.rowcount)


def told(unit: Unit) -> frozenset[tuple[str, str]]:
    """Return what was told, is being told, or may have been told, as (person, item)."""
    t = mails_told.c
    return frozenset((row.person_id, row.item) for row in unit.execute(select(t.person_id, t.item)))


@dataclass(frozen=True)
class Told:
    """One item of a message to a person: sent, unsure, or just being sent."""

    item: str
    state: str
    at: datetime


def told_to(unit: Unit, person_id: str) -> tuple[Told, ...]:
    """Return what a person was told by mail, the earliest first."""
    t = mails_told.c
    rows = unit.execute(select(t.item, t.state, t.at).where(t.person_id == person_id).order_by(t.at, t.item))
    return tuple(Told(row.item, row.state, row.at) for row in rows)


def claim(unit: Unit, person_id: str, items: Iterable[str], message: str, at: datetime) -> bool:
    """Claim the items of a message; return False when one of them is claimed already."""
    wanted = [
        {"person_id": person_id, "item": item, "message": message, "state": "claimed", "at": at}
        for item in items
    ]
    new = insert(unit.dialect.name, mails_told).values(wanted)
    unless_there = new.on_conflict_do_nothing(index_elements=[mails_told.c.person_id, mails_told.c.item])
    return len(unit.execute(unless_there.returning(mails_told.c.item)).all()) == len(wanted)


def release(unit: Unit, message: str) -> None:
    """Give back the items of a message that was surely not sent."""
    unit.execute(delete(mails_told).where(mails_told.c.message == message, mails_told.c.state == "claimed"))


def settle(unit: Unit, message: str, *, sure: bool) -> None:
    """Note that a message was sent, or that it may have been."""
    unit.execute(
        update(mails_told).where(mails_told.c.message == message).values(state="sent" if sure else "unsure")
    )


def left_behind(unit: Unit, before: datetime) -> tuple[str, ...]:
    """Note as unsure what was claimed before a time and never settled; return the people it was meant for."""
    t = mails_told.c
    rows = unit.execute(
        update(mails_told)
        .where(t.state == "claimed", t.at < before)
        .values(state="unsure")
        .returning(t.person_id)
    )
    return tuple(sorted({row.person_id for row in rows}))
