"""What was decided about the end of keeping. The rows that went with a confirmation are not made: their entries are empty."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.rebuild import qualifications
from trainer.actions.rebuild.entry import day
from trainer.records.keeping import Word
from trainer.store import keeping

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def propose(unit: Unit, entry: Entry) -> None:
    """Keep a proposal."""
    _say(unit, entry, Word.PROPOSED)


def confirm(unit: Unit, entry: Entry) -> None:
    """Keep a confirmation; the numbers of the records that went with it were taken and stay taken."""
    for number in entry.told["records"]:
        qualifications.reach(unit, number)
    _say(unit, entry, Word.CONFIRMED)


def hold(unit: Unit, entry: Entry) -> None:
    """Keep a hold."""
    _say(unit, entry, Word.HELD)


def lift(unit: Unit, entry: Entry) -> None:
    """Keep that a hold ended."""
    _say(unit, entry, Word.LIFTED)


def _say(unit: Unit, entry: Entry, act: Word) -> None:
    told = entry.told
    earlier = keeping.of_pair(unit, told["person"], told["task"])
    on = day(told["on"])
    if on is None:
        raise entry.unfit("it has no day")
    keeping.add(
        unit,
        person_id=told["person"],
        task_id=told["task"],
        act=act,
        on=on,
        earliest=day(told["earliest"]),
        reason=told["reason"],
        about=next((event for event in earlier if event.id == told["about"]), None),
        by=entry.by,
        by_name=told["by_name"],
        at=entry.at,
        event_id=told["event"],
    )
