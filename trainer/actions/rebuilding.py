"""Making the rows anew from the log alone, holding the kept ones against them, and putting right what differs.

The log is read from its first entry, or from where the rows were carried into it, into a database of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import journal, ledger
from trainer.actions.permissions import Permission
from trainer.actions.rebuild import PROJECTIONS, carried
from trainer.actions.rebuild.entry import Entry, EntryUnfit
from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.store import comparison, events, mending, scratch, summaries
from trainer.store.comparison import Difference, How
from trainer.store.read_models import rebuilt

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.events import Event
    from trainer.store.session import Database, Unit

__all__ = [
    "Difference",
    "How",
    "LogTooShort",
    "LogUnreadable",
    "LogUnsound",
    "TableHeld",
    "compare",
    "make",
    "replace",
]

REPLACED = "log:rebuild"


class LogTooShort(TrainerError):
    """The entries are of an earlier program, and no rows were carried into the log since."""

    def __init__(self) -> None:
        super().__init__(
            "The log is of an earlier program, which told too little to make rows of; run `trainer upgrade`, which carries "
            "them into it."
        )


class LogUnsound(TrainerError):
    """The log does not check, so that nothing is written that follows from it."""

    def __init__(self, first: str) -> None:
        super().__init__(
            f"The log does not check: {first} Nothing is written; `trainer ledger check` tells all that is wrong."
        )


class LogUnreadable(TrainerError):
    """An entry is no entry any more."""

    def __init__(self, why: str) -> None:
        super().__init__(f"The log cannot be read ({why}); `trainer ledger check` names the entry.")


@dataclass(frozen=True)
class TableHeld:
    """A table held against the log: how many rows follow from it, and the kept ones that differ."""

    table: str
    rows: int
    differences: tuple[Difference, ...]


def make(unit: Unit, made: Unit, seen: Callable[[int], None] | None = None) -> None:
    """Make all rows from the log.

    Args:
        unit: reads the log.
        made: an empty database, as `scratch.scratch` gives it.
        seen: is told how many entries are done, now and then.

    Raises:
        EntryUnfit: an entry gives no rows.
        LogTooShort: the log has to be carried on first.
        LogUnreadable: an entry has no time any more.
    """
    if carried.is_short(unit):
        raise LogTooShort
    try:
        for event in events.since(unit, carried.begins_at(unit) - 1):
            project = PROJECTIONS.get(event.action)
            # The rows of what was destroyed are gone too.
            if project is not None and not event.is_destroyed:
                _project(made, event, project)
            if seen is not None and event.number % 1000 == 0:
                seen(event.number)
    except ValueError as problem:
        raise LogUnreadable(str(problem)) from problem
    summaries.rebuild(made)


def _project(made: Unit, event: Event, project: Callable[[Unit, Entry], None]) -> None:
    try:
        told = canonical.read(event.payload)
    except canonical.NotCanonical as problem:
        raise EntryUnfit(event.number, event.action, str(problem).rstrip(".")) from problem
    entry = Entry(event.number, event.at, event.person_id, event.action, told)
    try:
        with scratch.refused(entry.unfit):
            project(made, entry)
    except KeyError as problem:
        raise entry.unfit(f"{problem} is missing") from problem
    except (TypeError, ValueError) as problem:
        raise entry.unfit(str(problem)) from problem


def compare(
    db: Database, actor: Actor, *, seen: Callable[[int], None] | None = None
) -> tuple[TableHeld, ...]:
    """Make all rows anew from the log in a temporary database and hold the kept ones against them.

    Args:
        db: the database.
        actor: who asks.
        seen: is told how many entries are done, now and then.

    Raises:
        EntryUnfit: an entry gives no rows.
    """
    actor.must(Permission.LEDGER_READ)
    with db.reading() as unit, scratch.scratch() as made:
        make(unit, made, seen)
        return tuple(_held(unit, made))


def replace(
    db: Database, actor: Actor, *, chance: str, now: datetime, seen: Callable[[int], None] | None = None
) -> tuple[TableHeld, ...]:
    """Put right every row that does not follow from the log, in one transaction, and write that to the log.

    Args:
        db: the database; nobody else should write to it meanwhile.
        actor: who does it.
        chance: taken for sittings whose row was lost, because the log does not tell theirs.
        now: the time.
        seen: is told how many entries are done, now and then.

    Returns:
        What differed before.

    Raises:
        LogUnsound: an entry was changed, or the log is not the one that was signed.
        EntryUnfit: an entry gives no rows.
        RowsStillNeeded: something that is not in the log refers to a row that is not there by the log.
    """
    actor.must(Permission.LEDGER_SIGN)
    found = ledger.check(db, actor)
    if found.troubles:
        raise LogUnsound(found.troubles[0].text)
    with db.writing() as unit, scratch.scratch() as made:
        events.hold(unit)
        make(unit, made, seen)
        held = tuple(_held(unit, made))
        wrong = tuple(one for one in held if one.differences)
        if wrong:
            mending.mend(unit, made, [item for one in wrong for item in one.differences], chance=chance)
            journal.note(unit, actor, REPLACED, at=now, tables=[_told(one) for one in wrong])
    return held


def _told(held: TableHeld) -> dict[str, str | int]:
    counts = {how.value: sum(item.how is how for item in held.differences) for how in How}
    return {"table": held.table, **counts}


def _held(unit: Unit, made: Unit) -> Iterator[TableHeld]:
    for table in rebuilt():
        found = tuple(comparison.differences(unit, made, table))
        yield TableHeld(table.name, comparison.count(made, table), found)
