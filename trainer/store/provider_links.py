"""Who signs in as whom of a provider: rows ⇄ (issuer, name there, person)."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import delete, select

from trainer.store import upserts
from trainer.store.schema.people import provider_links

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.session import Unit


def add(unit: Unit, issuer: str, subject: str, person_id: str, *, by: str | None, at: datetime) -> bool:
    """Keep a link; return whether neither the name nor the person was linked to this issuer before."""
    new = upserts.insert(unit.dialect.name, provider_links).values(
        issuer=issuer, subject=subject, person_id=person_id, linked_by=by, at=at
    )
    kept = unit.execute(new.on_conflict_do_nothing().returning(provider_links.c.person_id))
    return kept.first() is not None


def person_of(unit: Unit, issuer: str, subject: str) -> str | None:
    """Return the number of whom a name at an issuer is linked to, or None."""
    found: str | None = unit.execute(
        select(provider_links.c.person_id).where(
            provider_links.c.issuer == issuer, provider_links.c.subject == subject
        )
    ).scalar_one_or_none()
    return found


def of_person(unit: Unit, person_id: str) -> tuple[tuple[str, str], ...]:
    """Return (issuer, name there) of each link of a person."""
    rows = unit.execute(
        select(provider_links.c.issuer, provider_links.c.subject)
        .where(provider_links.c.person_id == person_id)
        .order_by(provider_links.c.issuer)
    )
    return tuple((row.issuer, row.subject) for row in rows)


def remove(unit: Unit, person_id: str, issuer: str) -> bool:
    """End a link; return whether there was one. The log keeps that it was."""
    gone = unit.execute(
        delete(provider_links).where(
            provider_links.c.person_id == person_id, provider_links.c.issuer == issuer
        )
    )
    return bool(gone.rowcount)
