"""A database of its own in which the rows are made anew from the log, gone when it has been looked at."""

from __future__ import annotations

import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import event
from sqlalchemy.exc import IntegrityError, StatementError

from trainer.store.read_models import NOT_TOLD, rebuilt
from trainer.store.schema import metadata
from trainer.store.session import Database

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from trainer.store.session import Unit


@contextmanager
def scratch() -> Iterator[Unit]:
    """Yield a transaction in an empty SQLite database in a temporary folder, whatever the log itself is kept in."""
    with (
        tempfile.TemporaryDirectory(prefix="trainer-rebuild-") as folder,
        Database(f"sqlite:///{Path(folder) / 'rebuilt.sqlite3'}") as database,
    ):
        # Nothing here outlives the run, and what refers to nothing is for the comparison to find.
        event.listen(database.engine, "connect", _make_light)
        with database.writing() as unit:
            metadata.create_all(unit, tables=rebuilt())
            yield unit


def _make_light(connection: Any, _record: Any) -> None:
    connection.execute("PRAGMA synchronous=OFF")
    connection.execute("PRAGMA foreign_keys=OFF")


@contextmanager
def refused(problem: Callable[[str], Exception]) -> Iterator[None]:
    """Turn what a database refuses into a problem of the caller's, made of the first line of the reason."""
    try:
        yield
    except (IntegrityError, StatementError) as why:
        raise problem(str(why.orig or why).strip().splitlines()[0].rstrip(".")) from why


def put(unit: Unit, name: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    """Put rows into a table as `comparison.rows` reads them.

    Raises:
        KeyError: there is no such table or column among those that are made from the log.
    """
    table = next(table for table in rebuilt() if table.name == name)
    left_out = NOT_TOLD.get(name, {})
    names = [table.c[column].name for column in columns] + list(left_out)
    more = [one.stands_for for one in left_out.values()]
    marks = ", ".join("?" * len(names))
    unit.exec_driver_sql(
        f"INSERT INTO {name} ({', '.join(names)}) VALUES ({marks})",  # noqa: S608  # names of the schema
        [(*row, *more) for row in rows],
    )
