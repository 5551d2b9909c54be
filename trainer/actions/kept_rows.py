"""Rows about a person that are no evidence: the register, the account, what was assigned, told and planned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.records.log_entry import moment
from trainer.store import assignments, calendar, mails, notices, plans, provider_links, sign_ins

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import date, datetime

    from trainer.store.people import Person
    from trainer.store.session import Unit

_SHOWN_TO_TWO = "kept; told to the person and the keeper of the register alone"


@dataclass(frozen=True)
class Of:
    """Whose rows are read: `names` are those of people by number; `whole` with what only the person and the keeper see."""

    unit: Unit
    person: Person
    names: Mapping[str, str]
    whole: bool

    def name(self, person_id: str | None) -> str:
        """Return who did something."""
        return self.names.get(person_id or "", "command line on the host")


def day_of(value: date | None) -> str:
    """Return a day as text, "" for none."""
    return value.isoformat() if value else ""


def moment_of(value: datetime | None) -> str:
    """Return a moment as text, "" for none."""
    return moment(value) if value else ""


def register(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield what the register says."""
    person = of.person
    address = mails.address_of(of.unit, person.id)
    links = provider_links.of_person(of.unit, person.id)
    yield {
        "number": person.id,
        "sign_in_name": person.sign_in_name,
        "name": person.display_name,
        "roles": list(person.roles),
        "crew": person.crew,
        "grade": person.grade,
        "evaluator": person.evaluator,
        "first_password": person.first_password,
        "added_at": moment_of(person.added_at),
        "retired_at": moment_of(person.retired_at),
        "mail_address": (address.address if of.whole else _SHOWN_TO_TWO) if address else "",
        "reminders_paused": bool(address and address.paused),
        "at_providers": [
            f"{subject} of {issuer}" if of.whole else _SHOWN_TO_TWO for issuer, subject in links
        ],
    }


def signed_in(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each session, and each refusal that is still counted."""
    for one in sign_ins.of_person(of.unit, of.person.id):
        yield {
            "at": moment_of(one.created_at),
            "address": one.address,
            "used_at": moment_of(one.used_at),
            "ended_at": moment_of(one.ended_at or one.ends_at),
            "refused": False,
        }
    for at, address in sign_ins.failed_as(of.unit, of.person.sign_in_name):
        yield {"at": moment_of(at), "address": address, "used_at": "", "ended_at": "", "refused": True}


def calendars(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each secret address of a calendar, without the address."""
    for made, ended in calendar.ever_of(of.unit, of.person.id):
        yield {"made_at": moment_of(made), "ended_at": moment_of(ended)}


def told(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield what was told by mail."""
    for one in mails.told_to(of.unit, of.person.id):
        yield {"at": moment_of(one.at), "item": one.item, "state": one.state}


def assigned(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each assignment ever made."""
    for one in assignments.ever_of(of.unit, of.person.id):
        yield {
            "module": one.module_id,
            "due": day_of(one.due),
            "assigned_at": moment_of(one.assigned_at),
            "assigned_by": of.name(one.assigned_by),
            "withdrawn_at": moment_of(one.withdrawn_at),
            "withdrawn_by": of.name(one.withdrawn_by) if one.withdrawn_at else "",
        }


def read(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield which changes were read."""
    for revision, at in notices.reads_by(of.unit, of.person.id):
        yield {"revision": revision, "at": moment_of(at)}


def planned(of: Of) -> Iterator[Mapping[str, Any]]:
    """Yield each line of a plan that names the person."""
    for plan in plans.naming(of.unit, of.person.id):
        for line in plan.sheet["lines"]:
            mine, sees_to_it = line["person"] == of.person.id, line["responsible"] == of.person.id
            if mine or sees_to_it:
                yield {
                    "plan": plan.number,
                    "version": plan.version,
                    "crew": plan.crew,
                    "kept_by": plan.keeper_name,
                    "at": moment_of(plan.at),
                    "task": line["task"],
                    "means": line["means"],
                    "weeks": line["weeks"],
                    "due": line["due"],
                    "for": "this person" if mine else "somebody else",
                    "responsible": of.name(line["responsible"]),
                }
