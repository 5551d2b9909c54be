"""An invented company at work for each test, on SQLite and, under the marker `postgresql`, on PostgreSQL."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests import databases
from tests.actions import bench

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.opening import Database


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
    with databases.prepared_postgresql(server, bench.found) as name:
        yield name


@pytest.fixture(params=databases.BOTH)
def db(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """The seven people of `tests.people`, the covered task T-31 and the module `small-valve`."""
    with databases.either(request, tmp_path, "founded", "founded_on_postgresql") as made:
        yield made
