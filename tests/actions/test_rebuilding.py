"""The rows follow from the log alone: made anew from it they are equal, and whatever is not is named and can be put right."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import Boolean, Integer, select, text

from tests import databases
from tests.actions import bench, lived
from tests.actions.bench import NOW, enter
from tests.people import AMA, BEN, MIRA
from trainer.actions import accounts, ledger, people, rebuilding, upkeep
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.permissions import Role
from trainer.actions.rebuild import PROJECTIONS, carried
from trainer.actions.rebuilding import Difference, How, LogUnsound
from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.store import comparison, events, scratch
from trainer.store.mending import RowsStillNeeded
from trainer.store.read_models import NO_PASSWORD, rebuilt, told_columns
from trainer.store.schema import metadata

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Column, Table

    from trainer.actions.opening import Database
    from trainer.store.session import Unit


def _live(db: Database) -> None:
    bench.found(db)
    lived.live(db)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with databases.prepared_sqlite(tmp_path_factory.mktemp("lived"), _live) as memory:
        yield memory


@pytest.fixture(scope="module")
def full_on_postgresql(server: databases.Server) -> Iterator[str]:
    with databases.prepared_postgresql(server, _live) as name:
        yield name


@pytest.fixture(params=databases.BOTH)
def company(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A company in which everything was done, on either database."""
    with databases.either(request, tmp_path, "full", "full_on_postgresql") as made:
        yield made


@pytest.fixture
def on_sqlite(full: sqlite3.Connection, tmp_path: Path) -> Iterator[Database]:
    with databases.copy_of(full, tmp_path / "lived.sqlite3") as copied:
        yield copied


def _wrong(db: Database) -> list[Difference]:
    return [item for held in rebuilding.compare(db, SYSTEM) for item in held.differences]


def _guards(db: Database) -> list[tuple[Any, ...]]:
    asked = "SELECT tbl_name, name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
    if not db.is_sqlite:
        asked = "SELECT tgrelid, tgname, tgenabled, tgdeferrable FROM pg_trigger ORDER BY 1, 2"
    with db.reading() as unit:
        return [tuple(row) for row in unit.execute(text(asked))]


def test_all_that_can_be_done_gives_the_same_rows_again(company: Database) -> None:
    held = rebuilding.compare(company, SYSTEM)
    assert [item for one in held for item in one.differences] == []
    assert [one.table for one in held if not one.rows] == []
    with company.reading() as unit:
        done = {event.action for event in events.since(unit)}
    # Nothing would be proved of an action that nobody did.
    assert set(PROJECTIONS) - done == {carried.CARRIED}


def test_who_may_not_read_the_log_learns_nothing(on_sqlite: Database) -> None:
    for someone in (AMA, MIRA):
        with pytest.raises(NotAllowed):
            rebuilding.compare(on_sqlite, enter(on_sqlite, someone))


def test_whichever_cell_is_changed_is_named(on_sqlite: Database) -> None:
    with on_sqlite.engine.connect() as kept, scratch.scratch() as made:
        rebuilding.make(kept, made)
        kept.exec_driver_sql("PRAGMA ignore_check_constraints=ON")
        kept.exec_driver_sql("PRAGMA defer_foreign_keys=ON")
        for (name,) in kept.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'")).all():
            kept.exec_driver_sql(f"DROP TRIGGER {name}")
        tried = 0
        for table in rebuilt():
            for name in told_columns(table):
                with kept.begin_nested() as point:
                    _change_one(kept, table, table.c[name])
                    found = list(comparison.differences(kept, made, table))
                    point.rollback()
                tried += 1
                if table.c[name].primary_key:
                    assert {item.how for item in found} == {How.ADDED, How.MISSING}, (table.name, name)
                else:
                    assert [(item.how, item.columns) for item in found] == [(How.CHANGED, (name,))]
        kept.rollback()
    assert tried > 200


