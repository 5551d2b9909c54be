"""Puts the rows that follow from the log in the place of those that differ, with the guards of the tables taken off.

The guards are there against everything but this: they are taken off and put back in the one transaction, so that nobody ever
sees the tables without them, and what refers to what is held to at its end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from trainer.errors import TrainerError
from trainer.store import guards
from trainer.store.comparison import How, plain
from trainer.store.read_models import NOT_TOLD, rebuilt

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Table

    from trainer.store.comparison import Difference
    from trainer.store.session import Unit


class RowsStillNeeded(TrainerError):
    """A row that is not in the log cannot go, because something else that is not in the log refers to it."""

    def __init__(self, where: str) -> None:
        super().__init__(
            f"Nothing is written: a row that does not follow from the log is still referred to ({where}). "
            "Remove what refers to it first."
        )


def mend(unit: Unit, made: Unit, differences: Sequence[Difference], *, chance: str) -> None:
    """Make every row that differs what it is by the log.

    Args:
        unit: the transaction; it holds the end of the log.
        made: the database in which the rows were made.
        differences: what `comparison.differences` found between the two.
        chance: stands for chance that the log does not tell, in a row that was lost.

    Raises:
        RowsStillNeeded: a row that has to go is referred to from elsewhere.
    """
    of_table: dict[str, list[Difference]] = {}
    for item in differences:
        of_table.setdefault(item.table, []).append(item)
    tables = [table for table in rebuilt() if table.name in of_table]
    try:
        with guards.off(unit), guards.references_at_the_end(unit):
            untold = {table.name: _taken_out(unit, table, of_table[table.name]) for table in tables}
            for table in tables:
                for item in of_table[table.name]:
                    if item.how is not How.ADDED:
                        _put_back(unit, made, table, item, untold[table.name].get(item.key, {}), chance)
    except IntegrityError as problem:
        raise RowsStillNeeded(str(problem.orig).strip().splitlines()[0]) from problem
    lost = guards.astray(unit)
    if lost is not None:
        raise RowsStillNeeded(f"{lost[0]} to {lost[1]}")
    if unit.dialect.name == "postgresql":
        guards.count_on(unit)


def _taken_out(
    unit: Unit, table: Table, differences: Sequence[Difference]
) -> dict[tuple[Any, ...], dict[str, Any]]:
    """Delete the rows that differ; return what of them the log does not tell, by their keys."""
    names = list(NOT_TOLD.get(table.name, {}))
    kept: dict[tuple[Any, ...], dict[str, Any]] = {}
    for item in differences:
        if item.how is How.MISSING:
            continue
        this = _is(unit, table, item.key)
        if names:
            row = unit.execute(select(*(table.c[name] for name in names)).where(*this)).one()
            kept[item.key] = dict(row._mapping)
        unit.execute(table.delete().where(*this))
    return kept


def _put_back(
    unit: Unit, made: Unit, table: Table, item: Difference, untold: dict[str, Any], chance: str
) -> None:
    row = made.execute(select(table).where(*_is(made, table, item.key))).one()
    values = dict(row._mapping)
    for name, left_out in NOT_TOLD.get(table.name, {}).items():
        fresh = f"{chance} {item.key[0]}" if left_out.chance else left_out.stands_for
        values[name] = untold.get(name, fresh)
    unit.execute(table.insert().values(values))


def _is(unit: Unit, table: Table, key: tuple[Any, ...]) -> list[Any]:
    return [plain(unit, column) == value for column, value in zip(table.primary_key, key, strict=True)]
