"""INSERT … ON CONFLICT, which both databases know under the same name but SQLAlchemy keeps in two places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy.dialects import postgresql, sqlite

if TYPE_CHECKING:
    from sqlalchemy import Table


def insert(dialect: str, table: Table) -> sqlite.Insert | postgresql.Insert:
    """Return an insert of a dialect (`unit.dialect.name`), with `on_conflict_do_update` and `on_conflict_do_nothing`."""
    return postgresql.insert(table) if dialect == "postgresql" else sqlite.insert(table)
