"""Rows carried into the log: what entries of an earlier program did not hold is written down once, and goes on from there.

The rows of each table are told in parts, as SQLite keeps their values; the newest such set is where the log is read from
when rows are made anew. Secrets are not among them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.actions import journal
from trainer.actions.actor import SYSTEM
from trainer.records import canonical
from trainer.store import comparison, events, ledger, scratch
from trainer.store.read_models import rebuilt, told_columns

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit

CARRIED = "log:carried"
# An entry holds about so many characters of values: few entries, and none too long to be read at once.
_LARGE = 250_000
# They follow from the attempts, however those came here.
_MADE_AT_THE_END = "skill_summaries"


def write(unit: Unit, *, now: datetime) -> int:
    """Tell all rows as they stand; return how many entries it took. Nothing is told of a log without an entry."""
    size = ledger.size(unit)
    if not size:
        return 0
    done = 0
    for table in rebuilt():
        if table.name == _MADE_AT_THE_END:
            continue
        for part in _parts(comparison.rows(unit, table)):
            journal.note(
                unit,
                SYSTEM,
                CARRIED,
                at=now,
                begins=size + 1,
                table=table.name,
                columns=list(told_columns(table)),
                rows=part,
            )
            done += 1
    return done


def _parts(rows: Iterator[tuple[Any, ...]]) -> Iterator[list[list[Any]]]:
    part: list[list[Any]] = []
    size = 0
    for row in rows:
        part.append(list(row))
        size += sum(len(str(value)) for value in row)
        if size > _LARGE:
            yield part
            part, size = [], 0
    if part:
        yield part


def is_short(unit: Unit) -> bool:
    """Return whether the log begins with entries that rows cannot be made of, and no rows were carried into it since.

    An earlier program did not tell of a new person whether somebody else chose their password; nobody did anything before
    the first person was there.
    """
    if events.newest(unit, CARRIED) is not None:
        return False
    first = events.oldest(unit, "people:add")
    return first is not None and "first_password" not in canonical.read(first.payload)


def begins_at(unit: Unit) -> int:
    """Return the number of the entry from which rows can be made."""
    newest = events.newest(unit, CARRIED)
    return 1 if newest is None else int(canonical.read(newest.payload)["begins"])


def take(unit: Unit, entry: Entry) -> None:
    """Put carried rows where they were."""
    told = entry.told
    scratch.put(unit, told["table"], told["columns"], told["rows"])
