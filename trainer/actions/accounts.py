"""Signing in and out, and the password again before a signature."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import journal, passwords, signing_again, throttle
from trainer.actions.actor import Actor
from trainer.actions.names import LONGEST as LONGEST_NAME
from trainer.actions.names import tidy_sign_in_name
from trainer.actions.permissions import Permission, Role
from trainer.actions.throttle import SignInTooOften as SignInTooOften
from trainer.actions.views import SignedIn
from trainer.errors import TrainerError
from trainer.store import people, provider_links, sign_ins

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.store.people import Person
    from trainer.store.session import Database, Unit
    from trainer.store.sign_ins import Session

# A session nobody used for this long is over; the hours of the settings end it in any case. Both are choices.
IDLE = timedelta(hours=4)
# How stale the note of the last use may be: a write for every page read would serve nobody.
_TOUCH_AFTER = timedelta(minutes=5)
LONGEST_ADDRESS = 64


class SignInRefused(TrainerError):
    """Name or password is wrong; which of them, and whether the name exists, is not told."""

    def __init__(self) -> None:
        super().__init__("Name or password is not right.")


class PasswordWrong(SignInRefused):
    """The password given again is wrong."""

    def __init__(self) -> None:
        TrainerError.__init__(self, "The password is not right. Nothing was signed or changed.")


class GivenPassword(SignInRefused):
    """The password is one that somebody else gave: they know it too."""

    def __init__(self) -> None:
        TrainerError.__init__(
            self,
            "Somebody else gave you this password, so it signs nothing. Leave it empty and sign at your provider, or choose "
            "one of your own under My account.",
        )


class SessionOver(TrainerError):
    """The session has ended meanwhile."""

    def __init__(self) -> None:
        super().__init__("Your session is over. Sign in again.")


def sign_in(db: Database, sign_in_name: str, password: str, *, address: str, now: datetime) -> SignedIn:
    """Return a fresh session.

    Args:
        db: the database.
        sign_in_name: as typed.
        password: as typed.
        address: where the request comes from, for the throttle and the log.
        now: the time.

    Raises:
        SignInRefused: unknown name, wrong password or retired person, in the same words.
        SignInTooOften: too many attempts failed.
    """
    name, address = _countable(sign_in_name), address[:LONGEST_ADDRESS]
    with db.writing() as unit:
        person = people.by_sign_in_name(unit, name)
        stored = people.password_hash(unit, person.id) if person and person.retired_at is None else None
        attempt = throttle.reserve(unit, name, address, person_id=person.id if person else None, now=now)
    right = passwords.matches(stored, password)
    if person is None or not right:
        _note_refusal(db, person, address, now)
        raise SignInRefused
    with db.writing() as unit:
        throttle.take_back(unit, attempt)
        return opened(db, unit, person, address, now)


def opened(db: Database, unit: Unit, person: Person, address: str, now: datetime, **told: str) -> SignedIn:
    """Return a fresh session of a person who has shown who they are; `told` goes into the log with it."""
    token = secrets.token_urlsafe(32)
    session = sign_ins.open_session(
        unit,
        person.id,
        token_hash=_hash(token),
        address=address,
        at=now,
        ends_at=now + timedelta(hours=db.session_hours),
        provider=told.get("provider", ""),
    )
    actor = actor_of(person, session, provider=told.get("provider", ""))
    journal.note(unit, actor, "account:sign_in", at=now, address=address, session=session, **told)
    return SignedIn(token, actor)


def actor_for(db: Database, token: str, *, now: datetime, issuer: str = "") -> Actor | None:
    """Return who holds a session's token, or None when it is unknown, over, or its person has left.

    `issuer` is the provider of the settings: whoever is linked to it may show there again who they are.
    """
    with db.reading() as unit:
        session = sign_ins.by_token_hash(unit, _hash(token))
        if session is None or not _lives(session, now):
            return None
        person = people.by_id(unit, session.person_id)
        links = provider_links.of_person(unit, session.person_id) if issuer else ()
    if person is None or person.retired_at is not None:
        return None
    if now - session.used_at > _TOUCH_AFTER:
        with db.writing() as unit:
            sign_ins.touch(unit, session.id, now)
    linked = any(kept == issuer for kept, _ in links)
    actor = actor_of(person, session.id, provider=session.provider)
    return replace(actor, signs_at=issuer if linked else "")


def sign_out(db: Database, token: str, *, now: datetime) -> None:
    """End the session of a token; an unknown or ended one is passed over."""
    with db.writing() as unit:
        session = sign_ins.by_token_hash(unit, _hash(token))
        if session is None or session.ended_at is not None:
            return
        sign_ins.end(unit, session.id, now)
        person = people.by_id(unit, session.person_id)
        if person is not None:
            journal.note(unit, actor_of(person, session.id), "account:sign_out", at=now, session=session.id)


def confirm_password(db: Database, actor: Actor, password: str, *, now: datetime) -> str:
    """Check the password again and return the session's new token; the old one is void.

    Raises:
        PasswordWrong: it is not this actor's.
        SessionOver: the session has ended.
        SignInTooOften: too many attempts failed.
    """
    actor.must(Permission.ACCOUNT_OWN)
    check_password(db, actor, password, now=now)
    with db.writing() as unit:
        token = rotate(unit, actor, now=now)
        journal.note(unit, actor, "account:confirm_password", at=now, session=actor.session)
    return token


def change_password(db: Database, actor: Actor, old: str, new: str, *, now: datetime) -> str:
    """Replace the actor's own password, end their other sessions, and return the session's new token.

    Raises:
        PasswordUnfit: the new one cannot be used.
        PasswordWrong: the old one is not right.
        SessionOver: the session has ended.
        SignInTooOften: too many attempts failed.
    """
    actor.must(Permission.ACCOUNT_OWN)
    passwords.must_be_fit(new, actor.name)
    check_password(db, actor, old, now=now)
    if new == old:
        raise passwords.PasswordUnfit("it is the one you have")
    hashed = passwords.hashed(new)
    with db.writing() as unit:
        token = rotate(unit, actor, now=now)
        people.set_password_hash(unit, actor.person_id, hashed)
        sign_ins.end_all_of(unit, actor.person_id, now, but=actor.session)
        journal.note(unit, actor, "account:change_password", at=now)
    return token


def check_password(db: Database, actor: Actor, password: str, *, now: datetime) -> None:
    """Let pass an actor who knows their password; counted and slowed down like signing in.

    Raises:
        PasswordWrong: it is not right.
        SessionOver: the session has ended.
        SignInTooOften: too many attempts failed.
    """
    with db.writing() as unit:
        session = _live_session(unit, actor, now)
        stored = people.password_hash(unit, actor.person_id)
        attempt = throttle.reserve(unit, actor.name, session.address, person_id=actor.person_id, now=now)
    if not passwords.matches(stored, password):
        with db.writing() as unit:
            journal.note(unit, actor, "account:password_refused", at=now, session=session.id)
        raise PasswordWrong
    with db.writing() as unit:
        throttle.take_back(unit, attempt)


def signing(db: Database, actor: Actor, password: str, *, now: datetime) -> Actor:
    """Return the actor as somebody who has shown again who they are, by their password or at their provider.

    Every signature passes here, after all else about it is in order.

    Raises:
        ShowAgain: no password is given, and the actor can show at their provider who they are.
        SigningRefused: what they showed there is not for this form, used, or too old.
        GivenPassword: the password is one that somebody else gave them.
        PasswordWrong, SessionOver, SignInTooOften: as for `check_password`.
    """
    if not password and actor.signs_at and actor.sent is not None:
        signing_again.use(db, actor, actor.sent, now=now)
        return replace(actor, means="provider")
    if actor.given_password:
        raise GivenPassword
    check_password(db, actor, password, now=now)
    return replace(actor, means="password")


def rotate(unit: Unit, actor: Actor, *, now: datetime) -> str:
    """Return the session's new token, in the transaction of the signature it belongs to.

    Raises:
        SessionOver: the session has ended.
    """
    session = _live_session(unit, actor, now)
    token = secrets.token_urlsafe(32)
    sign_ins.replace_token(unit, session.id, _hash(token), now)
    return token


def _live_session(unit: Unit, actor: Actor, now: datetime) -> Session:
    session = sign_ins.by_id(unit, actor.session) if actor.session is not None else None
    if session is None or session.person_id != actor.person_id or not _lives(session, now):
        raise SessionOver
    return session


def _lives(session: Session, now: datetime) -> bool:
    return session.ended_at is None and now < session.ends_at and now - session.used_at < IDLE


def _note_refusal(db: Database, person: Person | None, address: str, now: datetime) -> None:
    # What was typed as the name is not kept for long: people type passwords there by mistake.
    who = actor_of(person, None) if person else Actor("", "", "", frozenset())
    with db.writing() as unit:
        journal.note(unit, who, "account:sign_in_refused", at=now, address=address)


def actor_of(person: Person, session: int | None, *, provider: str = "") -> Actor:
    """Return a person as somebody who acts; without a session only what needs none is open to them.

    Whoever came by a provider did not use the password that somebody else may have given them.
    """
    return Actor(
        person_id=person.id,
        name=person.sign_in_name,
        display_name=person.display_name,
        roles=frozenset(Role(role) for role in person.roles),
        crew=person.crew,
        session=session,
        first_password=person.first_password and not provider,
        given_password=person.first_password,
    )


def _countable(sign_in_name: str) -> str:
    """Return a typed name as it is looked up and counted; one that nobody can have becomes its hash."""
    name = tidy_sign_in_name(sign_in_name)
    return name if name.isprintable() and len(name) <= LONGEST_NAME else _hash(name)


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
