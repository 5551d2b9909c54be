"""Databases for tests: a prepared SQLite file copied for each test, and a PostgreSQL server of our own."""

from __future__ import annotations

import os
import secrets
import shutil
import sqlite3
import subprocess
import tempfile
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import pytest
from sqlalchemy import create_engine, text

from tests import snapshots
from trainer.store import upgrade
from trainer.store.session import Database

if TYPE_CHECKING:
    import random
    from collections.abc import Callable, Iterator

COMPANY = "Ferncombe Gas (invented)"
_FOLDERS = ("/usr/lib/postgresql", "/usr/local/lib/postgresql", "/opt/homebrew/opt")


def missing(what: str) -> NoReturn:
    """Skip the test, or fail it where everything has to be there."""
    if os.environ.get("TRAINER_TESTS_NEED_ALL") == "1":
        pytest.fail(what)
    pytest.skip(what)


# SQLite


@contextmanager
def prepared_sqlite(
    folder: Path, fill: Callable[[Database], None] | None = None
) -> Iterator[sqlite3.Connection]:
    """Yield a database in memory with the newest schema and what `fill` put in; copies are made of it."""
    path = folder / "prepared.sqlite3"
    with Database(f"sqlite:///{path}", company=COMPANY) as database:
        upgrade.to_newest(database)
        if fill is not None:
            fill(database)
    memory = sqlite3.connect(":memory:")
    made = sqlite3.connect(path)
    try:
        made.backup(memory)
        yield memory
    finally:
        made.close()
        memory.close()


@contextmanager
def copy_of(prepared: sqlite3.Connection, path: Path) -> Iterator[Database]:
    """Yield a copy of a prepared database at a path."""
    copied = sqlite3.connect(path)
    prepared.backup(copied)
    copied.close()
    with Database(f"sqlite:///{path}", company=COMPANY) as database:
        yield database


# PostgreSQL


@dataclass(frozen=True)
class _Copy:
    """A database that tests use in turn, and the rows that each of them finds in it."""

    name: str
    rows: snapshots.InPostgresql