def _change_one(kept: Unit, table: Table, column: Column[Any]) -> None:
    of_one = f"rowid = (SELECT max(rowid) FROM {table.name})"  # noqa: S608
    other = "'something else'"
    if isinstance(column.type, Boolean):
        other = f"1 - {column.name}"
    elif isinstance(column.type, Integer):
        other = f"coalesce({column.name}, 0) + 100003"
    kept.exec_driver_sql(f"UPDATE {table.name} SET {column.name} = {other} WHERE {of_one}")  # noqa: S608


CHANGES = (
    "UPDATE attempts SET mark = '{}' WHERE id = 1",
    "UPDATE people SET display_name = 'Somebody Else', evaluator = NOT evaluator WHERE id = 'P-0001'",
    "UPDATE people SET id = 'P-0999' WHERE id = 'P-0003'",
    "UPDATE module_revisions SET title = 'Another'",
    "UPDATE qualifications SET valid_until = '2031-01-01'",
    "UPDATE skill_summaries SET clean = clean - clean, in_a_row = in_a_row - in_a_row",
    "UPDATE sequences SET last = 77 WHERE name = 'people'",
    "DELETE FROM life_events WHERE act = 'lifted' AND person_id = 'P-0001'",
    "DELETE FROM observation_photographs",
    "INSERT INTO revision_reads SELECT revision, 'P-0002', since FROM current_revisions",
)


def test_what_was_changed_is_named_and_put_right(company: Database) -> None:
    guards = _guards(company)
    with company.reading() as unit:
        before = {table.name: list(comparison.rows(unit, table)) for table in rebuilt()}
    databases.tampered(company, *CHANGES)
    wrong = _wrong(company)
    assert Difference("attempts", (1,), How.CHANGED, ("mark",)) in wrong
    assert Difference("people", ("P-0001",), How.CHANGED, ("display_name", "evaluator")) in wrong
    assert Difference("people", ("P-0003",), How.MISSING) in wrong
    assert Difference("people", ("P-0999",), How.ADDED) in wrong
    assert Difference("sequences", ("people",), How.CHANGED, ("last",)) in wrong
    assert {item.how for item in wrong if item.table == "life_events"} == {How.MISSING}
    assert {item.how for item in wrong if item.table == "revision_reads"} == {How.ADDED}
    told = rebuilding.replace(company, SYSTEM, chance="c", now=lived.LATER)
    assert [item for one in told for item in one.differences] == wrong
    assert _wrong(company) == []
    assert _guards(company) == guards
    with company.reading() as unit:
        assert {table.name: list(comparison.rows(unit, table)) for table in rebuilt()} == before
        newest = events.newest(unit, rebuilding.REPLACED)
    assert newest is not None
    assert {"table": "life_events", "changed": 0, "missing": 1, "added": 0} in canonical.read(newest.payload)[
        "tables"
    ]
    assert ledger.check(company, SYSTEM).troubles == ()
    # The company goes on: numbers, guards and passwords are what they were.
    bench.practise_once(company, enter(company, BEN))
    accounts.sign_in(company, AMA.sign_in_name, AMA.password, address="192.0.2.9", now=NOW)
    added = people.add(company, SYSTEM, "ada", "Ada", [Role.KEEPER], "", password="ada comes later", now=NOW)
    assert added.person_id == "P-0010"
    assert _wrong(company) == []


def test_where_nothing_differs_nothing_is_written(on_sqlite: Database) -> None:
    with on_sqlite.reading() as unit:
        before = len(list(events.since(unit)))
    rebuilding.replace(on_sqlite, SYSTEM, chance="c", now=NOW)
    with on_sqlite.reading() as unit:
        assert len(list(events.since(unit))) == before


def test_secrets_that_were_lost_with_their_rows_open_nothing(company: Database) -> None:
    databases.tampered(company, "DELETE FROM people WHERE id = 'P-0002'", "DELETE FROM sittings WHERE id = 1")
    rebuilding.replace(company, SYSTEM, chance="taken afresh", now=NOW)
    assert _wrong(company) == []
    for password in (BEN.password, NO_PASSWORD, "", "not told"):
        with pytest.raises(accounts.SignInRefused):
            accounts.sign_in(company, BEN.sign_in_name, password, address=f"a{password}", now=NOW)
    with company.reading() as unit:
        asked = select(metadata.tables["sittings"].c.drawn_with).where(metadata.tables["sittings"].c.id == 1)
        assert unit.execute(asked).scalar_one() == "taken afresh 1"


