"""The register of people: add, list, change, retire, give a new password."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.actions import journal, passwords
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.chosen_people import choose
from trainer.actions.names import must_be_fit, tidy_sign_in_name
from trainer.actions.permissions import Permission, Role
from trainer.actions.views import PersonView
from trainer.errors import TrainerError
from trainer.store import mails, people, sign_ins

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.chosen_people import Choice, Wanted
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit


class SignInNameTaken(TrainerError):
    """Somebody has this sign-in name, or had it; it is never given twice."""

    def __init__(self, name: str) -> None:
        super().__init__(f"The sign-in name '{name}' is taken; a name is never given to a second person.")


class NoRole(TrainerError):
    """A person without a role could do nothing."""

    def __init__(self) -> None:
        super().__init__("A person needs at least one role.")


class AlreadyRetired(TrainerError):
    """The person has left already."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is retired already.")


def add(
    db: Database,
    actor: Actor,
    sign_in_name: str,
    display_name: str,
    roles: Iterable[Role],
    crew: str,
    *,
    grade: str = "",
    evaluator: bool = False,
    password: str,
    first_password: bool = False,
    now: datetime,
) -> PersonView:
    """Return the new person, with a number of their own for ever.

    Args:
        db: the database.
        actor: who adds them.
        sign_in_name: name to sign in with; capital and small letters are the same.
        display_name: name as printed on records.
        roles: one or more.
        crew: name of the crew, "" for none.
        grade: as the crew sheet shows it.
        evaluator: appointed as evaluator.
        password: the password they sign in with.
        first_password: somebody else chose it, so it serves for choosing another and nothing else.
        now: the time.

    Raises:
        NameUnfit: a name cannot be used.
        PasswordUnfit: the password cannot be used.
        SignInNameTaken: somebody has the sign-in name.
        NoRole: no role is given.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    chosen = tuple(sorted(set(roles)))
    if not chosen:
        raise NoRole
    name = tidy_sign_in_name(must_be_fit(sign_in_name, "sign-in name"))
    passwords.must_be_fit(password, name)
    hashed = passwords.hashed(password)
    with db.writing() as unit:
        person = enter(
            unit,
            actor,
            sign_in_name=name,
            display_name=must_be_fit(display_name, "name"),
            roles=chosen,
            crew=must_be_fit(crew, "crew", may_be_empty=True),
            grade=must_be_fit(grade, "grade", may_be_empty=True),
            evaluator=evaluator,
            password_hash=hashed,
            first_password=first_password,
            now=now,
        )
    return view(person)


def enter(
    unit: Unit,
    actor: Actor,
    *,
    sign_in_name: str,
    display_name: str,
    roles: Iterable[Role],
    crew: str,
    grade: str,
    evaluator: bool,
    password_hash: str,
    first_password: bool,
    now: datetime,
    **source: Any,
) -> Person:
    """Put somebody into the register inside a transaction, and write it to the log.

    Args:
        unit: the transaction.
        actor: who does it.
        sign_in_name: tidy, as it is kept.
        display_name: tidy.
        roles: at least one.
        crew: tidy.
        grade: tidy.
        evaluator: appointed as evaluator.
        password_hash: of the password they sign in with.
        first_password: somebody else chose that password.
        now: the time.
        source: what the log says of where the entry came from.

    Raises:
        SignInNameTaken: somebody has the sign-in name.
    """
    person = people.add(
        unit,
        sign_in_name=sign_in_name,
        display_name=display_name,
        roles=[role.value for role in roles],
        crew=crew,
        grade=grade,
        evaluator=evaluator,
        password_hash=password_hash,
        first_password=first_password,
        at=now,
    )
    if person is None:
        raise SignInNameTaken(sign_in_name)
    journal.note(unit, actor, "people:add", at=now, **_entry(person), first_password=first_password, **source)
    return person


def list_people(db: Database, actor: Actor, *, with_retired: bool = False) -> tuple[PersonView, ...]:
    """Return the people this actor may see, by crew and name."""
    actor.must(Permission.PEOPLE_READ)
    with db.reading() as unit:
        everybody = people.everybody(unit, with_retired=with_retired)
    return tuple(
        view(person) for person in everybody if actor.may_for(Permission.PEOPLE_READ, crew=person.crew)
    )


def register(db: Database, actor: Actor, wanted: Wanted) -> tuple[Choice, tuple[PersonView, ...]]:
    """Return the register with those who have left, of one crew in a large company, and what else can be chosen."""
    actor.must(Permission.PEOPLE_READ)
    with db.reading() as unit:
        choice = choose(unit, actor, Permission.PEOPLE_READ, wanted, with_retired=True)
        listed = people.everybody(unit, crew=choice.crew, with_retired=True)
    return choice, tuple(
        view(person) for person in listed if actor.may_for(Permission.PEOPLE_READ, crew=person.crew)
    )


def entry(db: Database, actor: Actor, person_id: str) -> PersonView:
    """Return one entry of the register.

    Raises:
        NotFound: there is nobody with this number for this actor.
    """
    with db.reading() as unit:
        return view(found_for(unit, actor, Permission.PEOPLE_READ, person_id))


def change(
    db: Database,
    actor: Actor,
    person_id: str,
    *,
    display_name: str | None = None,
    roles: Iterable[Role] | None = None,
    crew: str | None = None,
    grade: str | None = None,
    evaluator: bool | None = None,
    now: datetime,
) -> PersonView:
    """Return a person after a change of name, roles, crew, grade or appointment; what is not given stays.

    Records already signed keep the name they were signed with.

    Raises:
        NotFound: there is nobody with this number.
        NotAllowed: it is the actor; nobody gives themselves roles or an appointment.
        NameUnfit: a name cannot be used.
        NoRole: the roles given are none.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    if person_id == actor.person_id:
        raise NotAllowed(Permission.PEOPLE_MANAGE, "Nobody changes their own entry in the register.")
    with db.writing() as unit:
        before = found(unit, person_id)
        chosen = before.roles if roles is None else tuple(sorted({role.value for role in roles}))
        if not chosen:
            raise NoRole
        people.change(
            unit,
            person_id,
            display_name=must_be_fit(before.display_name if display_name is None else display_name, "name"),
            crew=must_be_fit(before.crew if crew is None else crew, "crew", may_be_empty=True),
            grade=must_be_fit(before.grade if grade is None else grade, "grade", may_be_empty=True),
            evaluator=before.evaluator if evaluator is None else evaluator,
        )
        people.set_roles(unit, person_id, chosen)
        after = found(unit, person_id)
        journal.note(unit, actor, "people:change", at=now, **_entry(after))
    return view(after)


