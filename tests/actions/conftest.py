"""An invented company at work for each test, on SQLite and, under the marker `postgresql`, on PostgreSQL."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests import databases
from tests.actions import bench
from trainer.actions.opening import Database
from trainer.store import upgrade

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture(scope="session")
def founded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with databases.prepared_sqlite(tmp_path_factory.mktemp("actions"), bench.found) as memory:
        yield memory


@pytest.fixture(scope="session")
def server() -> Iterator[databases.Server]:
    with databases.postgresql_server() as running:
        yield running


@pytest.fixture(scope="session")
def founded_on_postgresql(server: databases.Server) -> Iterator[str]:
    with server.new_database() as name:
        with Database(server.url(name), company=databases.COMPANY) as database:
            upgrade.to_newest(database)
            bench.found(database)
        yield name


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def db(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """The seven people of `tests.people`, the covered task T-31 and the module `small-valve`."""
    if request.param == "sqlite":
        with databases.copy_of(request.getfixturevalue("founded"), tmp_path / "trainer.sqlite3") as copied:
            yield copied
        return
    server: databases.Server = request.getfixturevalue("server")
    with (
        server.new_database(request.getfixturevalue("founded_on_postgresql")) as name,
        Database(server.url(name), company=databases.COMPANY) as made,
    ):
        yield made
