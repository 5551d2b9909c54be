"""Published revisions, who has to practise what, and what was read of a change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions.rebuild import changes
from trainer.actions.rebuild.entry import day
from trainer.store import assignments, modules, notices

if TYPE_CHECKING:
    from trainer.actions.rebuild.entry import Entry
    from trainer.store.session import Unit


def publish(unit: Unit, entry: Entry) -> None:
    """Keep a revision and put it in force."""
    told = entry.told
    modules.add(
        unit,
        revision=told["revision"],
        module_id=told["module"],
        title=told["title"],
        document=told["document"],
        task_id=told["task"],
        file=told["file"],
        source=told["source"],
        canonical=told["canonical"],
        at=entry.at,
        by=entry.by,
    )
    modules.put_in_force(unit, told["module"], told["revision"], entry.at)
    changes.asked(unit, entry)


def assign(unit: Unit, entry: Entry) -> None:
    """Assign a module, or give the assignment another due date."""
    told = entry.told
    assignments.put(
        unit,
        told["person"],
        told["module"],
        due=day(told["due"]),
        at=entry.at,
        by=entry.by,
        number=told["assignment"],
    )


def withdraw(unit: Unit, entry: Entry) -> None:
    """Take an assignment back."""
    assignments.withdraw(unit, entry.told["person"], entry.told["module"], at=entry.at, by=entry.by)


def read(unit: Unit, entry: Entry) -> None:
    """Keep that somebody read what a revision changes."""
    notices.read(unit, entry.told["revision"], entry.by, entry.at)
