"""Taking over the people of a crew from a table: all lines or none, and the same file again changes nothing."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.actions import passwords, table_in
from trainer.actions import people as register
from trainer.actions.names import NameUnfit, must_be_fit, tidy_sign_in_name
from trainer.actions.permissions import Permission, Role
from trainer.actions.table_in import Column, Fault, LinesRefused
from trainer.store import people

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.table_in import Line, Table
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

COLUMNS: Mapping[str, Column] = {
    "sign_in_name": Column("name to sign in with; capital and small letters are the same"),
    "name": Column("name as printed on records"),
    "roles": Column(f"one or more of {', '.join(role.value for role in Role)}, with spaces between them"),
    "crew": Column("name of the crew", must=False),
    "grade": Column("grade as the crew sheet shows it", must=False),
    "evaluator": Column("yes for who is appointed as evaluator; no or nothing otherwise", must=False),
}
LONGEST_GRADE = 40
_BETWEEN_ROLES = re.compile(r"[\s,;/+]+")
_YES_OR_NO = {"yes": True, "no": False, "": False}


@dataclass(frozen=True)
class PersonLine:
    """One line as it would be taken over; `person_id` is "" for somebody who is not in the register yet."""

    line: int
    sign_in_name: str
    name: str
    roles: tuple[Role, ...]
    crew: str
    grade: str
    evaluator: bool
    person_id: str = ""

    @property
    def is_new(self) -> bool:
        """The person would be added; otherwise the register says the same already."""
        return not self.person_id


@dataclass(frozen=True)
class PeoplePlan:
    """What would happen: who would be added, who is there already, and what is wrong."""

    lines: tuple[PersonLine, ...]
    faults: tuple[Fault, ...]

    @property
    def new(self) -> tuple[PersonLine, ...]:
        """Those who would be added."""
        return tuple(line for line in self.lines if line.is_new)


@dataclass(frozen=True)
class FirstPassword:
    """Somebody just added, with the password they sign in with once; it is kept nowhere."""

    person_id: str
    sign_in_name: str
    name: str
    password: str


def plan(db: Database, actor: Actor, data: bytes) -> PeoplePlan:
    """Return what taking over a table of people would do, without doing it.

    Raises:
        TableUnreadable: the file as a whole cannot be read.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    table = table_in.read(data, COLUMNS)
    with db.reading() as unit:
        return _planned(unit, table)


def take_over(db: Database, actor: Actor, data: bytes, *, now: datetime) -> tuple[FirstPassword, ...]:
    """Add everybody in a table who is not in the register yet; return their first passwords.

    Raises:
        TableUnreadable: the file as a whole cannot be read.
        LinesRefused: a line cannot be taken over; then none is.
    """
    actor.must(Permission.PEOPLE_MANAGE)
    table = table_in.read(data, COLUMNS)
    with db.reading() as unit:
        before = _must_be_sound(_planned(unit, table))
    # Hashing takes its time on purpose, so it is done before the register is shut to others. Nobody is ever taken out
    # of the register, so whoever is new inside is new here.
    given = {line.sign_in_name: passwords.fresh() for line in before.new}
    hashes = {name: passwords.hashed(password) for name, password in given.items()}
    digest = hashlib.sha256(data).hexdigest()
    added = []
    with db.writing() as unit:
        for line in _must_be_sound(_planned(unit, table)).new:
            person = register.enter(
                unit,
                actor,
                sign_in_name=line.sign_in_name,
                display_name=line.name,
                roles=line.roles,
                crew=line.crew,
                grade=line.grade,
                evaluator=line.evaluator,
                password_hash=hashes[line.sign_in_name],
                first_password=True,
                now=now,
                file=digest,
                line=line.line,
            )
            added.append(
                FirstPassword(person.id, person.sign_in_name, person.display_name, given[line.sign_in_name])
            )
    return tuple(added)


