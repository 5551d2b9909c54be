"""Who has read what a revision changes: kept once, never changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from trainer.store.schema.notices import revision_reads
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.session import Unit


def read(unit: Unit, revision: str, person_id: str, at: datetime) -> bool:
    """Keep that somebody has read it; return whether they had not before."""
    kept = unit.execute(
        insert(unit.dialect.name, revision_reads)
        .values(revision=revision, person_id=person_id, at=at)
        .on_conflict_do_nothing(index_elements=[revision_reads.c.revision, revision_reads.c.person_id])
        .returning(revision_reads.c.revision)
    )
    return kept.one_or_none() is not None


def reads_of(unit: Unit, revision: str) -> dict[str, datetime]:
    """Return when each person read what a revision changes."""
    rows = unit.execute(select(revision_reads).where(revision_reads.c.revision == revision))
    return {row.person_id: row.at for row in rows}


def reads_by(unit: Unit, person_id: str) -> tuple[tuple[str, datetime], ...]:
    """Return which revisions a person read the changes of, and when, the earliest first."""
    c = revision_reads.c
    rows = unit.execute(select(c.revision, c.at).where(c.person_id == person_id).order_by(c.at, c.revision))
    return tuple((row.revision, row.at) for row in rows)
