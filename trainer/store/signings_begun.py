"""What somebody wants to sign while they show again at a provider who they are: rows ⇄ `SigningBegun`, for minutes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import delete, insert, select, update

from trainer.store.schema.people import signings_begun

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.session import Unit


@dataclass(frozen=True)
class SigningBegun:
    """The form that waits; `shown_at` is when its person came back from the provider, None before."""

    ticket_hash: str
    person_id: str
    session_id: int
    path: str
    fields: str
    digest: str
    at: datetime
    shown_at: datetime | None = None


def add(unit: Unit, begun: SigningBegun) -> None:
    """Keep a form that waits."""
    unit.execute(insert(signings_begun).values(**begun.__dict__))


def by_ticket(unit: Unit, ticket_hash: str) -> SigningBegun | None:
    """Return the form that waits under a ticket, or None."""
    row = unit.execute(
        select(signings_begun).where(signings_begun.c.ticket_hash == ticket_hash)
    ).one_or_none()
    return None if row is None else SigningBegun(**row._mapping)


def show(unit: Unit, ticket_hash: str, at: datetime) -> None:
    """Keep when the person came back from the provider."""
    kept = signings_begun.c.ticket_hash == ticket_hash
    unit.execute(update(signings_begun).where(kept).values(shown_at=at))


def take(unit: Unit, ticket_hash: str) -> bool:
    """Forget a form that waits; return whether it was still there, so that of two only one signs by it."""
    gone = unit.execute(delete(signings_begun).where(signings_begun.c.ticket_hash == ticket_hash))
    return bool(gone.rowcount)


def forget(unit: Unit, *, before: datetime) -> None:
    """Forget the forms that nobody came back for."""
    unit.execute(delete(signings_begun).where(signings_begun.c.at < before))