def _must_be_sound(planned: PeoplePlan) -> PeoplePlan:
    if planned.faults:
        raise LinesRefused(planned.faults)
    return planned


def _planned(unit: Unit, table: Table) -> PeoplePlan:
    kept = {person.sign_in_name: person for person in people.everybody(unit, with_retired=True)}
    faults = list(table.faults)
    lines: list[PersonLine] = []
    first_on: dict[str, int] = {}
    for line in table.lines:
        found = list(_faults(line))
        if found:
            faults += found
            continue
        wanted = _wanted(line)
        name = wanted.sign_in_name
        if name in first_on:
            sentence = f"'{name}' stands on line {first_on[name]} already."
            faults.append(Fault(line.number, "sign_in_name", sentence))
            continue
        first_on[name] = line.number
        person = kept.get(name)
        told = _difference(wanted, person) if person else None
        if told:
            faults.append(told)
        else:
            lines.append(replace(wanted, person_id=person.id if person else ""))
    return PeoplePlan(tuple(lines), tuple(sorted(faults, key=lambda fault: (fault.line, fault.column))))


def _faults(line: Line) -> Iterator[Fault]:
    cells = line.cells
    for column, what in (
        ("sign_in_name", "sign-in name"),
        ("name", "name"),
        ("crew", "crew"),
        ("grade", "grade"),
    ):
        try:
            must_be_fit(cells[column], what, may_be_empty=not COLUMNS[column].must)
        except NameUnfit as unfit:
            yield Fault(line.number, column, str(unfit))
    if len(cells["grade"]) > LONGEST_GRADE:
        yield Fault(line.number, "grade", f"The grade may have at most {LONGEST_GRADE} characters.")
    named = _roles(cells["roles"])
    if not named:
        yield Fault(line.number, "roles", "A person needs at least one role.")
    for name in named:
        if name not in list(Role):
            sentence = (
                f"'{name[:40]}' is no role; it must be one of {', '.join(role.value for role in Role)}."
            )
            yield Fault(line.number, "roles", sentence)
    if cells["evaluator"].casefold() not in _YES_OR_NO:
        yield Fault(line.number, "evaluator", f"'{cells['evaluator'][:40]}' is neither yes nor no.")


def _roles(cell: str) -> list[str]:
    return [name for name in _BETWEEN_ROLES.split(cell.casefold()) if name]


def _wanted(line: Line) -> PersonLine:
    cells = line.cells
    return PersonLine(
        line=line.number,
        sign_in_name=tidy_sign_in_name(cells["sign_in_name"]),
        name=must_be_fit(cells["name"], "name"),
        roles=tuple(sorted({Role(name) for name in _roles(cells["roles"])})),
        crew=must_be_fit(cells["crew"], "crew", may_be_empty=True),
        grade=must_be_fit(cells["grade"], "grade", may_be_empty=True),
        evaluator=_YES_OR_NO[cells["evaluator"].casefold()],
    )


def _difference(wanted: PersonLine, person: Person) -> Fault | None:
    """Return why somebody who is in the register cannot be this line: a table adds people and changes none."""
    if person.retired_at is not None:
        sentence = (
            f"'{person.sign_in_name}' was {person.display_name}, who is retired; a name is never given again."
        )
        return Fault(wanted.line, "sign_in_name", sentence)
    for column, says, stands in (
        ("name", wanted.name, person.display_name),
        ("roles", ", ".join(wanted.roles), ", ".join(person.roles)),
        ("crew", wanted.crew, person.crew),
        ("grade", wanted.grade, person.grade),
        ("evaluator", _yes_or_no(wanted.evaluator), _yes_or_no(person.evaluator)),
    ):
        if says != stands:
            sentence = (
                f"The register says '{stands}' of {person.sign_in_name}, the file '{says}'; "
                "a file adds people and changes none."
            )
            return Fault(wanted.line, column, sentence)
    return None


def _yes_or_no(value: bool) -> str:
    return "yes" if value else "no"
