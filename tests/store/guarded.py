"""What the guards of a table have to refuse, whatever SQL comes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete, insert, select, text
from sqlalchemy.exc import IntegrityError

from trainer.store.schema import metadata

if TYPE_CHECKING:
    from sqlalchemy import Executable

    from trainer.store.session import Database


def no_row_can_be_deleted(database: Database, name: str) -> None:
    """Try to delete the rows of a table."""
    with pytest.raises(IntegrityError, match="kept as written"), database.writing() as unit:
        unit.execute(delete(metadata.tables[name]))


def no_row_can_be_replaced_or_emptied_away(database: Database, name: str) -> None:
    """Try to get past the guard of deletion in the way that each database has for it."""
    table = metadata.tables[name]
    with database.reading() as unit:
        row = unit.execute(select(table).limit(1)).one()
    way_round: Executable = text(f"TRUNCATE {name} CASCADE")
    if database.is_sqlite:
        way_round = insert(table).prefix_with("OR REPLACE").values(**row._mapping)
    with pytest.raises(IntegrityError, match="kept as written"), database.writing() as unit:
        unit.execute(way_round)
