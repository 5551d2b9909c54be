"""One application for all tests of the web; each test gets a copy of the database, empty or in mid-week."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import pytest

from tests import databases, people
from tests.web import invented_provider, scene
from tests.web.visitor import Visitor
from trainer.actions import accounts
from trainer.settings import Settings
from trainer.web import create_app

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from flask import Flask

    from tests.web.invented_provider import Provider
    from trainer.actions.opening import Database


@dataclass(frozen=True)
class Prepared:
    """A database that tests copy, and for each person the token of a session that is open in it."""

    memory: sqlite3.Connection
    tokens: dict[str, str]


@pytest.fixture(scope="session")
def crews(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Prepared]]:
    """The two databases that tests copy: `empty` has people and nothing else, `full` a working week."""
    with ExitStack() as stack:
        made = {}
        for name, fill in (("empty", scene.people_alone), ("full", scene.full)):
            tokens: dict[str, str] = {}
            memory = databases.prepared_sqlite(tmp_path_factory.mktemp(name), _with_sessions(fill, tokens))
            made[name] = Prepared(stack.enter_context(memory), tokens)
        yield made


def _with_sessions(fill: Callable[[Database], None], tokens: dict[str, str]) -> Callable[[Database], None]:
    """Return `fill` and then a sign-in of everybody: checking a password takes longer than most tests."""

    def filled(database: Database) -> None:
        fill(database)
        for who in people.EVERYBODY:
            entered = accounts.sign_in(
                database, who.sign_in_name, who.password, address="127.0.0.1", now=scene.NOW
            )
            tokens[who.id] = entered.token

    return filled


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, crews: dict[str, Prepared]) -> Iterator[Flask]:
    """The application, built once."""
    folder = tmp_path_factory.mktemp("instance")
    with databases.copy_of(crews["empty"].memory, folder / "trainer.sqlite3") as database:
        settings = Settings(instance=folder, company=databases.COMPANY)
        yield create_app(settings, db=database, clock=lambda: scene.NOW)


@pytest.fixture
def crew() -> str:
    """Which database a test gets; parametrize it to get the other."""
    return "full"


@pytest.fixture
def db(crew: str, crews: dict[str, Prepared], tmp_path: Path) -> Iterator[Database]:
    """A copy of the database, for this test alone."""
    with databases.copy_of(crews[crew].memory, tmp_path / "trainer.sqlite3") as copied:
        yield copied


@pytest.fixture
def app(built: Flask, db: Database) -> Iterator[Flask]:
    """The application on this test's database."""
    before = built.extensions["trainer"]
    built.extensions["trainer"] = replace(before, db=db)
    yield built
    built.extensions["trainer"] = before


@pytest.fixture(scope="module")
def _running() -> Iterator[Provider]:
    with invented_provider.running() as provider:
        yield provider


@pytest.fixture
def provider(_running: Provider, app: Flask, monkeypatch: pytest.MonkeyPatch) -> Iterator[Provider]:
    """The sign-in provider as it should be, and the settings that name it."""
    fresh = invented_provider.Provider(issuer=_running.issuer, key=_running.key)
    _running.__dict__.update(fresh.__dict__)
    monkeypatch.setenv("TRAINER_SIGN_IN_SECRET", "only in the environment")
    before = app.extensions["trainer"]
    settings = replace(
        before.settings,
        sign_in_issuer=_running.issuer,
        sign_in_client_id=invented_provider.CLIENT,
        home_page=invented_provider.HOME,
    )
    app.extensions["trainer"] = replace(before, settings=settings)
    yield _running
    app.extensions["trainer"] = before


@pytest.fixture
def visit(app: Flask, crew: str, crews: dict[str, Prepared]) -> Callable[[people.Someone | None], Visitor]:
    """Return a browser of its own, with somebody signed in or nobody."""

    def come(who: people.Someone | None = None) -> Visitor:
        visitor = Visitor(app.test_client())
        if who is None:
            visitor.get("/sign-in")
            return visitor
        with visitor.client.session_transaction() as session:
            session["token"] = crews[crew].tokens[who.id]
            session.permanent = True
        visitor.get("/")
        return visitor

    return come