def _entry(person: Person) -> dict[str, Any]:
    return {
        "person": person.id,
        "sign_in_name": person.sign_in_name,
        "name": person.display_name,
        "roles": list(person.roles),
        "crew": person.crew,
        "grade": person.grade,
        "evaluator": person.evaluator,
    }


def retire(db: Database, actor: Actor, person_id: str, *, now: datetime) -> PersonView:
    """Return a person who has left: they cannot sign in any more; number and records stay.

    Raises:
        NotFound: there is nobody with this number.
        AlreadyRetired: they have left already.
        NotAllowed: it is the actor; somebody else has to do it.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    if person_id == actor.person_id:
        raise NotAllowed(Permission.PEOPLE_MANAGE, "Nobody retires themselves.")
    with db.writing() as unit:
        person = found(unit, person_id)
        if person.retired_at is not None:
            raise AlreadyRetired(person.display_name)
        people.retire(unit, person_id, now)
        sign_ins.end_all_of(unit, person_id, now)
        mails.remove(unit, person_id)
        journal.note(unit, actor, "people:retire", at=now, person=person_id)
        return view(found(unit, person_id))


def set_password(
    db: Database, actor: Actor, person_id: str, password: str, *, first: bool = False, now: datetime
) -> None:
    """Give somebody who lost it a new password, end their sessions, and write it to the log.

    With `first` the password serves for choosing another one and nothing else.

    Raises:
        NotFound: there is nobody with this number.
        PasswordUnfit: the password cannot be used.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    with db.reading() as unit:
        name = found(unit, person_id).sign_in_name
    passwords.must_be_fit(password, name)
    hashed = passwords.hashed(password)
    with db.writing() as unit:
        people.set_password_hash(unit, person_id, hashed, first=first)
        sign_ins.end_all_of(unit, person_id, now)
        journal.note(unit, actor, "people:set_password", at=now, person=person_id, first_password=first)


def found(unit: Unit, person_id: str) -> Person:
    """Return a person by number.

    Raises:
        NotFound: there is nobody with it.
    """
    person = people.by_id(unit, person_id)
    if person is None:
        raise NotFound("person", person_id)
    return person


def found_for(unit: Unit, actor: Actor, permission: Permission, person_id: str) -> Person:
    """Return a person on whom the actor has the permission.

    Raises:
        NotAllowed: the actor has it on nobody.
        NotFound: there is no such person, or they are none of this actor's business.
    """
    actor.must(permission)
    person = found(unit, person_id)
    if not actor.may_for(permission, crew=person.crew):
        raise NotFound("person", person_id)
    return person


def view(person: Person) -> PersonView:
    """Return a stored person as the actions show them."""
    return PersonView(
        person_id=person.id,
        sign_in_name=person.sign_in_name,
        name=person.display_name,
        roles=tuple(Role(role) for role in person.roles),
        crew=person.crew,
        grade=person.grade,
        evaluator=person.evaluator,
        retired_at=person.retired_at,
    )
