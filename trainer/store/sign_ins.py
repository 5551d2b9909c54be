"""Sessions and failed attempts to sign in. Of a session's token only the hash comes here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, delete, func, insert, select, text, true, update

from trainer.store.schema.people import failed_sign_ins, sessions

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit

# Arbitrary numbers that set these locks apart from others among PostgreSQL's advisory locks.
_NAME_LOCK, _ADDRESS_LOCK = 7_104_003, 7_104_004


@dataclass(frozen=True)
class Session:
    """A signed-in session; it is over at `ends_at` or when it was ended."""

    id: int
    person_id: str
    address: str
    created_at: datetime
    used_at: datetime
    ends_at: datetime
    ended_at: datetime | None
    provider: str = ""


@dataclass(frozen=True)
class Failures:
    """How many attempts failed within the window, and when the oldest of them was."""

    count: int
    oldest: datetime | None


# Built once: the first is asked for every page, the others for every sign-in.
_BY_TOKEN = select(sessions).where(sessions.c.token_hash == bindparam("with_hash"))
_OPEN = insert(sessions).returning(sessions.c.id)
_KNOWN = (
    select(sessions.c.id)
    .where(
        sessions.c.person_id == bindparam("of_person"),
        sessions.c.address == bindparam("from_address"),
        sessions.c.created_at >= bindparam("since"),
    )
    .limit(1)
)
_ADD_FAILURE = insert(failed_sign_ins).returning(failed_sign_ins.c.id)
_TAKE_BACK = delete(failed_sign_ins).where(failed_sign_ins.c.id == bindparam("failure"))
_FORGET = delete(failed_sign_ins).where(failed_sign_ins.c.at < bindparam("before"))
_FAILURES = select(func.count().label("failed"), func.min(failed_sign_ins.c.at).label("oldest")).where(
    failed_sign_ins.c.at > bindparam("since")
)
_OF_NAME = failed_sign_ins.c.sign_in_name == bindparam("of_name")
_FROM_ADDRESS = failed_sign_ins.c.address == bindparam("from_address")
# By whether a name and whether an address is asked for.
_FAILED = {
    (False, False): _FAILURES,
    (True, False): _FAILURES.where(_OF_NAME),
    (False, True): _FAILURES.where(_FROM_ADDRESS),
    (True, True): _FAILURES.where(_OF_NAME, _FROM_ADDRESS),
}


def open_session(
    unit: Unit,
    person_id: str,
    *,
    token_hash: str,
    address: str,
    at: datetime,
    ends_at: datetime,
    provider: str = "",
) -> int:
    """Return the number of a new session; `provider` is the issuer that vouched for the person."""
    values = {
        "person_id": person_id,
        "token_hash": token_hash,
        "address": address,
        "created_at": at,
        "used_at": at,
        "ends_at": ends_at,
        "provider": provider or None,
    }
    number: int = unit.execute(_OPEN, values).scalar_one()
    return number


def by_token_hash(unit: Unit, token_hash: str) -> Session | None:
    """Return the session with this token, also when it is over, or None."""
    row = unit.execute(_BY_TOKEN, {"with_hash": token_hash}).one_or_none()
    return None if row is None else _read(row)


def by_id(unit: Unit, session_id: int) -> Session | None:
    """Return a session by number, or None."""
    return _session(unit, sessions.c.id == session_id)


def of_person(unit: Unit, person_id: str) -> tuple[Session, ...]:
    """Return the sessions of a person that are kept, the oldest first."""
    rows = unit.execute(select(sessions).where(sessions.c.person_id == person_id).order_by(sessions.c.id))
    return tuple(_read(row) for row in rows)


def failed_as(unit: Unit, sign_in_name: str) -> tuple[tuple[datetime, str], ...]:
    """Return when and from which address signing in under a name failed, as far as it is kept."""
    c = failed_sign_ins.c
    rows = unit.execute(select(c.at, c.address).where(c.sign_in_name == sign_in_name).order_by(c.id))
    return tuple((row.at, row.address) for row in rows)


def _session(unit: Unit, condition: ColumnElement[bool]) -> Session | None:
    row = unit.execute(select(sessions).where(condition)).one_or_none()
    return None if row is None else _read(row)


def _read(row: Row[Any]) -> Session:
    return Session(
        row.id,
        row.person_id,
        row.address,
        row.created_at,
        row.used_at,
        row.ends_at,
        row.ended_at,
        row.provider or "",
    )


def replace_token(unit: Unit, session_id: int, token_hash: str, at: datetime) -> None:
    """Give a session another token; the old one is void from now on."""
    unit.execute(
        update(sessions).where(sessions.c.id == session_id).values(token_hash=token_hash, used_at=at)
    )


def touch(unit: Unit, session_id: int, at: datetime) -> None:
    """Remember that a session was used."""
    unit.execute(update(sessions).where(sessions.c.id == session_id).values(used_at=at))


def end(unit: Unit, session_id: int, at: datetime) -> None:
    """End one session."""
    _end(unit, sessions.c.id == session_id, at)


def end_all_of(unit: Unit, person_id: str, at: datetime, *, but: int | None = None) -> None:
    """End a person's sessions, but for one if asked."""
    _end(unit, (sessions.c.person_id == person_id) & (sessions.c.id != (but or 0)), at)


def end_every(unit: Unit, at: datetime) -> int:
    """End the sessions of everybody; return how many were open."""
    return _end(unit, true(), at)


def _end(unit: Unit, condition: ColumnElement[bool], at: datetime) -> int:
    ended = unit.execute(update(sessions).where(condition, sessions.c.ended_at.is_(None)).values(ended_at=at))
    return ended.rowcount


def has_signed_in_from(unit: Unit, person_id: str, address: str, *, since: datetime) -> bool:
    """Return whether a person opened a session from an address since a moment."""
    asked = {"of_person": person_id, "from_address": address, "since": since}
    return unit.execute(_KNOWN, asked).first() is not None


def take_turns(unit: Unit, sign_in_name: str, address: str) -> None:
    """Let attempts for one name, and those from one address, be counted one after the other.

    On SQLite a writing unit is alone anyway.
    """
    if unit.dialect.name == "postgresql":
        for space, value in ((_NAME_LOCK, sign_in_name), (_ADDRESS_LOCK, address)):
            unit.execute(
                text("SELECT pg_advisory_xact_lock(:space, hashtext(:value))"),
                {"space": space, "value": value},
            )


def add_failure(unit: Unit, sign_in_name: str, address: str, at: datetime) -> int:
    """Return the number of a noted failure."""
    values = {"sign_in_name": sign_in_name, "address": address, "at": at}
    number: int = unit.execute(_ADD_FAILURE, values).scalar_one()
    return number


def take_back_failure(unit: Unit, failure_id: int) -> None:
    """Forget a failure that was none after all."""
    unit.execute(_TAKE_BACK, {"failure": failure_id})


def forget_failures(unit: Unit, *, before: datetime) -> None:
    """Drop failures too old to count."""
    unit.execute(_FORGET, {"before": before})


def failures(
    unit: Unit,
    *,
    since: datetime,
    sign_in_name: str | None = None,
    address: str | None = None,
) -> Failures:
    """Return the failures after a moment, of one name, from one address, or of one name from one address."""
    statement = _FAILED[sign_in_name is not None, address is not None]
    asked = {"since": since, "of_name": sign_in_name, "from_address": address}
    row = unit.execute(statement, asked).one()
    return Failures(row.failed, row.oldest)
