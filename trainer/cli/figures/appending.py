"""One entry of the log with its proof, one a commit, beside a commit of one row that is synced the same way."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import journal, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.measuring.large_company import NOW
from trainer.cli.measuring.timing import Goal, Reading, in_turn
from trainer.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.cli.measuring.timing import Effort

TITLE = "Append to the log"

SHARE = 0.4
_ANSWER = {
    "answer": [f"{place:08x}" for place in range(12)],
    "module": "invented-valve",
    "right": True,
    "seed": 7,
}


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield the share of the rate of one-row commits that appending to the log reaches."""
    with TemporaryDirectory() as folder:
        settings = Settings(instance=Path(folder))
        upkeep.upgrade(settings)
        bare = sqlite3.connect(Path(folder) / "bare.sqlite3", isolation_level=None)
        with open_database(settings) as db, closing(bare):
            bare.execute("PRAGMA journal_mode=WAL")
            bare.execute("PRAGMA synchronous=FULL")
            bare.execute("CREATE TABLE rows (number INTEGER PRIMARY KEY, text TEXT)")

            def floor() -> None:
                bare.execute("INSERT INTO rows (text) VALUES ('a row')")

            def ours() -> None:
                with db.writing() as unit:
                    journal.note(unit, SYSTEM, "practice:answer", at=NOW, **_ANSWER)

            a, b = in_turn(floor, ours, effort)
            yield Reading(
                f"{TITLE}, as a share of the rate of one-row commits", a, b, a / b, Goal("at least", SHARE)
            )
