"""Holds the rows of two databases against each other, table by table, whichever databases they are.

Rows come in the order of their keys from both sides and are read on in step, so that memory does not grow with them.
What SQLite keeps is compared as it is kept: a text that is no time any more differs instead of stopping everything.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import Boolean, Date, Integer, String, func, select, type_coerce

from trainer.store.read_models import told_columns
from trainer.store.schema.columns import UtcTime

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import ColumnElement, Table

    from trainer.store.session import Unit

_AT_ONCE = 1000


class How(StrEnum):
    """How a row differs from the one that follows from the log."""

    CHANGED = "changed"
    MISSING = "missing"
    ADDED = "added"


@dataclass(frozen=True)
class Difference:
    """A row that is not what the log says; `columns` are those that differ in a changed one."""

    table: str
    key: tuple[Any, ...]
    how: How
    columns: tuple[str, ...] = ()


def differences(kept: Unit, made: Unit, table: Table) -> Iterator[Difference]:
    """Yield where the kept rows of a table are not those that were made, in the order of their keys."""
    names = told_columns(table)
    places = [names.index(column.name) for column in table.primary_key]
    ours, theirs = rows(kept, table), rows(made, table)
    own, right = next(ours, None), next(theirs, None)
    while own is not None or right is not None:
        own_key = tuple(own[place] for place in places) if own is not None else None
        right_key = tuple(right[place] for place in places) if right is not None else None
        if right_key is None or (own_key is not None and _order(own_key) < _order(right_key)):
            assert own_key is not None  # noqa: S101  # one of the two is there
            yield Difference(table.name, own_key, How.ADDED)
            own = next(ours, None)
        elif own_key is None or _order(right_key) < _order(own_key):
            yield Difference(table.name, right_key, How.MISSING)
            right = next(theirs, None)
        else:
            if own != right:
                pairs = zip(names, own or (), right or (), strict=True)
                columns = tuple(name for name, one, other in pairs if one != other)
                yield Difference(table.name, own_key, How.CHANGED, columns)
            own, right = next(ours, None), next(theirs, None)


def _order(key: tuple[Any, ...]) -> tuple[tuple[int, Any], ...]:
    # As SQLite orders: numbers before texts before bytes, texts by their bytes.
    return tuple(
        (0, value)
        if isinstance(value, int)
        else (1, value.encode())
        if isinstance(value, str)
        else (2, value)
        for value in key
    )


def rows(unit: Unit, table: Table) -> Iterator[tuple[Any, ...]]:
    """Yield the told columns of all rows as plain values, in the order of their keys."""
    asked = select(*(plain(unit, table.c[name]) for name in told_columns(table))).order_by(
        *(_sorted(unit, column) for column in table.primary_key)
    )
    with unit.execute(asked.execution_options(yield_per=_AT_ONCE)) as found:
        for part in found.partitions():
            for row in part:
                yield tuple(_as_kept(value) for value in row)


def plain(unit: Unit, column: ColumnElement[Any]) -> ColumnElement[Any]:
    """Return a column read as SQLite keeps it, without making times and days of its texts."""
    if unit.dialect.name == "sqlite":
        if isinstance(column.type, UtcTime | Date):
            return type_coerce(column, String)
        if isinstance(column.type, Boolean):
            return type_coerce(column, Integer)
    return column


def _sorted(unit: Unit, column: ColumnElement[Any]) -> ColumnElement[Any]:
    if unit.dialect.name == "postgresql" and isinstance(column.type, String):
        return column.collate("C")
    return column


def _as_kept(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).strftime("%Y-%m-%d %H:%M:%S.%f")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool):
        return int(value)
    return value


def count(unit: Unit, table: Table) -> int:
    """Return how many rows a table has."""
    found: int = unit.execute(select(func.count()).select_from(table)).scalar_one()
    return found
