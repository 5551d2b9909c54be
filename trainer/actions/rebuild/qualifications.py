"""Qualifications: signed, suspended, lifted, ended; and those that were brought on paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

from trainer.actions.rebuild import changes
from trainer.records import earlier as papers
from trainer.records.suspension import Cause
from trainer.store import assignments, earlier, life_events, qualifications, sequences
from trainer.store.earlier import Check
from trainer.store.life_events import Happened
from trainer.store.qualifications import Qualification

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.rebuild.entry import Entry
    from trainer.records.suspension import Suspension
    from trainer.store.session import Unit


def sign(unit: Unit, entry: Entry) -> None:
    """Keep a signed qualification; what it takes the place of ends."""
    told, record = entry.told, entry.told["record"]
    reach(unit, record["number"])
    signer = record["supervisor"]
    signed = Qualification(
        number=record["number"],
        person_id=record["person_id"],
        task_id=record["task"],
        evaluation_id=told["evaluation"],
        evaluated_on=date.fromisoformat(record["evaluated_on"]),
        valid_from=date.fromisoformat(record["valid_from"]),
        valid_until=date.fromisoformat(record["valid_until"]),
        signed_by=signer["person"],
        signer_name=signer["name"],
        signed_at=entry.at,
        meaning=signer["meaning"],
        supersedes=told["supersedes"],
        record=record,
    )
    _end(unit, told, signed.valid_from)
    qualifications.add(unit, signed)
    for about, number in zip(told["ends_suspensions"], told["suspension_ends"], strict=True):
        life_events.add(
            unit,
            person_id=signed.person_id,
            task_id=signed.task_id,
            act=Happened.RE_EVALUATED,
            on=signed.valid_from,
            reason=told["suspension_ends_because"],
            number=signed.number,
            by=signed.signed_by,
            by_name=signed.signer_name,
            at=entry.at,
            about=_suspension(unit, signed.person_id, about),
            event_id=number,
        )
    changes.signed_anew(unit, entry)


def suspend(unit: Unit, entry: Entry) -> None:
    """Keep a suspension."""
    _happen(unit, entry, Happened.SUSPENDED)


def lift(unit: Unit, entry: Entry) -> None:
    """Keep that a suspension was lifted."""
    _happen(unit, entry, Happened.LIFTED)


def withdraw(unit: Unit, entry: Entry) -> None:
    """Keep that a qualification was ended for good."""
    _end(unit, entry.told, date.fromisoformat(entry.told["on"]))
    _happen(unit, entry, Happened.WITHDRAWN)


def stop(unit: Unit, entry: Entry) -> None:
    """Keep that somebody does a task no more; what was assigned for it is taken back."""
    told = entry.told
    _end(unit, told, date.fromisoformat(told["on"]))
    for module_id in told["unassigned"]:
        assignments.withdraw(unit, told["person"], module_id, at=entry.at, by=entry.by)
    _happen(unit, entry, Happened.STOPPED)


def _end(unit: Unit, told: Mapping[str, Any], on: date) -> None:
    for number in told["ended"]:
        qualifications.end(unit, number, on=on, because=told["ended_because"])
    for number in told["papers_ended"]:
        earlier.end(unit, number, on=on, because=told["ended_because"])


def _happen(unit: Unit, entry: Entry, act: Happened) -> None:
    told = entry.told
    life_events.add(
        unit,
        person_id=told["person"],
        task_id=told["task"],
        act=act,
        on=date.fromisoformat(told["on"]),
        reason=told["reason"],
        number=told["qualification"],
        by=entry.by,
        by_name=told["by_name"],
        at=entry.at,
        cause=Cause(told["cause"]) if told["cause"] else None,
        about=_suspension(unit, told["person"], told["about"]),
        # Before papers lived as our own do, nothing happened to them.
        on_paper=told.get("on_paper", False),
        event_id=told["event"],
    )


def _suspension(unit: Unit, person_id: str, number: int) -> Suspension | None:
    told = life_events.suspensions(life_events.of_person(unit, person_id)) if number else {}
    return next((item for items in told.values() for item in items if item.id == number), None)


def transcribe(unit: Unit, entry: Entry) -> None:
    """Keep a record that was brought on paper."""
    told = entry.told["record"]
    reach(unit, told["number"])
    record = papers.restored(told)
    # The record tells the second; the row has the moment.
    earlier.add(unit, replace(record, transcribed=replace(record.transcribed, at=entry.at)), told=told)


def check(unit: Unit, entry: Entry) -> None:
    """Keep the word on a record that was brought on paper."""
    told = entry.told
    word = Check(told["because"], entry.by, told["checker_name"], entry.at, told["meaning"])
    earlier.add_check(unit, told["number"], word)
    if told["ended_on"]:
        on = date.fromisoformat(told["ended_on"])
        earlier.end(unit, told["number"], on=on, because=told["ended_because"])


def withdraw_paper(unit: Unit, entry: Entry) -> None:
    """End a record that was brought on paper."""
    told = entry.told
    earlier.end(unit, told["number"], on=entry.at.date(), because=told["ended_because"])
    if "event" not in told:
        return
    life_events.add(
        unit,
        person_id=told["person"],
        task_id=told["task"],
        act=Happened.WITHDRAWN,
        on=date.fromisoformat(told["on"]),
        reason=told["because"],
        number=told["number"],
        by=entry.by,
        by_name=told["by_name"],
        at=entry.at,
        on_paper=True,
        event_id=told["event"],
    )


def reach(unit: Unit, number: str) -> None:
    """Let the sequence of a record's number stand where it stood when it gave that number."""
    name, _, last = number.rpartition("-")
    sequences.reach(unit, name, int(last))
