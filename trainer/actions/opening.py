"""Opening the database of an installation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.store import upgrade
from trainer.store.session import Database as Database

if TYPE_CHECKING:
    from trainer.settings import Settings


def open_database(settings: Settings) -> Database:
    """Return the database of an installation, ready for use.

    Raises:
        DatabaseUrlUnusable: its URL is neither SQLite nor PostgreSQL.
        DatabaseOutOfReach: it cannot be opened.
        SchemaOutOfStep: it is empty, or of another version; `upkeep.upgrade` mends that.
    """
    database = unopened(settings)
    try:
        upgrade.must_be_newest(database)
    except Exception:
        database.close()
        raise
    return database


def unopened(settings: Settings) -> Database:
    """Return the database of an installation without looking at it."""
    return Database(
        settings.url,
        company=settings.company,
        session_hours=settings.session_hours,
        keys=settings.keys,
        home=settings.home,
    )
