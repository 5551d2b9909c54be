"""Lists out of the database: what an action takes beside the same SQL by bare sqlite3, and all that lapses as a page."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import accounts, crew, mentor, people
from trainer.actions.opening import open_database
from trainer.cli.measuring import large_company
from trainer.cli.measuring.bare_site import site
from trainer.cli.measuring.large_company import NOW, PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, slower
from trainer.cli.measuring.visiting import Visit
from trainer.web import create_app

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from trainer.actions.opening import Database
    from trainer.cli.measuring.timing import Effort, Reading

TITLE = "Lists"

QUERY, PAGE = 1.4, 3.0
PEOPLE, FEW_PEOPLE, EACH = 20_000, 600, 20
_NAME = large_company.crew_name(1)


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield each list times its own SQL, and the page of what lapses times a plain page of 30 kB."""
    number = FEW_PEOPLE if effort.rounds <= QUICK.rounds else PEOPLE
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), Company(number, EACH))
        with open_database(settings) as db:
            for what, ask in lists(db):
                with closing(sqlite3.connect(str(db.url.database))) as bare:
                    floor = partial(_again, bare, statements_of(db, ask))
                    yield slower(
                        f"{TITLE}: {what}, {number:,} people, times its SQL", floor, ask, effort, QUERY
                    )
        visit = Visit(create_app(settings, clock=lambda: NOW).wsgi_app)
        visit.sign_in("supervisor", PASSWORD)
        plain = partial(Visit(site().wsgi_app).get, "/page")
        name = f"{TITLE}: the page of all that lapses, {number:,} people, times a plain page of 30 kB"
        yield slower(name, plain, partial(visit.get, "/crew"), effort, PAGE)


def lists(db: Database) -> tuple[tuple[str, Callable[[], object]], ...]:
    """Return the lists that are measured, each with its name."""
    keeper, supervisor, looking_after = (
        accounts.sign_in(db, name, PASSWORD, address="192.0.2.1", now=NOW).actor
        for name in ("keeper", "supervisor", "mentor")
    )
    return (
        ("the register", lambda: people.list_people(db, keeper)),
        ("the sheet of a crew", lambda: crew.crew_sheet(db, supervisor, _NAME, now=NOW)),
        ("what lapses in a crew", lambda: crew.lapses(db, supervisor, crew=_NAME, days=90, now=NOW)),
        ("the people of a crew", lambda: mentor.people_of(db, looking_after, now=NOW)),
    )


def statements_of(db: Database, ask: Callable[[], object]) -> list[str]:
    """Return the statements that an action sends, with their values in place."""
    ask()
    sent: list[str] = []
    # The connection that waits in the pool is the one that the action will take.
    waiting = db.engine.raw_connection()
    connection = waiting.driver_connection
    waiting.close()
    if not isinstance(connection, sqlite3.Connection):
        raise TypeError("the lists are measured on SQLite")
    connection.set_trace_callback(sent.append)
    ask()
    connection.set_trace_callback(None)
    return [statement for statement in sent if statement.lstrip().upper().startswith(("SELECT", "WITH"))]


def _again(bare: sqlite3.Connection, statements: list[str]) -> int:
    return sum(len(bare.execute(statement).fetchall()) for statement in statements)
