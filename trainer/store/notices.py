"""Who has to read what a revision changes, and who has read it: kept once, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, exists, or_, select, tuple_

from trainer.store.schema.modules import current_revisions, module_revisions
from trainer.store.schema.notices import revision_reads
from trainer.store.schema.people import people
from trainer.store.schema.qualifications import evaluations, qualifications
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.store.session import Unit


@dataclass(frozen=True)
class NoticeLine:
    """A revision in force that somebody qualified by an earlier one has to read, and when they did.

    `to_show` is for whoever tells it to say what of the change has to be shown anew.
    """

    person_id: str
    person_name: str
    crew: str
    module_id: str
    module_title: str
    document: str
    revision: str
    signed_under: str
    published_at: datetime
    read_at: datetime | None
    to_show: str = ""


def to_read(unit: Unit, day: date, *, person_id: str | None = None) -> tuple[NoticeLine, ...]:
    """Return what everybody still here has to read, or one person, the newest revision first.

    The newest qualification of a person for a module decides: it holds on the day, and its evaluation was made under
    another revision than the one in force.
    """
    q, e, now, r = qualifications, evaluations, current_revisions, module_revisions
    after, its = qualifications.alias("after"), evaluations.alias("its")
    newer = exists().where(
        after.c.person_id == q.c.person_id,
        its.c.id == after.c.evaluation_id,
        its.c.module_id == e.c.module_id,
        tuple_(after.c.signed_at, after.c.number) > tuple_(q.c.signed_at, q.c.number),
    )
    read_it = and_(revision_reads.c.revision == r.c.revision, revision_reads.c.person_id == q.c.person_id)
    asked = (
        select(
            q.c.person_id,
            people.c.display_name.label("person_name"),
            people.c.crew,
            e.c.module_id,
            r.c.title.label("module_title"),
            r.c.document,
            r.c.revision,
            e.c.revision.label("signed_under"),
            r.c.published_at,
            revision_reads.c.at.label("read_at"),
        )
        .join(e, e.c.id == q.c.evaluation_id)
        .join(now, and_(now.c.module_id == e.c.module_id, now.c.revision != e.c.revision))
        .join(r, r.c.revision == now.c.revision)
        .join(people, people.c.id == q.c.person_id)
        .join(revision_reads, read_it, isouter=True)
        .where(
            people.c.retired_at.is_(None),
            q.c.valid_until >= day,
            or_(q.c.ended_on.is_(None), q.c.ended_on > day),
            ~newer,
        )
        .order_by(r.c.published_at.desc(), r.c.module_id, people.c.display_name, q.c.person_id)
    )
    if person_id is not None:
        asked = asked.where(q.c.person_id == person_id)
    return tuple(NoticeLine(**row._mapping) for row in unit.execute(asked))


def read(unit: Unit, revision: str, person_id: str, at: datetime) -> bool:
    """Keep that somebody has read it; return whether they had not before."""
    kept = unit.execute(
        insert(unit.dialect.name, revision_reads)
        .values(revision=revision, person_id=person_id, at=at)
        .on_conflict_do_nothing(index_elements=[revision_reads.c.revision, revision_reads.c.person_id])
        .returning(revision_reads.c.revision)
    )
    return kept.one_or_none() is not None


def reads_by(unit: Unit, person_id: str) -> tuple[tuple[str, datetime], ...]:
    """Return which revisions a person read the changes of, and when, the earliest first."""
    c = revision_reads.c
    rows = unit.execute(select(c.revision, c.at).where(c.person_id == person_id).order_by(c.at, c.revision))
    return tuple((row.revision, row.at) for row in rows)
