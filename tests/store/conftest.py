"""A fresh database for each test, on SQLite and, under the marker `postgresql`, on PostgreSQL."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from tests import databases, people
from trainer.store import people as register
from trainer.store.session import Database

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

NOON = datetime(2027, 3, 17, 12, 0, tzinfo=UTC)


def _people(database: Database) -> None:
    with database.writing() as unit:
        for someone in people.EVERYBODY:
            added = register.add(
                unit,
                sign_in_name=someone.sign_in_name,
                display_name=someone.display_name,
                roles=someone.roles,
                crew=someone.crew,
                grade=someone.grade,
                evaluator=someone.evaluator,
                password_hash="not a hash",
                at=datetime(2027, 1, 4, tzinfo=UTC),
            )
            assert added is not None
            assert added.id == someone.id


@pytest.fixture
def now() -> datetime:
    return NOON


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with databases.prepared_sqlite(tmp_path_factory.mktemp("store"), _people) as memory:
        yield memory


@pytest.fixture(scope="session")
def server() -> Iterator[databases.Server]:
    with databases.postgresql_server() as running:
        yield running


@pytest.fixture(scope="session")
def template(server: databases.Server) -> Iterator[str]:
    with databases.prepared_postgresql(server, _people) as name:
        yield name


@pytest.fixture(params=databases.BOTH)
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database with the seven people of `tests.people` and nothing else."""
    with databases.either(request, tmp_path, "prepared", "template") as made:
        yield made


@pytest.fixture(params=databases.BOTH)
def empty(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database without a single table."""
    if request.param == "sqlite":
        with Database(f"sqlite:///{tmp_path / 'empty.sqlite3'}") as made:
            yield made
        return
    server: databases.Server = request.getfixturevalue("server")
    with server.new_database() as name, Database(server.url(name)) as made:
        yield made
