"""Where a person's reminders go: entered by the keeper, seen by the keeper and its owner alone, paused by its owner.

An address never stands in the log, which nothing can be taken out of; the log says that one was entered or removed.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from trainer.actions import journal
from trainer.actions.actor import NotFound
from trainer.actions.people import found
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.store import mails

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.mails import Address
    from trainer.store.session import Database

MOST = 254
# Enough to catch what was typed wrongly and what could end a header line; whether it exists, the post says.
_ADDRESS = re.compile(r"[!-~]+@[!-~]+\.[!-~]+")
_NEVER = frozenset('<>()[]\\,;:"')


class AddressUnfit(TrainerError):
    """What was typed is no address."""

    def __init__(self, typed: str) -> None:
        super().__init__(f"'{typed[:80]}' is no e-mail address; write it as name@company.example.")


def is_fit(address: str) -> bool:
    """Return whether a text can be an e-mail address."""
    one_at = address.count("@") == 1 and not _NEVER & set(address)
    return len(address) <= MOST and one_at and _ADDRESS.fullmatch(address) is not None


def of_person(db: Database, actor: Actor, person_id: str) -> Address | None:
    """Return somebody's address for the keeper, None without one.

    Raises:
        NotAllowed: the actor keeps no register.
        NotFound: there is nobody with this number.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    with db.reading() as unit:
        found(unit, person_id)
        return mails.address_of(unit, person_id)


def own(db: Database, actor: Actor) -> Address | None:
    """Return the actor's own address, None without one."""
    actor.must(Permission.ACCOUNT_OWN)
    with db.reading() as unit:
        return mails.address_of(unit, actor.person_id)


def put(db: Database, actor: Actor, person_id: str, address: str, *, now: datetime) -> None:
    """Enter somebody's address; an empty one removes it.

    Raises:
        NotAllowed: the actor keeps no register.
        NotFound: there is nobody with this number, or they have left.
        AddressUnfit: it is no address.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    typed = address.strip()
    if typed and not is_fit(typed):
        raise AddressUnfit(typed)
    with db.writing() as unit:
        if found(unit, person_id).retired_at is not None:
            raise NotFound("person", person_id)
        if typed:
            mails.put(unit, person_id, typed, now)
        else:
            mails.remove(unit, person_id)
        journal.note(unit, actor, "address:put" if typed else "address:remove", at=now, person=person_id)


def want(db: Database, actor: Actor, *, reminders: bool, now: datetime) -> None:
    """Switch the actor's own reminders on or off.

    Raises:
        NotFound: no address is entered for the actor.
    """
    actor.must(Permission.ACCOUNT_OWN)
    with db.writing() as unit:
        if not mails.pause(unit, actor.person_id, paused=not reminders):
            raise NotFound("address for reminders", actor.person_id)
        journal.note(unit, actor, "address:want", at=now, person=actor.person_id, reminders=reminders)
