"""People of the register: rows ⇄ `Person`."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, delete, insert, select, update

from trainer.store import sequences, upserts
from trainer.store.schema.people import people, person_roles

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Person:
    """A person; `roles` are their stored names in alphabetical order.

    `first_password`: the password in force was given by somebody else and serves for choosing another.
    """

    id: str
    sign_in_name: str
    display_name: str
    roles: tuple[str, ...]
    crew: str
    grade: str
    evaluator: bool
    added_at: datetime
    retired_at: datetime | None = None
    first_password: bool = False


def add(
    unit: Unit,
    *,
    sign_in_name: str,
    display_name: str,
    roles: Iterable[str],
    crew: str,
    grade: str,
    evaluator: bool,
    password_hash: str,
    at: datetime,
    first_password: bool = False,
) -> Person | None:
    """Return the new person, under a number that nobody had before; None when the sign-in name is taken."""
    number = f"P-{sequences.take(unit, 'people'):04d}"
    values = {
        "id": number,
        "sign_in_name": sign_in_name,
        "display_name": display_name,
        "crew": crew,
        "grade": grade,
        "evaluator": evaluator,
        "password_hash": password_hash,
        "first_password": first_password,
        "added_at": at,
    }
    # Two keepers may add the same name at the same moment; looking first would let both through.
    new = upserts.insert(unit.dialect.name, people).values(**values)
    unless_taken = new.on_conflict_do_nothing(index_elements=[people.c.sign_in_name])
    if unit.execute(unless_taken.returning(people.c.id)).first() is None:
        return None
    chosen = tuple(sorted(roles))
    unit.execute(insert(person_roles), [{"person_id": number, "role": role} for role in chosen])
    return Person(
        number, sign_in_name, display_name, chosen, crew, grade, evaluator, at, None, first_password
    )


def by_id(unit: Unit, person_id: str) -> Person | None:
    """Return a person by number, or None."""
    return next(iter(_people(unit.execute(_BY_ID, {"of_id": person_id}))), None)


def by_ids(unit: Unit, person_ids: Collection[str]) -> dict[str, Person]:
    """Return some people by number."""
    return {person.id: person for person in _read(unit, people.c.id.in_(tuple(person_ids)))}


def named(unit: Unit, part: str, *, most: int, with_retired: bool = False) -> tuple[Person, ...]:
    """Return people whose name holds some text, by name; capital and small letters are the same in English."""
    whose = select(people.c.id).where(people.c.display_name.icontains(part, autoescape=True))
    if not with_retired:
        whose = whose.where(people.c.retired_at.is_(None))
    return _read(unit, people.c.id.in_(whose.order_by(people.c.display_name, people.c.id).limit(most)))


def by_sign_in_name(unit: Unit, sign_in_name: str) -> Person | None:
    """Return a person by the name they sign in with, or None."""
    return next(iter(_people(unit.execute(_BY_NAME, {"of_name": sign_in_name}))), None)


def everybody(unit: Unit, *, crew: str | None = None, with_retired: bool = False) -> tuple[Person, ...]:
    """Return people by crew and name; of one crew when asked."""
    conditions: list[ColumnElement[bool]] = []
    if crew is not None:
        conditions.append(people.c.crew == crew)
    if not with_retired:
        conditions.append(people.c.retired_at.is_(None))
    return _read(unit, *conditions)


def password_hash(unit: Unit, person_id: str) -> str:
    """Return the stored hash of a person's password."""
    found: str = unit.execute(_PASSWORD_HASH, {"of_id": person_id}).scalar_one()
    return found


def set_password_hash(unit: Unit, person_id: str, hashed: str, *, first: bool = False) -> None:
    """Store another password hash; `first` when somebody else gave the password."""
    unit.execute(
        update(people).where(people.c.id == person_id).values(password_hash=hashed, first_password=first)
    )


def change(unit: Unit, person_id: str, *, display_name: str, crew: str, grade: str, evaluator: bool) -> None:
    """Change what the register says of a person; signed records keep what they said."""
    unit.execute(
        update(people)
        .where(people.c.id == person_id)
        .values(display_name=display_name, crew=crew, grade=grade, evaluator=evaluator)
    )


def set_roles(unit: Unit, person_id: str, roles: Iterable[str]) -> None:
    """Give a person exactly these roles."""
    unit.execute(delete(person_roles).where(person_roles.c.person_id == person_id))
    unit.execute(insert(person_roles), [{"person_id": person_id, "role": role} for role in sorted(roles)])


def retire(unit: Unit, person_id: str, at: datetime) -> None:
    """Mark a person as gone; the number and all records stay."""
    unit.execute(update(people).where(people.c.id == person_id).values(retired_at=at))


def lock(unit: Unit, person_id: str) -> None:
    """Let the units of work that change this person's practice or records take turns.

    On SQLite a writing unit is alone anyway.
    """
    if unit.dialect.name == "postgresql":
        unit.execute(select(people.c.id).where(people.c.id == person_id).with_for_update(key_share=True))


_WITH_ROLES = (
    select(people, person_roles.c.role)
    .join(person_roles, person_roles.c.person_id == people.c.id, isouter=True)
    .order_by(people.c.crew, people.c.display_name, people.c.id, person_roles.c.role)
)
# Built once: they are asked for every page and every sign-in.
_BY_ID = _WITH_ROLES.where(people.c.id == bindparam("of_id"))
_BY_NAME = _WITH_ROLES.where(people.c.sign_in_name == bindparam("of_name"))
_PASSWORD_HASH = select(people.c.password_hash).where(people.c.id == bindparam("of_id"))


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Person, ...]:
    return _people(unit.execute(_WITH_ROLES.where(*conditions)))


def _people(rows: Iterable[Row[Any]]) -> tuple[Person, ...]:
    """A row for each role: those of one person follow each other."""
    return tuple(_person(tuple(listed)) for _, listed in groupby(rows, key=attrgetter("id")))


def _person(rows: Sequence[Row[Any]]) -> Person:
    row = rows[0]
    return Person(
        row.id,
        row.sign_in_name,
        row.display_name,
        tuple(one.role for one in rows if one.role is not None),
        row.crew,
        row.grade,
        row.evaluator,
        row.added_at,
        row.retired_at,
        row.first_password,
    )
