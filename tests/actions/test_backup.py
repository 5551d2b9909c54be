"""Backup and restore: everything comes back, from either database into either, and nothing torn or changed gets in."""

from __future__ import annotations

import random
import shutil
import sqlite3
import threading
import zipfile
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from alembic import command
from sqlalchemy import select, text

from tests.actions import bench, lived
from tests.actions.bench import NOW
from tests.people import AMA, BEN, KIT, SOL
from trainer.actions import ledger, rebuilding, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.backup import NothingToBackUp, backup
from trainer.actions.opening import open_database, unopened
from trainer.actions.restore import LogBroken, LogsDiffer, SomethingHere, restore
from trainer.records import backup_file, key_file
from trainer.records.backup_file import BackupNotWritten, BackupUnreadable
from trainer.settings import Settings
from trainer.store import events, upgrade
from trainer.store.copying import DatabaseInUse
from trainer.store.schema import metadata
from trainer.store.schema.log import ledger as hashes
from trainer.store.schema.people import sessions
from trainer.store.upgrade import SchemaUnknown

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.opening import Database

LATER = NOW + timedelta(hours=1)
BOTH = ("sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql))


@pytest.fixture
def works(db: Database, tmp_path: Path) -> Settings:
    """The invented company after some work: a key, somebody signed in and qualified, rows in many tables."""
    url = db.url.render_as_string(hide_password=False)
    settings = Settings(instance=tmp_path / "works", database_url=url, company="Ferncombe Gas (invented)")
    db.keys = settings.keys
    key_file.make(settings.keys, settings.log_name)
    (settings.instance / "settings.toml").write_text(
        f'company = "Ferncombe Gas (invented)"\ndatabase_url = "{url}"\npaper = "us-letter"\n',
        encoding="utf-8",
    )
    bench.make_ready(db, BEN)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    return settings


@pytest.fixture(params=BOTH)
def elsewhere(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Settings]:
    """An installation on another machine, with nothing in it."""
    if request.param == "sqlite":
        yield Settings(instance=tmp_path / "elsewhere")
        return
    server: Any = request.getfixturevalue("server")
    with server.new_database() as name:
        yield Settings(instance=tmp_path / "elsewhere", database_url=server.url(name))


@pytest.fixture
def sqlite_elsewhere(tmp_path: Path) -> Settings:
    return Settings(instance=tmp_path / "elsewhere")


def _rows(db: Database) -> dict[str, list[Any]]:
    with db.reading() as unit:
        return {
            table.name: [
                tuple(row) for row in unit.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in metadata.sorted_tables
        }


def _one_more(db: Database, number: int = 0) -> None:
    with db.writing() as unit:
        events.add(unit, at=NOW, person_id=AMA.id, action="a:b", payload={"n": number})


def _taken(works: Settings, tmp_path: Path, name: str = "taken", **options: bool) -> Path:
    target = tmp_path / name
    backup(works, target, now=NOW, **options)
    return target


def test_everything_comes_back_from_either_database_into_either(
    db: Database, works: Settings, elsewhere: Settings, tmp_path: Path
) -> None:
    before = _rows(db)
    told = restore(elsewhere, _taken(works, tmp_path), now=LATER)
    assert any("Its log fits together" in sentence for sentence in told)
    with open_database(elsewhere) as restored:
        after = _rows(restored)
        # The restoring itself stands in the log, and whoever was signed in signs in again.
        entries = len(before["events"])
        assert [row[3] for row in after["events"][entries:]] == ["instance:restore"]
        assert after["events"][:entries] == before["events"]
        assert after["ledger"][:entries] == before["ledger"]
        assert after["checkpoints"][-1][0] == entries
        ended = {row.id: row.ended_at for row in _sessions(restored)}
        assert set(ended.values()) == {LATER}
        changed = {"events", "ledger", "checkpoints", "sessions"}
        assert {name: after[name] for name in after if name not in changed} == {
            name: before[name] for name in before if name not in changed
        }
        assert sum(1 for rows in after.values() if rows) > 12
        # The guards are there again, numbers go on, and people work on.
        with pytest.raises(Exception, match="kept as written"), restored.writing() as unit:
            unit.execute(text("DELETE FROM events"))
        restored.keys = elsewhere.keys
        assert bench.enter(restored, SOL, now=LATER).session == max(ended) + 1
        assert ledger.check(restored, SYSTEM).troubles == ()


def _sessions(db: Database) -> list[Any]:
    with db.reading() as unit:
        return list(unit.execute(select(sessions)))


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_nothing_is_torn_while_others_write(works: Settings, tmp_path: Path) -> None:
    """Two connections write without pause, an entry in a transaction with a row of another table; both or none are copied."""
    over = threading.Event()
    wrote = [0, 0]

    def write(which: int) -> None:
        with unopened(works) as own:
            while not over.is_set():
                with own.writing() as unit:
                    number = events.add(
                        unit, at=NOW, person_id=AMA.id, action="a:b", payload={"x": "y" * 500}
                    )
                    unit.execute(
                        text("INSERT INTO sequences (name, last) VALUES (:name, 1)"),
                        {"name": f"entry-{number}"},
                    )
                wrote[which] += 1

    writers = [threading.Thread(target=write, args=(which,)) for which in range(2)]
    for writer in writers:
        writer.start()
    try:
        taken = []
        for number in range(5):
            at_least = sum(wrote)
            taken.append((at_least, _taken(works, tmp_path, f"taken-{number}")))
    finally:
        over.set()
        for writer in writers:
            writer.join()
    assert min(wrote) > 0
    sizes = set()
    for number, (at_least, path) in enumerate(taken):
        target = Settings(instance=tmp_path / f"target-{number}")
        restore(target, path, now=LATER)
        with open_database(target) as restored:
            rows = _rows(restored)
        noted = {row[0] for row in rows["events"] if row[3] == "a:b"}
        named = {
            int(row[0].removeprefix("entry-")) for row in rows["sequences"] if row[0].startswith("entry-")
        }
        assert noted == named
        assert len(noted) >= at_least
        sizes.add(len(noted))
    assert len(sizes) > 1


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_a_file_cut_short_or_changed_in_any_bit_is_refused(
    works: Settings, sqlite_elsewhere: Settings, tmp_path: Path
) -> None:
    whole = _taken(works, tmp_path).read_bytes()
    draw = random.Random(11)  # noqa: S311  # which places are tried
    path = tmp_path / "broken"
    cuts = [0, 1, 30, 110, len(whole) - 1, *(draw.randrange(len(whole)) for _ in range(20))]
    for length in cuts:
        path.write_bytes(whole[:length])
        with pytest.raises(BackupUnreadable, match=r"is empty|cut short"):
            restore(sqlite_elsewhere, path, now=LATER)
    path.write_bytes(whole + b"more")
    with pytest.raises(BackupUnreadable, match="longer than it was"):
        restore(sqlite_elsewhere, path, now=LATER)
    places = [*range(120), *(draw.randrange(len(whole)) for _ in range(100))]
    for place in places:
        changed = bytearray(whole)
        changed[place] ^= 1 << draw.randrange(8)
        path.write_bytes(changed)
        with pytest.raises(BackupUnreadable):
            restore(sqlite_elsewhere, path, now=LATER)
    assert [found.name for found in sqlite_elsewhere.instance.iterdir()] == []


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_another_kind_of_file_and_a_newer_form_are_told(
    works: Settings, sqlite_elsewhere: Settings, tmp_path: Path
) -> None:
    path = tmp_path / "other"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("manifest.json", "{}" * 200)
    with pytest.raises(BackupUnreadable, match="not a file that `trainer backup` made"):
        restore(sqlite_elsewhere, path, now=LATER)
    with pytest.raises(BackupUnreadable, match="no such file"):
        restore(sqlite_elsewhere, tmp_path / "nothing", now=LATER)
    taken = _taken(works, tmp_path)
    taken.write_bytes(taken.read_bytes().replace(b"backup 1 ", b"backup 2 ", 1))
    with pytest.raises(BackupUnreadable, match="form 2, which this program does not know"):
        restore(sqlite_elsewhere, taken, now=LATER)


def _made_anew(taken: Path, tmp_path: Path, change: str) -> Path:
    """Return a backup whose every hash is right, of a database in which somebody changed something."""
    folder = tmp_path / "changed"
    folder.mkdir()
    manifest, files, _ = backup_file.taken_out(taken, folder)
    with closing(sqlite3.connect(files[backup_file.DATABASE])) as held:
        held.executescript(change)
    made = tmp_path / "made-anew"
    backup_file.write(made, replace(manifest, files=backup_file.facts_of(files)), files)
    return made


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
@pytest.mark.parametrize(
    "change",
    [
        "DROP TRIGGER events_keep; UPDATE events SET payload = payload || ' ' WHERE number = 9",
        "DROP TRIGGER checkpoints_stay; DELETE FROM checkpoints WHERE size = (SELECT max(size) FROM checkpoints)",
        "DROP TRIGGER events_stay; DROP TRIGGER ledger_stay;"
        "DELETE FROM ledger WHERE number > 20; DELETE FROM events WHERE number > 20",
    ],
    ids=["an entry changed", "a checkpoint taken out", "entries cut off"],
)
def test_a_changed_log_is_refused_though_every_hash_of_the_file_is_right(
    works: Settings, sqlite_elsewhere: Settings, tmp_path: Path, change: str
) -> None:
    made = _made_anew(_taken(works, tmp_path), tmp_path, change)
    with pytest.raises(LogBroken, match="does not fit together"):
        restore(sqlite_elsewhere, made, now=LATER)


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_a_newer_schema_is_told_and_an_older_one_brought_along(
    db: Database, works: Settings, sqlite_elsewhere: Settings, tmp_path: Path
) -> None:
    newer = _made_anew(_taken(works, tmp_path), tmp_path, "UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(SchemaUnknown, match="9999"):
        restore(sqlite_elsewhere, newer, now=LATER)
    with db.writing() as unit:
        command.downgrade(upgrade.config(unit), "-1")
    told = backup(works, tmp_path / "older", now=NOW)
    assert "older than this program's" in told[0]
    told = restore(sqlite_elsewhere, tmp_path / "older", now=LATER)
    assert any(sentence.startswith(f"Schema {upgrade.newest()}") for sentence in told)
    with open_database(sqlite_elsewhere) as restored:
        assert ledger.check(restored, SYSTEM).troubles == ()


def test_what_is_here_is_replaced_only_on_purpose_and_stays_beside(
    db: Database, works: Settings, tmp_path: Path
) -> None:
    taken = _taken(works, tmp_path)
    with db.reading() as unit:
        then = len(list(events.since(unit)))
    for number in range(3):
        _one_more(db, number)
    ledger.checkpoint(db, bench.enter(db, KIT), now=NOW)
    before = _rows(db)
    db.close()
    with pytest.raises(
        SomethingHere, match=f"{then + 3} log entries, and the last 3 of them are not in the backup"
    ):
        restore(works, taken, now=LATER)
    assert _rows(db) == before
    db.close()
    told = restore(works, taken, now=LATER, replace=True)
    moment = LATER.strftime("%Y%m%dT%H%M%SZ")
    with open_database(works) as restored:
        rows = _rows(restored)
        assert len(rows["events"]) == then + 1
        assert f'"replaced_entries":{then + 3}' in rows["events"][-1][4]
    if db.is_sqlite:
        aside = tmp_path / f"trainer-replaced-{moment}.sqlite3"
        assert f"What was here is now {aside}." in told
        with unopened(replace(works, database_url=f"sqlite:///{aside}")) as old:
            assert _rows(old) == before
    else:
        assert f"What was here is now the schema replaced_{moment.lower()} of the same database." in told
        with db.reading() as unit:
            unit.execute(text(f"SET LOCAL search_path TO replaced_{moment.lower()}"))
            kept = unit.execute(select(hashes).order_by(hashes.c.number)).all()
        assert [tuple(row) for row in kept] == before["ledger"]
    with pytest.raises(SomethingHere):
        restore(works, taken, now=LATER)


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
def test_a_database_in_use_is_not_replaced(db: Database, works: Settings, tmp_path: Path) -> None:
    taken = _taken(works, tmp_path)
    before = _rows(db)
    with pytest.raises(DatabaseInUse, match="stop the program"):
        restore(works, taken, now=LATER, replace=True)
    assert _rows(db) == before


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
def test_a_damaged_database_is_put_aside_as_it_is(db: Database, works: Settings, tmp_path: Path) -> None:
    taken = _taken(works, tmp_path)
    db.close()
    path = tmp_path / "trainer.sqlite3"
    path.write_bytes(b"SQLite format 3\0" + b"\xff" * 9000)
    with pytest.raises(SomethingHere, match="damaged"):
        restore(works, taken, now=LATER)
    restore(works, taken, now=LATER, replace=True)
    [aside] = tmp_path.glob("trainer-replaced-*.sqlite3")
    assert aside.read_bytes().endswith(b"\xff" * 9000)
    with open_database(works) as restored:
        assert ledger.check(restored, SYSTEM).troubles == ()


def test_a_log_that_is_not_the_one_known_here_is_refused(
    db: Database, works: Settings, tmp_path: Path
) -> None:
    """Two copies go on apart from one another: neither is restored over the other, longer or shorter."""
    taken = _taken(works, tmp_path)
    apart = Settings(instance=tmp_path / "apart", company=works.company)
    restore(apart, taken, now=LATER)
    other = tmp_path / "other"
    backup(apart, other, now=LATER)
    _one_more(db)
    ledger.checkpoint(db, bench.enter(db, KIT), now=NOW)
    db.close()
    with pytest.raises(LogsDiffer, match="Nothing was changed"):
        restore(works, other, now=LATER, replace=True)
    longer = _taken(works, tmp_path, "longer")
    # What nobody signed here is told as lost; what was signed here keeps another log out.
    with pytest.raises(SomethingHere, match="the last 1 of them are not in the backup"):
        restore(apart, longer, now=LATER)
    with open_database(apart) as held:
        ledger.checkpoint(held, SYSTEM, now=LATER)
    with pytest.raises(LogsDiffer):
        restore(apart, longer, now=LATER, replace=True)


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_the_signing_key_goes_along_only_when_asked(works: Settings, tmp_path: Path) -> None:
    secret = key_file.text_in_use(works.keys)
    old = key_file.read(works.keys).verifier
    for name, asked in (("without", False), ("with", True)):
        target = Settings(instance=tmp_path / f"at-{name}")
        taken = _taken(works, tmp_path, name, with_signing_key=asked)
        with zipfile.ZipFile(taken) as archive:
            assert any(secret in archive.read(member) for member in archive.namelist()) is asked
        told = " ".join(restore(target, taken, now=LATER))
        assert ("a new one was made" in told) is not asked
        assert old in key_file.verifiers(target.keys)
        assert (key_file.read(target.keys).verifier == old) is asked
        assert (target.keys / "log-key.toml").stat().st_mode & 0o077 == 0
        with open_database(target) as restored:
            assert ledger.check(restored, SYSTEM).checkpoints > 0
            assert ledger.check(restored, SYSTEM).troubles == ()


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_a_key_in_use_here_gives_way_to_the_one_brought_and_is_kept(works: Settings, tmp_path: Path) -> None:
    target = Settings(instance=tmp_path / "fresh")
    upkeep.upgrade(target)
    here = key_file.read(target.keys).verifier
    restore(target, _taken(works, tmp_path, with_signing_key=True), now=LATER)
    assert key_file.verifiers(target.keys) == (key_file.read(works.keys).verifier, here)
    assert len(list(target.keys.glob("log-key-replaced-*.toml"))) == 1


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_settings_come_along_without_the_address_of_the_database(
    works: Settings, sqlite_elsewhere: Settings, tmp_path: Path
) -> None:
    taken = _taken(works, tmp_path)
    restore(sqlite_elsewhere, taken, now=LATER)
    written = (sqlite_elsewhere.instance / "settings.toml").read_text(encoding="utf-8")
    assert written == 'company = "Ferncombe Gas (invented)"\npaper = "us-letter"\n'
    own = Settings(instance=tmp_path / "own")
    own.instance.mkdir()
    (own.instance / "settings.toml").write_text('paper = "a4"\n', encoding="utf-8")
    told = restore(own, taken, now=LATER)
    assert (own.instance / "settings.toml").read_text(encoding="utf-8") == 'paper = "a4"\n'
    assert (own.instance / "settings-from-backup.toml").read_text(encoding="utf-8") == written
    assert any("stays as it is" in sentence for sentence in told)


@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
@pytest.mark.usefixtures("db")
def test_a_backup_is_for_its_owner_alone_and_never_written_over_another(
    works: Settings, tmp_path: Path
) -> None:
    taken = _taken(works, tmp_path)
    kept = taken.read_bytes()
    assert taken.stat().st_mode & 0o077 == 0
    with pytest.raises(BackupNotWritten, match="there is a file already"):
        backup(works, taken, now=LATER)
    assert taken.read_bytes() == kept
    with pytest.raises(BackupNotWritten, match="no such file or directory"):
        backup(works, tmp_path / "no folder" / "taken", now=LATER)
    with pytest.raises(NothingToBackUp):
        backup(Settings(instance=tmp_path / "none"), tmp_path / "of nothing", now=LATER)
    assert not (tmp_path / "none").exists()
    assert list(tmp_path.glob(".*")) == []
    shutil.rmtree(works.instance)


def test_the_log_of_an_earlier_program_is_carried_on_when_it_comes_back(
    db: Database, works: Settings, elsewhere: Settings, tmp_path: Path
) -> None:
    lived.shorten(db)
    restore(elsewhere, _taken(works, tmp_path), now=LATER)
    with open_database(elsewhere) as restored:
        assert not any(held.differences for held in rebuilding.compare(restored, SYSTEM))
        bench.give_module(restored, AMA)
        bench.watch(restored, AMA, LATER)
        assert not any(held.differences for held in rebuilding.compare(restored, SYSTEM))
