"""All rows of a test's database at once: a way that many tests go is gone once, and put in place from then on."""

from __future__ import annotations

import hashlib
import sqlite3
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, Protocol, TypeVar, cast

from psycopg import sql

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    import psycopg

    from trainer.store.session import Database

Stage = TypeVar("Stage", bound="Callable[..., None]")


class Snapshot(Protocol):
    """All rows as they were at a moment."""

    @property
    def digest(self) -> str:
        """The same for the same rows."""

    def put_back(self, db: Database) -> None:
        """Let a database with the same schema hold these rows and no others."""


def taken(db: Database) -> Snapshot:
    """Return the rows of a database as they are now."""
    return InSqlite.taken(db) if db.is_sqlite else InPostgresql.taken(db)


def remembered(stage: Stage) -> Stage:
    """Let a stage that was reached once from the same rows by the same call be put in place instead of gone through.

    The database comes first in the call. Nothing that the stage does outside of it is done again, so it must do nothing
    there.
    """
    reached: dict[tuple[str, str], Snapshot] = {}

    @wraps(stage)
    def reach(db: Database, *args: object, **kwargs: object) -> None:
        before = (taken(db).digest, repr((args, kwargs)))
        if before in reached:
            reached[before].put_back(db)
            return
        stage(db, *args, **kwargs)
        reached[before] = taken(db)

    return cast("Stage", reach)


@dataclass(frozen=True)
class InSqlite:
    """A copy in memory."""

    memory: sqlite3.Connection
    digest: str

    @classmethod
    def taken(cls, db: Database) -> InSqlite:
        """Copy a database."""
        memory = sqlite3.connect(":memory:")
        with closing(sqlite3.connect(str(db.url.database))) as source:
            source.backup(memory)
        return cls(memory, "sqlite " + hashlib.sha256(memory.serialize()).hexdigest())

    def put_back(self, db: Database) -> None:
        """Copy it over a database."""
        with closing(sqlite3.connect(str(db.url.database))) as target:
            self.memory.backup(target)


@dataclass(frozen=True)
class InPostgresql:
    """The rows of each table as PostgreSQL writes them out, and where each sequence stands."""

    tables: Mapping[str, bytes]
    sequences: Mapping[str, int | None]
    digest: str

    @classmethod
    def taken(cls, db: Database) -> InPostgresql:
        """Copy all tables."""
        with _raw(db) as connection:
            names = [name for (name,) in connection.execute(_TABLES)]
            tables = {name: _written_out(connection, name) for name in names}
            sequences: dict[str, int | None] = dict(connection.execute(_SEQUENCES).fetchall())
        told = hashlib.sha256(repr(sequences).encode())
        for name, rows in tables.items():
            # A table has no order, so the same rows count as the same in any.
            told.update(name.encode() + b"\n" + b"\n".join(sorted(rows.splitlines())) + b"\n")
        return cls(tables, sequences, "postgresql " + told.hexdigest())

    def put_back(self, db: Database) -> None:
        """Take out and put in the rows of each table in which anything differs, past the guards.

        Whoever is still connected is cut off, and guards that were taken off stand again.
        """
        with _raw(db) as connection:
            connection.execute(_OTHERS_OFF)
            for (name,) in connection.execute(_UNGUARDED).fetchall():
                connection.execute(sql.SQL("ALTER TABLE {} ENABLE TRIGGER ALL").format(sql.Identifier(name)))
            connection.execute("SET LOCAL session_replication_role = replica")
            for name, rows in self.tables.items():
                if _written_out(connection, name) == rows:
                    continue
                table = sql.Identifier(name)
                connection.execute(sql.SQL("DELETE FROM {}").format(table))
                with connection.cursor().copy(sql.SQL("COPY {} FROM STDIN").format(table)) as copy:
                    copy.write(rows)
            for name, value in self.sequences.items():
                connection.execute("SELECT setval(%s, %s, %s)", (f'"{name}"', value or 1, value is not None))
            connection.commit()


_OTHERS_OFF = (
    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
    " WHERE datname = current_database() AND pid <> pg_backend_pid()"
)
_UNGUARDED = "SELECT DISTINCT tgrelid::regclass::text FROM pg_trigger WHERE tgenabled = 'D'"
_TABLES = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY tablename"
_SEQUENCES = (
    "SELECT sequencename, last_value FROM pg_sequences WHERE schemaname = 'public' ORDER BY sequencename"
)


@contextmanager
def _raw(db: Database) -> Iterator[psycopg.Connection[Any]]:
    """Yield a connection of the driver; what is not committed is taken back."""
    with closing(db.engine.raw_connection()) as fairy:
        connection: Any = fairy.driver_connection
        yield connection


def _written_out(connection: psycopg.Connection[Any], table: str) -> bytes:
    with connection.cursor().copy(sql.SQL("COPY {} TO STDOUT").format(sql.Identifier(table))) as copy:
        return b"".join(copy)
