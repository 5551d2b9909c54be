"""INSERT … ON CONFLICT, which both databases know under the same name but SQLAlchemy keeps in two places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy.dialects import postgresql, sqlite

if TYPE_CHECKING:
    from sqlalchemy import Table

    from trainer.store.session import Unit


def insert(unit: Unit, table: Table) -> sqlite.Insert | postgresql.Insert:
    """Return an insert of the unit's dialect, with `on_conflict_do_update` and `on_conflict_do_nothing`."""
    return postgresql.insert(table) if unit.dialect.name == "postgresql" else sqlite.insert(table)