@dataclass(frozen=True)
class Server:
    """A running PostgreSQL server that is reached through a socket in its folder."""

    folder: Path
    user: str
    _copies: dict[str, _Copy] = field(default_factory=dict)

    def url(self, name: str) -> str:
        """Return the URL of a database of this server."""
        return f"postgresql+psycopg://{self.user}@/{name}?host={self.folder}"

    @contextmanager
    def new_database(self) -> Iterator[str]:
        """Yield the name of an empty database that exists while the block runs."""
        name = f"t_{secrets.token_hex(6)}"
        self._do(f"CREATE DATABASE {name} TEMPLATE template0")
        try:
            yield name
        finally:
            self._do(f"DROP DATABASE {name} WITH (FORCE)")

    def copy_of(self, template: str) -> str:
        """Return the name of a database with the rows of another: the one of the last time, put back to them.

        Making one anew takes twenty times as long.
        """
        if template in self._copies:
            copy = self._copies[template]
            with Database(self.url(copy.name)) as database:
                copy.rows.put_back(database)
            return copy.name
        name = f"t_{secrets.token_hex(6)}"
        self._do(f"CREATE DATABASE {name} TEMPLATE {template}")
        with Database(self.url(name)) as database:
            self._copies[template] = _Copy(name, snapshots.InPostgresql.taken(database))
        return name

    def _do(self, statement: str) -> None:
        engine = create_engine(self.url("postgres"), isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.execute(text(statement))
        engine.dispose()


@contextmanager
def prepared_postgresql(server: Server, fill: Callable[[Database], None]) -> Iterator[str]:
    """Yield the name of a database with the newest schema and what `fill` put in; copies are made of it."""
    with server.new_database() as name:
        with Database(server.url(name), company=COMPANY) as database:
            upgrade.to_newest(database)
            fill(database)
        yield name


@contextmanager
def either(request: pytest.FixtureRequest, folder: Path, sqlite: str, postgresql: str) -> Iterator[Database]:
    """Yield a copy of what a fixture prepared: of `sqlite` or, where the test asks for it, of `postgresql`."""
    if request.param == "sqlite":
        with copy_of(request.getfixturevalue(sqlite), folder / "trainer.sqlite3") as copied:
            yield copied
        return
    server: Server = request.getfixturevalue("server")
    name = server.copy_of(request.getfixturevalue(postgresql))
    with Database(server.url(name), company=COMPANY) as made:
        yield made


# A fixture with these parameters is tried on both.
BOTH = ("sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql))


@contextmanager
def postgresql_server() -> Iterator[Server]:
    """Yield a server of our own with an empty cluster, stopped and removed afterwards."""
    initdb, pg_ctl = _program("initdb"), _program("pg_ctl")
    # A socket's path may have about 100 characters, so the folder is made near the root.
    folder = Path(tempfile.mkdtemp(prefix="trainer-pg-", dir="/tmp"))  # mkdtemp makes it private
    before = _as_postgres(folder)
    data = folder / "data"
    options = f"-c listen_addresses= -c unix_socket_directories={folder} -c fsync=off -c max_connections=60"
    try:
        _run([*before, initdb, "-D", str(data), "-U", "tester", "-A", "trust", "-E", "UTF8", "--locale=C"])
        _run([*before, pg_ctl, "-D", str(data), "-o", options, "-l", str(folder / "log"), "-w", "start"])
        try:
            yield Server(folder, "tester")
        finally:
            _run([*before, pg_ctl, "-D", str(data), "-m", "immediate", "-w", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _program(name: str) -> str:
    for folder in _FOLDERS:
        found = sorted(Path(folder).glob(f"*/bin/{name}"), reverse=True)
        if found:
            return str(found[0])
    on_path = shutil.which(name)
    if on_path is None:
        missing(f"PostgreSQL is not installed here: no {name} in {', '.join(_FOLDERS)} or on PATH")
    return on_path


def _as_postgres(folder: Path) -> list[str]:
    """Return what has to stand before a command, because PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return []
    try:
        shutil.chown(folder, "postgres")
    except LookupError:
        missing("PostgreSQL refuses to run as root, and there is no user 'postgres' to run it as")
    setpriv = shutil.which("setpriv")
    if setpriv:
        return [setpriv, "--reuid=postgres", "--regid=postgres", "--clear-groups"]
    runuser = shutil.which("runuser")
    if runuser is None:
        missing("PostgreSQL refuses to run as root, and neither setpriv nor runuser is here")
    return [runuser, "-u", "postgres", "--"]


def _run(command: list[str]) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd="/")  # noqa: S603
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(command)}\n{done.stdout}{done.stderr}")


# Tampering


def unguarded(db: Database, *tables: str) -> None:
    """Take off what keeps the rows of these tables as they were written."""
    with db.writing() as unit:
        for table in tables:
            if not db.is_sqlite:
                unit.execute(text(f"ALTER TABLE {table} DISABLE TRIGGER ALL"))
                continue
            named = text("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = :table")
            for guard in unit.execute(named, {"table": table}).scalars().all():
                unit.execute(text(f"DROP TRIGGER {guard}"))


def tampered(db: Database, *statements: str) -> None:
    """Change rows as somebody does who has the database in their hands: past guards and past what refers to what."""
    with db.engine.connect() as unit:
        if db.is_sqlite:
            unit.exec_driver_sql("ROLLBACK")
            unit.exec_driver_sql("PRAGMA foreign_keys=OFF")
            unit.exec_driver_sql("PRAGMA ignore_check_constraints=ON")
            unit.exec_driver_sql("BEGIN")
            guards = unit.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")).all()
            for guard in guards:
                unit.exec_driver_sql(f"DROP TRIGGER {guard.name}")
        else:
            unit.execute(text("SET session_replication_role = replica"))
            guards = []
        for statement in statements:
            assert unit.execute(text(statement)).rowcount > 0, statement
        for guard in guards:
            unit.exec_driver_sql(guard.sql)
        unit.commit()
    db.close()


@contextmanager
def flipped(
    db: Database, draw: random.Random, table: str, column: str, where: str
) -> Iterator[tuple[bool, int]]:
    """Flip one bit of a cell of an unguarded SQLite database while the block runs.

    Yields whether anything was changed (a text that is none any more cannot be kept), and which bit.
    """
    cell = f"{table} WHERE {where}"
    with db.reading() as unit:
        select = text(f"SELECT CAST({column} AS BLOB) FROM {cell}")  # noqa: S608  # names of the schema
        was = bytes(unit.execute(select).scalar_one())
    bit = draw.randrange(len(was) * 8)
    changed = bytearray(was)
    changed[bit // 8] ^= 1 << bit % 8
    try:
        value: bytes | str = bytes(changed) if column == "hashes" else changed.decode()
    except UnicodeDecodeError:
        yield False, bit
        return
    change = text(f"UPDATE {table} SET {column} = :value WHERE {where}")  # noqa: S608  # names of the schema
    with db.writing() as unit:
        unit.execute(change, {"value": value})
    yield True, bit
    with db.writing() as unit:
        unit.execute(change, {"value": was if column == "hashes" else was.decode()})
