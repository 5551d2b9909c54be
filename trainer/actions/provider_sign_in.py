"""Who a provider's people are here: links that the keeper makes, and signing in by one. Nobody registers themselves."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from trainer.actions import accounts, journal, provider, throttle
from trainer.actions.actor import Actor, NotFound
from trainer.actions.people import found
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.store import people, provider_links, sign_ins

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.provider import Provider
    from trainer.actions.views import SignedIn
    from trainer.store.session import Database

_LONGEST_SUBJECT = 255


class NotLinked(accounts.SignInRefused):
    """The provider vouches for somebody whom the keeper has linked to nobody here."""

    def __init__(self, subject: str) -> None:
        TrainerError.__init__(
            self,
            f"The provider knows you as '{subject}', and nobody here is linked to that. Tell it to your keeper of the register.",
        )


class SubjectUnfit(TrainerError):
    """What the provider is said to call somebody cannot be such a name."""

    def __init__(self) -> None:
        super().__init__(
            f"The name at the provider must have 1 to {_LONGEST_SUBJECT} characters that print, without spaces at its ends."
        )


class LinkedAlready(TrainerError):
    """The name at the provider, or the person, is linked already."""

    def __init__(self, who: str) -> None:
        super().__init__(f"{who} is linked already; unlink first.")


def sign_in(
    db: Database,
    where: Provider,
    code: str,
    *,
    state: str,
    nonce: str,
    verifier: str,
    address: str,
    now: datetime,
) -> SignedIn:
    """Return a fresh session of whom the provider vouches for and the keeper has linked.

    Args:
        db: the database.
        where: the provider.
        code: what the person brought back from it.
        state: of the sign-in that was begun; the caller has held it against what came back.
        nonce: of the sign-in that was begun.
        verifier: of the sign-in that was begun.
        address: where the request comes from, for the throttle and the log.
        now: the time.

    Raises:
        ProviderOutOfReach, TokenRefused: what comes from the provider cannot be used.
        NotLinked: nobody here, or somebody who has left.
        SignInTooOften: too many attempts from this address failed.
    """
    address = address[: accounts.LONGEST_ADDRESS]
    with db.writing() as unit:
        attempt = throttle.reserve(unit, _hash(state), address, person_id=None, now=now)
    try:
        subject = provider.subject_of(where, code, nonce=nonce, verifier=verifier, now=now)
    except provider.TokenRefused as refused:
        with db.writing() as unit:
            nobody = Actor("", "", "", frozenset())
            journal.note(
                unit,
                nobody,
                "account:sign_in_refused",
                at=now,
                address=address,
                provider=where.issuer,
                because=str(refused),
            )
        raise
    except provider.ProviderOutOfReach:
        with db.writing() as unit:
            throttle.take_back(unit, attempt)
        raise
    with db.writing() as unit:
        person_id = provider_links.person_of(unit, where.issuer, subject)
        person = people.by_id(unit, person_id) if person_id else None
        if person is not None and person.retired_at is None:
            throttle.take_back(unit, attempt)
            return accounts.opened(db, unit, person, address, now, provider=where.issuer)
        who = accounts.actor_of(person, None) if person else Actor("", "", "", frozenset())
        journal.note(unit, who, "account:sign_in_refused", at=now, address=address, provider=where.issuer)
    raise NotLinked(subject)


def links_of(db: Database, actor: Actor, person_id: str) -> tuple[tuple[str, str], ...]:
    """Return (issuer, name at the provider) of each link of a person."""
    actor.must(Permission.PEOPLE_MANAGE)
    with db.reading() as unit:
        return provider_links.of_person(unit, person_id)


def link(db: Database, actor: Actor, person_id: str, issuer: str, subject: str, *, now: datetime) -> None:
    """Let a person sign in as whom the provider calls by a name.

    Raises:
        NotFound: there is nobody with this number, or they have left, or no provider is set.
        SubjectUnfit: that cannot be a name at a provider.
        LinkedAlready: name or person is linked.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    # A name at a provider is compared letter by letter, so nothing in it is tidied.
    if not 0 < len(subject) <= _LONGEST_SUBJECT or not subject.isprintable() or subject != subject.strip():
        raise SubjectUnfit
    if not issuer:
        raise NotFound("sign-in provider", "")
    with db.writing() as unit:
        person = found(unit, person_id)
        if person.retired_at is not None:
            raise NotFound("person", person_id)
        if any(kept == issuer for kept, _ in provider_links.of_person(unit, person_id)):
            raise LinkedAlready(person.display_name)
        if not provider_links.add(unit, issuer, subject, person_id, by=actor.person_id or None, at=now):
            raise LinkedAlready(f"'{subject}'")
        journal.note(unit, actor, "people:link", at=now, person=person_id, provider=issuer, subject=subject)


def unlink(db: Database, actor: Actor, person_id: str, issuer: str, *, now: datetime) -> None:
    """End the link of a person to a provider, and their open sessions.

    Raises:
        NotFound: there is no such link.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    with db.writing() as unit:
        if not provider_links.remove(unit, person_id, issuer):
            raise NotFound("link to the provider", issuer)
        sign_ins.end_all_of(unit, person_id, now)
        journal.note(unit, actor, "people:unlink", at=now, person=person_id, provider=issuer)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
