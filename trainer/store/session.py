"""The database and its two kinds of units of work: one that writes and one that reads.

The default settings of SQLAlchemy and of PostgreSQL lose concurrent updates without an error. Here a writing
unit on SQLite begins with BEGIN IMMEDIATE, so that nobody reads what is about to change; on PostgreSQL
counters are changed in SQL and states under a row lock. A reading unit sees one snapshot throughout.
"""

from __future__ import annotations

import threading
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DataError, DBAPIError, InterfaceError, OperationalError

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from typing import Self

    from sqlalchemy import URL, Engine

# One transaction, handed to every function of the store.
Unit = Connection

_BUSY_SECONDS = 30
_ON_CONNECT = (
    "PRAGMA journal_mode=WAL",
    # What was acknowledged must outlive a power cut.
    "PRAGMA synchronous=FULL",
    "PRAGMA foreign_keys=ON",
    f"PRAGMA busy_timeout={_BUSY_SECONDS * 1000}",
    # Without it INSERT OR REPLACE deletes a row past the triggers that keep rows from being deleted.
    "PRAGMA recursive_triggers=ON",
)


class DatabaseUrlUnusable(TrainerError):
    """The database URL cannot be read, or names a database that is not supported."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The database URL cannot be used: {why}; it must begin with sqlite:// or postgresql://."
        )


class DatabaseOutOfReach(TrainerError):
    """The database cannot be opened, is locked for too long, or its connection broke."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The database cannot be used just now: {why}.")


class ValueNotKept(TrainerError):
    """A value is too long for its column, or holds characters that the database cannot keep."""

    def __init__(self) -> None:
        super().__init__("A value is too long or holds characters that cannot be kept.")


class Database:
    """A database and what its owner set for it; opens connections when they are needed, not before.

    Args:
        url: SQLAlchemy URL, `sqlite:///…` or `postgresql://…`.
        company: the legal owner, as it stands on records and sheets.
        session_hours: hours after which a person signs in again.
        keys: folder of the key that signs the log.
        home: address of the installation, without a slash at its end.

    Raises:
        DatabaseUrlUnusable: the URL is neither.
    """

    def __init__(
        self,
        url: str,
        *,
        company: str = "",
        session_hours: int = 12,
        keys: Path = Path("keys"),
        home: str = "https://company.invalid",
    ) -> None:
        self.url = _url(url)
        self.keys = keys
        self.home = home
        self.company = company
        self.session_hours = session_hours
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self.engine = _sqlite_engine(self.url) if self.is_sqlite else _postgresql_engine(self.url)
        options: dict[str, Any] = {"reads": True}
        if not self.is_sqlite:
            options |= {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        self._reading_engine = self.engine.execution_options(**options)
        self._write_lock = threading.Lock()
        self._writer = threading.local()

    @contextmanager
    def writing(self) -> Iterator[Unit]:
        """Yield one transaction that may write; it is committed at the end and rolled back on an exception.

        On SQLite the units of one process take turns at a lock of our own: SQLite's own waiting is so
        unfair that one thread may commit a thousand times before another does once.

        Raises:
            DatabaseOutOfReach: the database cannot be opened or stays locked.
        """
        if getattr(self._writer, "busy", False):
            raise RuntimeError("a writing unit of work cannot be opened inside another one")
        self._writer.busy = True
        try:
            if self.is_sqlite:
                with self._write_lock, _transaction(self.engine) as unit:
                    yield unit
            else:
                with _transaction(self.engine) as unit:
                    yield unit
        finally:
            self._writer.busy = False

    @contextmanager
    def reading(self) -> Iterator[Unit]:
        """Yield one transaction that reads a stable snapshot.

        Raises:
            DatabaseOutOfReach: the database cannot be opened.
        """
        with _transaction(self._reading_engine) as unit:
            yield unit

    def close(self) -> None:
        """Close the connections that are waiting for use."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close."""
        self.close()


@contextmanager
def _transaction(engine: Engine) -> Iterator[Unit]:
    try:
        with engine.connect() as unit, unit.begin():
            yield unit
    except (OperationalError, InterfaceError) as problem:
        raise DatabaseOutOfReach(_first_line(problem)) from problem
    except DataError as problem:
        raise ValueNotKept from problem


def _first_line(problem: DBAPIError) -> str:
    return str(problem.orig).strip().splitlines()[0].rstrip(".")


def _url(text: str) -> URL:
    try:
        url = make_url(text)
    except ArgumentError as problem:
        raise DatabaseUrlUnusable("it is not a URL") from problem
    if url.drivername in ("postgresql", "postgres", "postgresql+psycopg"):
        return url.set(drivername="postgresql+psycopg")
    if url.drivername in ("sqlite", "sqlite+pysqlite"):
        if url.database in (None, "", ":memory:"):
            raise DatabaseUrlUnusable("a database in memory is gone with its connection")
        return url
    raise DatabaseUrlUnusable(f"'{url.drivername}' is not supported")


def _sqlite_engine(url: URL) -> Engine:
    # The driver's own BEGIN is switched off: it comes too late (at the first write) and is no IMMEDIATE.
    engine = create_engine(url, connect_args={"timeout": _BUSY_SECONDS, "isolation_level": None})

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: Any) -> None:
        for pragma in _ON_CONNECT:
            connection.execute(pragma)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        reads = connection.get_execution_options().get("reads")
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return engine


def _postgresql_engine(url: URL) -> Engine:
    return create_engine(url, pool_pre_ping=True)
