from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select
from sqlalchemy.exc import StatementError

from tests.people import AMA, BEN, CLEO
from trainer.store import people
from trainer.store.schema.people import people as table

if TYPE_CHECKING:
    from trainer.store.session import Database

MOMENT = datetime(2027, 3, 17, 9, 30, 0, 123457, tzinfo=UTC)


def test_a_moment_comes_back_as_it_was_to_the_microsecond_in_utc(database: Database) -> None:
    with database.writing() as unit:
        people.retire(unit, AMA.id, MOMENT.astimezone(timezone(timedelta(hours=5, minutes=30))))
    with database.reading() as unit:
        found = people.by_id(unit, AMA.id)
    assert found is not None
    assert found.retired_at == MOMENT
    assert found.retired_at.tzinfo is UTC


def test_moments_compare_in_the_database_as_they_do_here(database: Database) -> None:
    whole = MOMENT.replace(microsecond=0)
    moments = {
        AMA.id: whole,
        BEN.id: whole + timedelta(microseconds=1),
        CLEO.id: whole + timedelta(seconds=1),
    }
    with database.writing() as unit:
        for person, moment in moments.items():
            people.retire(unit, person, moment)
    with database.reading() as unit:
        ordered = unit.execute(
            select(table.c.id).where(table.c.retired_at >= whole).order_by(table.c.retired_at.desc())
        ).scalars()
        assert list(ordered) == [CLEO.id, BEN.id, AMA.id]
        after = unit.execute(select(table.c.id).where(table.c.retired_at > whole + timedelta(microseconds=1)))
        assert list(after.scalars()) == [CLEO.id]


def test_a_time_without_a_zone_is_refused(database: Database) -> None:
    naive = datetime(2027, 3, 17)
    with pytest.raises(StatementError, match="without a time zone"), database.writing() as unit:
        people.retire(unit, AMA.id, naive)
