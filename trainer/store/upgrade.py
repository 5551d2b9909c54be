"""Brings a database to the schema of this program, and tells how far it is.

Alembic is imported where something is changed: telling how far a database is, as every start does, goes without.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from alembic.config import Config
    from alembic.script import ScriptDirectory
    from sqlalchemy import Connection

    from trainer.store.session import Database

_MIGRATIONS = Path(__file__).resolve().parent / "migrations"
# An arbitrary number that stands for "changing the schema" among PostgreSQL's advisory locks.
_SCHEMA_LOCK = 7_104_002


class SchemaOutOfStep(TrainerError):
    """The database has another schema than this program needs."""

    def __init__(self, found: str | None, wanted: str) -> None:
        if found is None:
            super().__init__("The database is empty; run `trainer upgrade` first.")
        else:
            super().__init__(
                f"The database has schema {found}, this program needs {wanted}; run `trainer upgrade` first."
            )


class SchemaUnknown(TrainerError):
    """The database was made by a newer program."""

    def __init__(self, found: str) -> None:
        super().__init__(
            f"The database has schema {found}, which this program does not know; use a newer one."
        )


def newest() -> str:
    """Return the name of the schema that this program needs: the number in front of its last migration's file."""
    return max(path.name.partition("_")[0] for path in (_MIGRATIONS / "versions").glob("[0-9]*.py"))


def present(database: Database) -> str | None:
    """Return the name of the schema that a database has, or None for an empty one."""
    with database.reading() as unit:
        return _present(unit)


def must_be_newest(database: Database) -> None:
    """Let pass a database with the schema of this program.

    Raises:
        SchemaOutOfStep: it has another one, or none.
    """
    found = present(database)
    if found != newest():
        raise SchemaOutOfStep(found, newest())


def to_newest(database: Database) -> tuple[str, ...]:
    """Bring a database to the newest schema in one transaction.

    Returns:
        A sentence for each change made, oldest first; nothing when there was nothing to do.

    Raises:
        SchemaUnknown: the database was made by a newer program.
    """
    with database.writing() as unit:
        return bring_to_newest(unit)


def bring_to_newest(unit: Connection) -> tuple[str, ...]:
    """Do what `to_newest` does within a transaction that is open.

    Raises:
        SchemaUnknown: the database was made by a newer program.
    """
    from alembic import command

    if unit.dialect.name == "postgresql":
        unit.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _SCHEMA_LOCK})
    found = _present(unit)
    names = {script.revision for script in _script().walk_revisions()}
    if found is not None and found not in names:
        raise SchemaUnknown(found)
    steps = tuple(_script().iterate_revisions("head", found or "base"))
    command.upgrade(config(unit), "head")
    return tuple(f"Schema {step.revision}: {(step.doc or '').rstrip('.')}." for step in reversed(steps))


def config(unit: Connection) -> Config:
    """Return what Alembic needs to work on an open connection."""
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    settings.attributes["connection"] = unit
    return settings


def _present(unit: Connection) -> str | None:
    """Return what Alembic has written down in a database."""
    if not inspect(unit).has_table("alembic_version"):
        return None
    found: str | None = unit.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return found


def _script() -> ScriptDirectory:
    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(_MIGRATIONS))