def test_nothing_is_written_from_a_log_that_does_not_check(on_sqlite: Database) -> None:
    databases.tampered(
        on_sqlite,
        CHANGES[0],
        "UPDATE events SET payload = replace(payload, 'Half an hour.', 'Half a day.') WHERE action = 'policy:set'",
    )
    assert {item.table for item in _wrong(on_sqlite)} == {"attempts", "policies"}
    with pytest.raises(LogUnsound, match="The log does not check"):
        rebuilding.replace(on_sqlite, SYSTEM, chance="c", now=NOW)
    assert {item.table for item in _wrong(on_sqlite)} == {"attempts", "policies"}


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ("at = 'at noon'", r"The log cannot be read \(.*'at noon'\); `trainer ledger check`"),
        ("payload = '{'", r"Entry 25 of the log \(.*\) gives no rows: This is no JSON of a record"),
        ("payload = '{}'", r"Entry 25 of the log \(.*\) gives no rows: '\w+' is missing"),
        (
            "payload = replace(payload, '2027', 'noon')",
            r"Entry \d+ of the log \(.*\) gives no rows: Invalid isoformat",
        ),
        ("payload = replace(payload, 'P-0001', 'P-0002')", r"it adds P-0002, and the next number is P-0001"),
    ],
)
def test_an_entry_that_gives_no_rows_is_named(on_sqlite: Database, change: str, sentence: str) -> None:
    where = "" if "replace" in change else " WHERE number = 25"
    databases.tampered(on_sqlite, f"UPDATE events SET {change}{where}")  # noqa: S608  # written above
    with pytest.raises(TrainerError, match=sentence):
        rebuilding.compare(on_sqlite, SYSTEM)


def test_a_row_that_is_still_referred_to_stops_everything(company: Database) -> None:
    with company.writing() as unit:
        person = metadata.tables["people"]
        values = unit.execute(select(person).where(person.c.id == AMA.id)).one()._mapping
        unit.execute(person.insert().values({**values, "id": "P-0999", "sign_in_name": "nobody"}))
        session = metadata.tables["sessions"]
        values = unit.execute(select(session).limit(1)).one()._mapping
        unit.execute(
            session.insert().values({**values, "id": 9999, "person_id": "P-0999", "token_hash": "0" * 64})
        )
    databases.tampered(company, CHANGES[0])
    with pytest.raises(RowsStillNeeded, match="sessions"):
        rebuilding.replace(company, SYSTEM, chance="c", now=NOW)
    assert {item.table for item in _wrong(company)} == {"attempts", "people"}


def test_an_upgrade_carries_the_rows_of_an_earlier_log_once(on_sqlite: Database) -> None:
    assert upkeep.carry_rows(on_sqlite, SYSTEM, now=NOW) == ()
    lived.shorten(on_sqlite)
    (sentence,) = upkeep.carry_rows(on_sqlite, SYSTEM, now=NOW)
    assert "into the log" in sentence
    assert upkeep.carry_rows(on_sqlite, SYSTEM, now=NOW) == ()
    assert _wrong(on_sqlite) == []


def test_an_earlier_log_goes_on_from_rows_carried_into_it(company: Database) -> None:
    lived.shorten(company)
    with pytest.raises(rebuilding.LogTooShort, match="run `trainer upgrade`"):
        rebuilding.compare(company, SYSTEM)
    with company.writing() as unit:
        assert carried.is_short(unit)
        assert carried.write(unit, now=lived.LATER) >= len(rebuilt()) - 1
    with company.reading() as unit:
        assert not carried.is_short(unit)
        # What is carried is carried without its secrets.
        logged = "".join(event.payload for event in events.since(unit) if event.action == carried.CARRIED)
    assert "argon2" not in logged
    assert _wrong(company) == []
    bench.practise_once(company, enter(company, BEN))
    assert _wrong(company) == []
    databases.tampered(company, CHANGES[0])
    assert _wrong(company) == [Difference("attempts", (1,), How.CHANGED, ("mark",))]
