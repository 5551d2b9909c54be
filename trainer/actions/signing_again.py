"""Showing again at a provider who one is, before a signature: bound to the very form that is signed, and good for once.

The person is sent there with `prompt=login` and `max_age=0`; what comes back counts when `auth_time` is not before the
sending and `sub` is linked to the same person (OpenID Connect Core 1.0, 3.1.2.1, 2 and 3.1.3.7). `auth_time` is in whole
seconds of another clock, so half a minute of leeway is given. That it is the answer to this sending is not left to clocks: the
token bears its nonce, the way back its state, and a form that was shown for once is not shown for again.
"""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import journal, provider, throttle
from trainer.actions.provider import TokenRefused
from trainer.errors import TrainerError
from trainer.records import canonical
from trainer.store import provider_links, sign_ins, signings_begun
from trainer.store.signings_begun import SigningBegun

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from trainer.actions.actor import Actor, Sent
    from trainer.actions.provider import Provider
    from trainer.store.session import Database

# From the sending to the way back, and from there to the signature. Choices.
OPEN_FOR = timedelta(minutes=10)
READY_FOR = timedelta(minutes=5)

Fields = tuple[tuple[str, str], ...]


class ShowAgain(Exception):
    """The form is in order; its sender has to show again at their provider who they are."""


class SigningRefused(TokenRefused):
    """Who came back from the provider did not show who they are, or not for this form."""

    def __init__(self, why: str) -> None:
        self.why = why
        TrainerError.__init__(self, f"This is no signature yet: {why}. Nothing was signed.")


@dataclass(frozen=True)
class Waits:
    """A form that waits for its signature: where it goes and what it holds."""

    path: str
    fields: Fields


def digest(path: str, fields: Sequence[tuple[str, str]]) -> str:
    """Return the hash of what a form holds; line ends count as one, however a browser sends them."""
    listed = [[name, value.replace("\r\n", "\n")] for name, value in fields]
    return hashlib.sha256(canonical.written([path, listed]).encode("utf-8", "surrogatepass")).hexdigest()


def begin(db: Database, actor: Actor, path: str, fields: Sequence[tuple[str, str]], *, now: datetime) -> str:
    """Keep a form until its sender has shown again who they are; return the ticket under which it waits."""
    ticket = secrets.token_urlsafe(32)
    with db.writing() as unit:
        signings_begun.forget(unit, before=now - OPEN_FOR - READY_FOR)
        signings_begun.add(
            unit,
            SigningBegun(
                _hash(ticket),
                actor.person_id,
                actor.session or 0,
                path,
                canonical.written([list(pair) for pair in fields]),
                digest(path, fields),
                now,
            ),
        )
    return ticket


def waiting(db: Database, actor: Actor, ticket: str) -> Waits | None:
    """Return the form that waits under a ticket of this actor, or None."""
    with db.reading() as unit:
        begun = signings_begun.by_ticket(unit, _hash(ticket))
    if begun is None or (begun.person_id, begun.session_id) != (actor.person_id, actor.session):
        return None
    return Waits(begun.path, tuple((name, value) for name, value in canonical.read(begun.fields)))


def shown(
    db: Database,
    actor: Actor,
    where: Provider,
    code: str,
    *,
    ticket: str,
    nonce: str,
    verifier: str,
    now: datetime,
) -> None:
    """Let a form be signed whose sender has come back from the provider and is the same person.

    Args:
        db: the database.
        actor: who sent the form.
        where: the provider.
        code: what the person brought back from it.
        ticket: under which the form waits.
        nonce: of the sending; the caller has held the state against what came back.
        verifier: of the sending.
        now: the time.

    Raises:
        SigningRefused: it took too long, somebody else came back, or they did not sign in anew.
        ProviderOutOfReach: the provider does not answer.
        SignInTooOften: too many attempts failed.
    """
    with db.writing() as unit:
        begun = signings_begun.by_ticket(unit, _hash(ticket))
        session = sign_ins.by_id(unit, actor.session or 0)
        if begun is None or session is None or begun.session_id != actor.session or begun.shown_at:
            raise SigningRefused("it does not belong to a form that waits")
        if not timedelta() <= now - begun.at <= OPEN_FOR:
            raise SigningRefused("it took too long; send the form again")
        attempt = throttle.reserve(unit, actor.name, session.address, person_id=actor.person_id, now=now)
    try:
        subject = provider.subject_of(where, code, nonce=nonce, verifier=verifier, now=now, since=begun.at)
    except TokenRefused as refused:
        _note_refusal(db, actor, where.issuer, refused.why, now)
        raise SigningRefused(refused.why) from refused
    except provider.ProviderOutOfReach:
        with db.writing() as unit:
            throttle.take_back(unit, attempt)
        raise
    with db.writing() as unit:
        if provider_links.person_of(unit, where.issuer, subject) == actor.person_id:
            throttle.take_back(unit, attempt)
            signings_begun.show(unit, begun.ticket_hash, now)
            return
    _note_refusal(db, actor, where.issuer, "somebody else", now)
    raise SigningRefused("the provider vouches for somebody else than you")


def use(db: Database, actor: Actor, sent: Sent, *, now: datetime) -> None:
    """Let a signature pass whose sender has shown again who they are, for exactly this form, once.

    Raises:
        ShowAgain: they have not yet.
        SigningRefused: it was for another form, is used, or too old.
    """
    if not sent.ticket:
        raise ShowAgain
    with db.writing() as unit:
        begun = signings_begun.by_ticket(unit, _hash(sent.ticket))
        if begun is None or begun.shown_at is None or begun.session_id != actor.session:
            raise SigningRefused("you have not shown again who you are, or have signed by it already")
        if begun.digest != sent.digest:
            raise SigningRefused("the form was changed after you showed again who you are")
        if not timedelta() <= now - begun.shown_at <= READY_FOR:
            raise SigningRefused("it took too long; send the form again")
        if not signings_begun.take(unit, begun.ticket_hash):
            raise SigningRefused("you have signed by it already")


def _note_refusal(db: Database, actor: Actor, issuer: str, because: str, now: datetime) -> None:
    with db.writing() as unit:
        journal.note(
            unit,
            actor,
            "account:provider_refused",
            at=now,
            provider=issuer,
            because=because,
            session=actor.session,
        )


def _hash(ticket: str) -> str:
    return hashlib.sha256(ticket.encode("utf-8", "surrogatepass")).hexdigest()
