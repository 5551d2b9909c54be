"""Published revisions and which of them is in force: rows ⇄ `Revision`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from trainer.store.schema.modules import current_revisions, module_revisions
from trainer.store.schema.people import people
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Revision:
    """A published revision without its text; `publisher` is "" for the command line on the host."""

    revision: str
    module_id: str
    title: str
    document: str
    task_id: str
    published_at: datetime
    publisher: str


_HEAD: tuple[ColumnElement[Any], ...] = (
    module_revisions.c.revision,
    module_revisions.c.module_id,
    module_revisions.c.title,
    module_revisions.c.document,
    module_revisions.c.covered_task_id,
    module_revisions.c.published_at,
    people.c.display_name,
)
_WITH_PUBLISHER = module_revisions.outerjoin(people, people.c.id == module_revisions.c.published_by)


def add(
    unit: Unit,
    *,
    revision: str,
    module_id: str,
    title: str,
    document: str,
    task_id: str,
    file: str,
    source: str,
    canonical: str,
    at: datetime,
    by: str,
) -> None:
    """Keep a revision; the same one a second time changes nothing."""
    unit.execute(
        insert(unit.dialect.name, module_revisions)
        .values(
            revision=revision,
            module_id=module_id,
            title=title,
            document=document,
            covered_task_id=task_id,
            file=file,
            source=source,
            canonical=canonical,
            published_at=at,
            published_by=by or None,
        )
        .on_conflict_do_nothing(index_elements=[module_revisions.c.revision])
    )


def put_in_force(unit: Unit, module_id: str, revision: str, at: datetime) -> None:
    """Make a kept revision the one in force of its module."""
    values = {"revision": revision, "since": at}
    unit.execute(
        insert(unit.dialect.name, current_revisions)
        .values(module_id=module_id, **values)
        .on_conflict_do_update(index_elements=[current_revisions.c.module_id], set_=values)
    )


def in_force(unit: Unit) -> tuple[Revision, ...]:
    """Return the revisions in force, by title."""
    now = current_revisions.c.revision == module_revisions.c.revision
    joined = _WITH_PUBLISHER.join(current_revisions, now)
    rows = unit.execute(
        select(*_HEAD).select_from(joined).order_by(module_revisions.c.title, module_revisions.c.module_id)
    )
    return tuple(_revision(row) for row in rows)


def current(unit: Unit, module_id: str) -> Revision | None:
    """Return the revision in force of a module, or None when the module was never published."""
    wanted = select(current_revisions.c.revision).where(current_revisions.c.module_id == module_id)
    return _one(unit, module_revisions.c.revision == wanted.scalar_subquery())


def by_revision(unit: Unit, revision: str) -> Revision | None:
    """Return any published revision, or None."""
    return _one(unit, module_revisions.c.revision == revision)


@dataclass(frozen=True)
class RevisionText:
    """What was published: the source text, the name of its file, and the canonical form that was hashed."""

    source: str
    file: str
    canonical: str


def tasks(unit: Unit) -> dict[str, str]:
    """Return the covered task of every revision ever published, by revision."""
    c = module_revisions.c
    return {row.revision: row.covered_task_id for row in unit.execute(select(c.revision, c.covered_task_id))}


def of_task(unit: Unit, task_id: str) -> tuple[str, ...]:
    """Return the modules of which some revision was published for a covered task."""
    c = module_revisions.c
    rows = unit.execute(
        select(c.module_id).distinct().where(c.covered_task_id == task_id).order_by(c.module_id)
    )
    return tuple(rows.scalars())


def text(unit: Unit, revision: str) -> RevisionText | None:
    """Return the text of a revision, or None."""
    row = unit.execute(
        select(module_revisions.c.source, module_revisions.c.file, module_revisions.c.canonical).where(
            module_revisions.c.revision == revision
        )
    ).one_or_none()
    return None if row is None else RevisionText(row.source, row.file, row.canonical)


def _one(unit: Unit, condition: ColumnElement[bool]) -> Revision | None:
    row = unit.execute(select(*_HEAD).select_from(_WITH_PUBLISHER).where(condition)).one_or_none()
    return None if row is None else _revision(row)


def _revision(row: Row[Any]) -> Revision:
    return Revision(
        row.revision,
        row.module_id,
        row.title,
        row.document,
        row.covered_task_id,
        row.published_at,
        row.display_name or "",
    )
