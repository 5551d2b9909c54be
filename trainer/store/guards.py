"""Taking the guards of the tables off where what was kept is written once more, and putting them back in one transaction.

Guards hold against whatever people do; only a restored backup and rows made anew from the log go past them.
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import func, select, text

from trainer.store.schema import metadata

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.store.session import Unit


@contextmanager
def off(unit: Unit) -> Iterator[None]:
    """Let the block write what the guards of the tables refuse; an exception leaves taking it back to the transaction."""
    if unit.dialect.name == "postgresql":
        for table in metadata.sorted_tables:
            unit.execute(text(f"ALTER TABLE {table.name} DISABLE TRIGGER USER"))
        yield
        for table in metadata.sorted_tables:
            unit.execute(text(f"ALTER TABLE {table.name} ENABLE TRIGGER USER"))
        return
    guards = unit.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")).all()
    for name, _ in guards:
        unit.execute(text(f'DROP TRIGGER "{name}"'))
    yield
    for _, made_by in guards:
        unit.exec_driver_sql(made_by)


@contextmanager
def references_at_the_end(unit: Unit) -> Iterator[None]:
    """Hold what refers to what to its word at the end of the block instead of at each statement.

    Raises:
        IntegrityError: on PostgreSQL, when a row refers to one that is not there; on SQLite `astray` tells.
    """
    if unit.dialect.name != "postgresql":
        unit.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        yield
        return
    bonds = [
        (table.name, constraint.name)
        for table in metadata.sorted_tables
        for constraint in table.foreign_key_constraints
    ]
    for name, bond in bonds:
        unit.execute(text(f"ALTER TABLE {name} ALTER CONSTRAINT {bond} DEFERRABLE INITIALLY DEFERRED"))
    yield
    unit.execute(text("SET CONSTRAINTS ALL IMMEDIATE"))
    for name, bond in bonds:
        unit.execute(text(f"ALTER TABLE {name} ALTER CONSTRAINT {bond} NOT DEFERRABLE"))


def astray(unit: Unit) -> tuple[str, str] | None:
    """Return the tables of a row on SQLite that refers to one that is not there, and of that one; None when there is none."""
    row = unit.exec_driver_sql("PRAGMA foreign_key_check").first() if unit.dialect.name == "sqlite" else None
    return None if row is None else (row[0], row[2])


def count_on(unit: Unit) -> None:
    """Let PostgreSQL number new rows after those that were brought along."""
    for table in metadata.sorted_tables:
        column = table.autoincrement_column
        if column is None:
            continue
        counter = unit.execute(
            text("SELECT pg_get_serial_sequence(:table, :column)"),
            {"table": table.name, "column": column.name},
        ).scalar_one()
        last = unit.execute(select(func.max(column))).scalar_one()
        if counter and last:
            unit.execute(text("SELECT setval(:counter, :last)"), {"counter": counter, "last": last})
