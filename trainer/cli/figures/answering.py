"""One answer handed in – marked, kept, counted, logged, proven, committed – beside the same rows by bare sqlite3."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import count, islice
from pathlib import Path
from shutil import copy
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts
from trainer.actions.opening import open_database
from trainer.cli.measuring import large_company
from trainer.cli.measuring.invented_answers import given
from trainer.cli.measuring.large_company import NOW, PASSWORD
from trainer.cli.measuring.timing import slower

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.cli.measuring.timing import Effort, Reading

TITLE = "Hand in an answer"

TIMES = 2.0
_TABLES = ("attempts", "events", "ledger")


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times longer handing in an answer takes than writing its rows, both with one synced commit."""
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), large_company.Company(0))
        before = Path(folder) / "before.sqlite3"
        with open_database(settings) as db:
            actor = accounts.sign_in(db, "technician", PASSWORD, address="192.0.2.1", now=NOW).actor
            with closing(sqlite3.connect(str(db.url.database))) as file:
                file.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            copy(str(db.url.database), before)
            ours = handing_in(db, actor)
            ours()
            with closing(sqlite3.connect(before, isolation_level=None)) as bare:
                floor = writing(bare, str(db.url.database))
                yield slower(f"{TITLE}, times the same rows by sqlite3", floor, ours, effort, TIMES)


def handing_in(db: Database, actor: Actor) -> Callable[[], None]:
    """Return what hands in another answer each time it is called."""
    answers = iter(list(islice(given(db, actor), 800)))
    numbers = count()

    def ours() -> None:
        next(answers).hand_in(db, actor, f"invented {next(numbers)}")

    return ours


def writing(bare: sqlite3.Connection, made_by_ours: str) -> Callable[[], None]:
    """Return what writes the rows of the newest answer of another file once more, under numbers of their own."""
    bare.execute("PRAGMA synchronous=FULL")
    bare.execute("PRAGMA foreign_keys=ON")
    bare.execute("ATTACH ? AS made", (made_by_ours,))
    rows: dict[str, tuple[Any, ...]] = {
        table: bare.execute(f"SELECT * FROM made.{table} ORDER BY 1 DESC LIMIT 1").fetchone()  # noqa: S608  # our own names
        for table in _TABLES
    }
    summary = bare.execute("SELECT * FROM made.skill_summaries").fetchone()
    bare.execute("DETACH made")
    add = {table: f"INSERT INTO {table} VALUES ({', '.join('?' * len(row))})" for table, row in rows.items()}  # noqa: S608
    names = [name for _, name, *_ in bare.execute("PRAGMA table_info(attempts)")]
    ticket, seed = names.index("ticket"), names.index("seed")
    numbers = count()

    def floor() -> None:
        later = next(numbers)
        number = rows["events"][0] + later
        attempt = list(rows["attempts"])
        attempt[0] += later
        attempt[ticket], attempt[seed] = f"invented {number}", later
        bare.execute("BEGIN IMMEDIATE")
        bare.execute(add["attempts"], attempt)
        bare.execute(
            f"INSERT INTO skill_summaries VALUES ({', '.join('?' * len(summary))}) ON CONFLICT DO UPDATE SET "  # noqa: S608
            "attempts = attempts + 1, clean = clean + 1, in_a_row = in_a_row + 1",
            summary,
        )
        bare.execute(add["events"], (number, *rows["events"][1:]))
        bare.execute(add["ledger"], (number, *rows["ledger"][1:]))
        bare.execute("COMMIT")

    return floor
