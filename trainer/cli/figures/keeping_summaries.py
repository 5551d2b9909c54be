"""Counting an answer into its summary as it is kept, and making all summaries anew from the attempts."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import count, islice
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from trainer.actions import accounts, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.cli.measuring import large_company
from trainer.cli.measuring.invented_answers import given
from trainer.cli.measuring.large_company import NOW, PASSWORD, Company
from trainer.cli.measuring.timing import QUICK, slower

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.actions.opening import Database
    from trainer.cli.measuring.timing import Effort, Reading

TITLE = "Keep the summaries of practice"

TIMES = 1.5
PEOPLE, EACH = 20_000, 50
FEW_PEOPLE = 500
_KEPT = "SELECT * FROM skill_summaries ORDER BY person_id, revision, skill"
_GROUPED = (
    "SELECT person_id, revision, skill, count(*), sum(is_right), max(id) FROM attempts WHERE counts "
    "GROUP BY person_id, revision, skill"
)


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield what the summary adds to an answer, and how long a rebuild takes beside grouping the same rows."""
    people = FEW_PEOPLE if effort.rounds <= QUICK.rounds else PEOPLE
    with TemporaryDirectory() as folder:
        settings = large_company.make(Path(folder), Company(people, EACH))
        with open_database(settings) as db:
            yield _with_the_answer(db, effort)
            yield _anew(db, people * EACH, effort)


def _with_the_answer(db: Database, effort: Effort) -> Reading:
    actor = accounts.sign_in(db, "technician", PASSWORD, address="192.0.2.1", now=NOW).actor
    first, *others = islice(given(db, actor), 800)
    numbers, new = count(), iter(others)
    first.hand_in(db, actor, "invented")

    def attempt_only() -> None:
        # The same question again is kept like any answer, and counts for nothing.
        first.hand_in(db, actor, f"again {next(numbers)}")

    def counted() -> None:
        next(new).hand_in(db, actor, f"invented {next(numbers)}")

    return slower(
        f"{TITLE}: an answer that counts, times one that does not", attempt_only, counted, effort, TIMES
    )


def _anew(db: Database, attempts: int, effort: Effort) -> Reading:
    with closing(sqlite3.connect(str(db.url.database))) as bare:
        # What anybody would group by; the covering index that the floor was first measured with.
        bare.execute("CREATE INDEX covering ON attempts (person_id, revision, skill, is_right) WHERE counts")

        def floor() -> int:
            return len(bare.execute(_GROUPED).fetchall())

        def ours() -> int:
            return upkeep.rebuild_summaries(db, SYSTEM, now=NOW)

        before = bare.execute(_KEPT).fetchall()
        if floor() != ours() or bare.execute(_KEPT).fetchall() != before:
            raise AssertionError("what is made anew must be what was kept")
        name = f"{TITLE}: all anew from {attempts:,} attempts, times grouping them"
        return slower(name, floor, ours, effort, TIMES)
