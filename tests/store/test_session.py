from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import create_engine, select, text, update

from tests import databases, people
from tests.store import samples
from trainer.store import people as register
from trainer.store import sequences, summaries
from trainer.store.schema.log import sequences as table
from trainer.store.session import Database, DatabaseOutOfReach, DatabaseUrlUnusable, ValueNotKept

if TYPE_CHECKING:
    from pathlib import Path

    from sqlalchemy import Engine

THREADS = 8
TIMES = 12


def _together(work: object) -> None:
    assert callable(work)
    with ThreadPoolExecutor(THREADS) as pool:
        for done in [pool.submit(work, number) for number in range(THREADS)]:
            done.result()


def test_no_update_is_lost_when_many_read_then_write(database: Database) -> None:
    with database.writing() as unit:
        sequences.take(unit, "counted")

    def add(_: int) -> None:
        for _turn in range(TIMES):
            with database.writing() as unit:
                register.lock(unit, people.AMA.id)
                last = unit.execute(select(table.c.last).where(table.c.name == "counted")).scalar_one()
                unit.execute(update(table).where(table.c.name == "counted").values(last=last + 1))

    _together(add)
    with database.reading() as unit:
        last = unit.execute(select(table.c.last).where(table.c.name == "counted")).scalar_one()
    assert last == 1 + THREADS * TIMES


def test_control_default_settings_lose_an_update_without_an_error(database: Database) -> None:
    # The same read-then-write by hand, interleaved: what the settings of `session.py` are there against.
    with database.writing() as unit:
        sequences.take(unit, "counted")
    engine = create_engine(database.url)
    with engine.connect() as one, engine.connect() as other:
        seen_by_one = one.execute(select(table.c.last).where(table.c.name == "counted")).scalar_one()
        seen_by_other = other.execute(select(table.c.last).where(table.c.name == "counted")).scalar_one()
        other.execute(update(table).values(last=seen_by_other + 1))
        other.commit()
        one.execute(update(table).values(last=seen_by_one + 1))
        one.commit()
        last = one.execute(select(table.c.last).where(table.c.name == "counted")).scalar_one()
    engine.dispose()
    assert last == 2, "two updates were made, both acknowledged; one is gone"


def test_numbers_of_a_sequence_are_taken_once_each_and_without_a_gap(database: Database) -> None:
    taken: list[int] = []

    def take(_: int) -> None:
        for _turn in range(TIMES):
            with database.writing() as unit:
                taken.append(sequences.take(unit, "QR-2027"))

    _together(take)
    assert sorted(taken) == list(range(1, THREADS * TIMES + 1))


def test_no_attempt_is_lost_from_the_summary(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)

    def answer(thread: int) -> None:
        for turn in range(TIMES):
            with database.writing() as unit:
                samples.attempt(unit, f"{thread}-{turn}", seed=thread * 1000 + turn)

    _together(answer)
    with database.reading() as unit:
        (kept,) = summaries.every(unit)
    assert (kept.attempts, kept.clean, kept.in_a_row) == (THREADS * TIMES,) * 3


def test_a_reading_unit_sees_one_snapshot(database: Database) -> None:
    with database.reading() as reader:
        before = len(register.everybody(reader))
        with database.writing() as writer:
            register.retire(writer, people.BEN.id, samples.NOON)
        assert len(register.everybody(reader)) == before
    with database.reading() as reader:
        assert len(register.everybody(reader)) == before - 1


def test_an_exception_takes_the_whole_unit_back(database: Database) -> None:
    def fail() -> None:
        with database.writing() as unit:
            sequences.take(unit, "counted")
            raise KeyError("something else went wrong")

    with pytest.raises(KeyError):
        fail()
    with database.writing() as unit:
        assert sequences.take(unit, "counted") == 1


def test_a_writing_unit_inside_another_is_refused_rather_than_waited_for(database: Database) -> None:
    with database.writing(), pytest.raises(RuntimeError, match="inside another"), database.writing():
        pass
    with database.writing() as unit:
        assert sequences.take(unit, "counted") == 1


@pytest.mark.parametrize(
    "database", [pytest.param("postgresql", marks=pytest.mark.postgresql)], indirect=True
)
def test_a_reading_unit_on_postgresql_cannot_write(database: Database) -> None:
    with pytest.raises(Exception, match="read-only transaction"), database.reading() as unit:
        sequences.take(unit, "counted")


@pytest.mark.parametrize(
    "database", [pytest.param("postgresql", marks=pytest.mark.postgresql)], indirect=True
)
@pytest.mark.parametrize("value", ["nul\x00", "x" * 500])
def test_a_value_that_postgresql_cannot_keep_is_told_in_a_sentence(database: Database, value: str) -> None:
    with pytest.raises(ValueNotKept), database.writing() as unit:
        sequences.take(unit, value)


@pytest.fixture
def sqlite_engine(tmp_path: Path) -> Engine:
    return Database(f"sqlite:///{tmp_path / 'new.sqlite3'}").engine


@pytest.mark.parametrize(
    ("pragma", "value"),
    [
        ("journal_mode", "wal"),
        ("synchronous", 2),  # FULL
        ("foreign_keys", 1),
        ("busy_timeout", 30_000),
        ("recursive_triggers", 1),
    ],
)
def test_every_connection_to_sqlite_has_the_settings(
    sqlite_engine: Engine, pragma: str, value: object
) -> None:
    with sqlite_engine.connect() as connection:
        assert connection.execute(text(f"PRAGMA {pragma}")).scalar_one() == value
    sqlite_engine.dispose()


@pytest.mark.parametrize("url", ["", "mysql://host/base", "sqlite://", "sqlite:///:memory:", "no url at all"])
def test_a_url_of_another_kind_is_refused_in_a_sentence(url: str) -> None:
    with pytest.raises(DatabaseUrlUnusable, match="must begin with sqlite:// or postgresql://"):
        Database(url)


def test_a_plain_postgresql_url_means_the_driver_that_is_shipped() -> None:
    with Database("postgresql://somebody@nowhere/base") as database:
        assert database.url.drivername == "postgresql+psycopg"


def test_a_database_that_cannot_be_opened_is_told_in_a_sentence(tmp_path: Path) -> None:
    with (
        Database(f"sqlite:///{tmp_path / 'no' / 'such' / 'folder.sqlite3'}") as database,
        pytest.raises(DatabaseOutOfReach, match="unable to open database file"),
        database.reading(),
    ):
        pass


def test_what_the_owner_set_is_at_hand(database: Database) -> None:
    assert database.company == databases.COMPANY
    assert database.session_hours == 12
