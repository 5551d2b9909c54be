"""What the log says of one person: whole where it speaks of nobody else, else that it was done and nothing more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.exports.person_packet import KeptTable
from trainer.records import canonical
from trainer.records.entry_subject import Subject, Subjects
from trainer.records.log_entry import moment
from trainer.store import earlier, events, modules, observations, sittings

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.store.events import Event
    from trainer.store.session import Unit

_COLUMNS = (
    ("number", "Entry"),
    ("at", "At"),
    ("action", "What"),
    ("by", "By"),
    ("whole", "Told whole"),
    ("destroyed", "Content destroyed after its time"),
)
_NOTE = (
    "Entries that speak of this person alone are told whole, in the data and with their proof; of what this person did for "
    "others, or others did for several, only the heading. Entries of a sitting or an observation that is not over are left out."
)


@dataclass(frozen=True)
class KeptLog:
    """The entries as a table, and the numbers of those that are told whole."""

    table: KeptTable
    proven: tuple[int, ...]


def of_person(unit: Unit, person_id: str, names: Mapping[str, str]) -> KeptLog:
    """Return what the log says of a person.

    Args:
        unit: the transaction.
        person_id: who.
        names: names of people by their numbers.
    """
    rows = tuple(_rows(unit, person_id, names))
    proven = tuple(row["number"] for row in rows if row["whole"])
    return KeptLog(KeptTable("log", "Entries of the log", _COLUMNS, rows, _NOTE), proven)


def of_task(unit: Unit, person_id: str, task_id: str) -> tuple[int, ...]:
    """Return the numbers of the entries that hold what is kept of a person at a covered task, in their order.

    That the task's modules were put on the person's sheet belongs to it; what was decided about keeping it does not.
    """
    subjects, papers = Subjects(modules.tasks(unit)), _papers(unit, person_id)
    wanted, named = Subject(person_id, task_id), modules.of_task(unit, task_id)
    found = []
    for event in events.naming(unit, person_id, papers):
        if event.is_destroyed or event.action.startswith(_STAYS):
            continue
        told = canonical.read(event.payload)
        subject = subjects.of(event.action, event.person_id, told)
        on_sheet = event.action.startswith(_ON_SHEET) and told.get("module") in named
        if subject == wanted or (on_sheet and subject == Subject(person_id)):
            found.append(event.number)
    return tuple(found)


# A decision about keeping outlives what it was about.
_STAYS = "keeping:"
_ON_SHEET = "module:"


def _papers(unit: Unit, person_id: str) -> list[str]:
    return [kept.record.number for kept in earlier.of_person(unit, person_id)]


def _rows(unit: Unit, person_id: str, names: Mapping[str, str]) -> Iterator[dict[str, Any]]:
    subjects = Subjects(modules.tasks(unit))
    under_way = sittings.open_of(unit, person_id)
    over = {seen.id for seen in observations.ended_of(unit, person_id)}
    for event in events.naming(unit, person_id, _papers(unit, person_id)):
        if event.is_destroyed:
            yield {**_head(event, names), "whole": False, "destroyed": True, "payload": {}}
            continue
        told = canonical.read(event.payload)
        subject = subjects.of(event.action, event.person_id, told)
        if under_way and event.action.startswith("sitting:") and told.get("sitting") == under_way.id:
            continue
        whole = subject is not None and subject.person == person_id
        if whole and event.action.startswith("observation:") and told["observation"] not in over:
            continue
        yield {**_head(event, names), "whole": whole, "destroyed": False, "payload": told if whole else {}}


def _head(event: Event, names: Mapping[str, str]) -> dict[str, Any]:
    by = names.get(event.person_id, "command line on the host")
    return {"number": event.number, "at": moment(event.at), "action": event.action, "by": by}
