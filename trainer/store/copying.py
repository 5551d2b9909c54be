"""A whole database copied while it is in use, put aside, and filled from a copy; a copy is always one SQLite file.

SQLite copies itself by its own online backup, which reads one snapshot in a single step. From PostgreSQL every table is
read through our own schema in one read-only transaction, so that a copy of either fills either.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING, Any

from sqlalchemy import ForeignKeyConstraint, insert, inspect, select, text
from sqlalchemy.exc import DatabaseError, ProgrammingError

from trainer.errors import TrainerError
from trainer.store import guards, upgrade
from trainer.store.schema import metadata
from trainer.store.session import Database

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from sqlalchemy import Row, Table

    from trainer.store.session import Unit

# Rows written at once: memory stays small however many photographs there are.
_AT_ONCE = 100
# What a damaged database answers with, besides `DatabaseOutOfReach`.
UNREADABLE = (DatabaseError,)
_BESIDE = ("", "-wal", "-shm", "-journal")


class DatabaseInUse(TrainerError):
    """Somebody works with the database that is to be replaced."""

    def __init__(self) -> None:
        super().__init__("The database is in use; stop the program that serves it, then restore.")


class NotPutAside(TrainerError):
    """The database that is to be replaced cannot be put aside, so nothing is replaced."""

    def __init__(self, why: str) -> None:
        super().__init__(f"What is here cannot be put aside, so nothing was replaced: {why}.")


class CopyBroken(TrainerError):
    """A copy of a database is damaged."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The database in the file is damaged: {why}.")


def copy(database: Database, path: Path) -> None:
    """Write a copy of a database that may be in use to a new SQLite file.

    Raises:
        SchemaOutOfStep: a PostgreSQL database has another schema than the program.
        DatabaseOutOfReach: it cannot be opened.
    """
    if database.is_sqlite:
        with database.reading() as unit, closing(sqlite3.connect(path)) as target:
            held: Any = unit.connection.driver_connection
            held.backup(target)
        return
    upgrade.must_be_newest(database)
    with Database(f"sqlite:///{path}") as target_database:
        upgrade.to_newest(target_database)
        with database.reading() as unit, target_database.writing() as target_unit:
            fill(target_unit, unit)


def alone(path: Path) -> None:
    """Bring all of a copy into its one file, without the log that SQLite keeps beside it."""
    with closing(sqlite3.connect(path)) as held:
        held.execute("PRAGMA journal_mode=DELETE")


def must_be_whole(path: Path) -> None:
    """Let pass a copy whose pages, constraints and references SQLite finds in order.

    Raises:
        CopyBroken: it does not.
    """
    try:
        with closing(sqlite3.connect(path)) as held:
            found = [row[0] for row in held.execute("PRAGMA integrity_check(1)")]
            astray = held.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as problem:
        raise CopyBroken(str(problem)) from problem
    if found != ["ok"]:
        raise CopyBroken(found[0].splitlines()[0])
    if astray:
        raise CopyBroken(f"a row of {astray[0]} leads to one of {astray[2]} that is not there")


def fill(target: Unit, source: Unit) -> None:
    """Write all rows of one database into another of the same schema that has none.

    Guards of tables hold against what people do later; here they would refuse what was kept in another order.
    """
    with guards.off(target):
        for table in metadata.sorted_tables:
            for rows in _parts(source, table):
                target.execute(insert(table), [dict(row._mapping) for row in rows])
    if target.dialect.name == "postgresql":
        guards.count_on(target)


def _parts(source: Unit, table: Table) -> Iterator[list[Row[Any]]]:
    asked = select(table).order_by(*table.primary_key.columns)
    within = [key for key in table.foreign_key_constraints if key.referred_table is table]
    if within:
        yield from _parents_first(source.execute(asked).all(), within)
        return
    with source.execute(asked.execution_options(yield_per=_AT_ONCE)) as rows:
        for part in rows.partitions():
            yield list(part)


def _parents_first(rows: Iterable[Row[Any]], within: list[ForeignKeyConstraint]) -> Iterator[list[Row[Any]]]:
    """Yield rows that lead to others of their table after those."""
    there: set[tuple[int, tuple[Any, ...]]] = set()
    left = list(rows)
    while left:
        ready = [row for row in left if all(_leads_to(row, i, key, there) for i, key in enumerate(within))]
        if not ready:
            raise CopyBroken(f"rows of {within[0].table.name} lead to each other")
        yield ready
        for i, key in enumerate(within):
            names = [element.column.name for element in key.elements]
            there |= {(i, tuple(row._mapping[name] for name in names)) for row in ready}
        done = set(map(id, ready))
        left = [row for row in left if id(row) not in done]


def _leads_to(
    row: Row[Any], place: int, key: ForeignKeyConstraint, there: set[tuple[int, tuple[Any, ...]]]
) -> bool:
    wanted = tuple(row._mapping[column.name] for column in key.columns)
    return None in wanted or (place, wanted) in there


def put_file_aside(path: Path, moment: str) -> Path | None:
    """Give the file of an SQLite database another name with a moment in it; return that, or None without a file.

    Raises:
        DatabaseInUse: somebody has it open.
        NotPutAside: it cannot be renamed.
    """
    if not path.exists():
        return None
    try:
        # Leaving the write-ahead log needs the database for oneself: who still works with it makes this fail.
        with closing(sqlite3.connect(path, timeout=1)) as held:
            held.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.OperationalError as problem:
        if "locked" in str(problem):
            raise DatabaseInUse from problem
    except sqlite3.DatabaseError:
        # Too damaged to be opened; it is kept as it is all the same.
        pass
    aside = path.with_name(f"{path.stem}-replaced-{moment}{path.suffix}")
    try:
        for end in _BESIDE:
            beside = path.with_name(path.name + end)
            if beside.exists():
                beside.rename(aside.with_name(aside.name + end))
    except OSError as problem:
        raise NotPutAside((problem.strerror or str(problem)).lower()) from problem
    return aside


def put_in_place(copy: Path, target: Path) -> None:
    """Give a copy the name of the database; nothing has that name.

    Raises:
        NotPutAside: it cannot be renamed.
    """
    try:
        copy.rename(target)
    except OSError as problem:
        raise NotPutAside((problem.strerror or str(problem)).lower()) from problem


def put_schema_aside(unit: Unit, moment: str) -> str | None:
    """Rename the PostgreSQL schema with our tables and make an empty one in its place; return the new name.

    Returns:
        None where there are no tables.

    Raises:
        NotPutAside: the user of the database may not.
    """
    if not inspect(unit).get_table_names():
        return None
    present = unit.execute(text("SELECT current_schema()")).scalar_one()
    aside = f"replaced_{moment.lower()}"
    quoted = unit.dialect.identifier_preparer.quote
    try:
        unit.execute(text(f"ALTER SCHEMA {quoted(present)} RENAME TO {quoted(aside)}"))
        unit.execute(text(f"CREATE SCHEMA {quoted(present)}"))
    except ProgrammingError as problem:
        why = str(problem.orig).strip().splitlines()[0]
        raise NotPutAside(f"{why}; restore into an empty database instead") from problem
    return aside
