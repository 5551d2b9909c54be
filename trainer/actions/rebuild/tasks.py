"""The covered tasks: what the file said, what the keeper set on the page, and when the agency was told."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from trainer.records.qualification import CoveredTask
from trainer.store import task_changes, tasks

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def register(unit: Unit, entry: Entry) -> None:
    """Put tasks into the register as the file told them; entries of an earlier program tell of no changes."""
    told = entry.told
    after = [CoveredTask.read(one) for one in told["tasks"]]
    for task in after:
        tasks.put(unit, task)
    for task, before, number in zip(after, told.get("before", ()), told.get("numbers", ()), strict=False):
        task_changes.add(
            unit,
            before=CoveredTask.read(before) if before else None,
            after=task,
            on_page=False,
            because=told["because"],
            significant=False,
            by=entry.by,
            at=entry.at,
            number=number,
        )


def change(unit: Unit, entry: Entry) -> None:
    """Set a task as the keeper did."""
    told = entry.told
    after = CoveredTask.read(told["after"])
    tasks.put(unit, after)
    task_changes.add(
        unit,
        before=CoveredTask.read(told["before"]),
        after=after,
        on_page=True,
        because=told["because"],
        significant=told["significant"],
        by=entry.by,
        at=entry.at,
        number=told["number"],
    )
    if told["told_on"]:
        tell_agency(unit, entry)


def tell_agency(unit: Unit, entry: Entry) -> None:
    """Keep the day on which the agency was told of a change."""
    told_on = date.fromisoformat(entry.told["told_on"])
    task_changes.tell(unit, entry.told["number"], told_on=told_on, by=entry.by, at=entry.at)
