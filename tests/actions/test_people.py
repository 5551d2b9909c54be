from __future__ import annotations

import unicodedata
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CREW, EVERYBODY, INES, KIT, MIRA
from trainer.actions import accounts
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.names import NameUnfit
from trainer.actions.permissions import Role
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database

PASSWORD = "twelve or more"


def test_a_new_person_gets_a_number_that_nobody_had(db: Database) -> None:
    keeper = bench.enter(db, KIT)
    added = register.add(
        db, keeper, "dara", "Dara Wick", [Role.TECHNICIAN], CREW, grade="I", password=PASSWORD, now=NOW
    )
    assert added.person_id == "P-0008"
    assert (added.name, added.roles, added.crew, added.grade) == ("Dara Wick", (Role.TECHNICIAN,), CREW, "I")
    assert accounts.sign_in(db, "dara", PASSWORD, address="192.0.2.1", now=NOW)


def test_a_retired_persons_number_and_name_are_not_given_again(db: Database) -> None:
    register.retire(db, bench.enter(db, KIT), BEN.id, now=NOW)
    with pytest.raises(register.SignInNameTaken):
        register.add(db, SYSTEM, "Ben", "Another Ben", [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW)
    added = register.add(
        db, SYSTEM, "ben2", "Another Ben", [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW
    )
    assert added.person_id == "P-0008"


def test_one_name_given_by_many_at_once_is_one_person(db: Database) -> None:
    def give(number: int) -> str:
        try:
            added = register.add(
                db, SYSTEM, "dara", f"Dara {number}", [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW
            )
        except register.SignInNameTaken:
            return "taken"
        return added.person_id

    with ThreadPoolExecutor(4) as pool:
        assert sorted(pool.map(give, range(4))) == ["P-0008", "taken", "taken", "taken"]


def test_names_are_kept_in_composed_form(db: Database) -> None:
    typed = unicodedata.normalize("NFD", "Åsa Ödegård")
    assert typed != "Åsa Ödegård"
    added = register.add(
        db,
        SYSTEM,
        unicodedata.normalize("NFD", "Åsa"),
        typed,
        [Role.TECHNICIAN],
        CREW,
        password=PASSWORD,
        now=NOW,
    )
    assert added.name == "Åsa Ödegård"
    assert added.sign_in_name == "åsa"
    assert accounts.sign_in(db, "Åsa", PASSWORD, address="192.0.2.1", now=NOW)


@pytest.mark.parametrize("name", ["", "   ", "x" * 81, "bell\x07"])
def test_a_name_that_cannot_be_read_is_refused(db: Database, name: str) -> None:
    with pytest.raises(NameUnfit):
        register.add(db, SYSTEM, name, "Somebody", [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW)
    with pytest.raises(NameUnfit):
        register.add(db, SYSTEM, "somebody", name, [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW)


def test_a_person_needs_a_role(db: Database) -> None:
    with pytest.raises(register.NoRole):
        register.add(db, SYSTEM, "dara", "Dara Wick", [], CREW, password=PASSWORD, now=NOW)


def test_an_entry_is_changed_in_what_is_given_and_the_change_is_logged(db: Database) -> None:
    keeper = bench.enter(db, KIT)
    changed = register.change(db, keeper, AMA.id, evaluator=True, grade="III", crew="Tallow Quay", now=NOW)
    assert (changed.evaluator, changed.grade, changed.crew) == (True, "III", "Tallow Quay")
    assert (changed.name, changed.roles) == (AMA.display_name, (Role.TECHNICIAN,))
    both = [Role.MENTOR, Role.TECHNICIAN]
    again = register.change(db, keeper, AMA.id, roles=both, display_name=" Ama  Ford ", now=NOW)
    assert (again.name, again.roles, again.evaluator) == ("Ama Ford", (Role.MENTOR, Role.TECHNICIAN), True)
    assert bench.enter(db, AMA).roles == set(both)
    with db.reading() as unit:
        logged = [e.payload for e in events.since(unit) if e.action == "people:change"]
    assert len(logged) == 2
    assert '"evaluator":true' in logged[0]


def test_nobody_changes_their_own_entry_and_nobody_is_left_without_a_role(db: Database) -> None:
    keeper = bench.enter(db, KIT)
    with pytest.raises(NotAllowed, match="their own entry"):
        register.change(db, keeper, KIT.id, roles=[Role.SUPERVISOR], now=NOW)
    with pytest.raises(register.NoRole):
        register.change(db, keeper, AMA.id, roles=[], now=NOW)
    with pytest.raises(NameUnfit):
        register.change(db, keeper, AMA.id, display_name=" ", now=NOW)
    with pytest.raises(NotFound):
        register.change(db, keeper, "P-9999", grade="I", now=NOW)
    with pytest.raises(NotAllowed):
        register.change(db, bench.enter(db, AMA), BEN.id, evaluator=True, now=NOW)


def test_retiring_ends_the_sessions(db: Database) -> None:
    token = accounts.sign_in(db, "ben", BEN.password, address="192.0.2.1", now=NOW).token
    left = register.retire(db, bench.enter(db, KIT), BEN.id, now=NOW)
    assert left.retired_at == NOW
    assert accounts.actor_for(db, token, now=NOW) is None
    with pytest.raises(register.AlreadyRetired):
        register.retire(db, SYSTEM, BEN.id, now=NOW)


def test_nobody_retires_themselves_or_a_stranger(db: Database) -> None:
    keeper = bench.enter(db, KIT)
    with pytest.raises(NotAllowed):
        register.retire(db, keeper, KIT.id, now=NOW)
    with pytest.raises(NotFound):
        register.retire(db, keeper, "P-9999", now=NOW)


def test_a_new_password_ends_the_sessions_and_stands_in_the_log(db: Database) -> None:
    token = accounts.sign_in(db, "ama", AMA.password, address="192.0.2.1", now=NOW).token
    register.set_password(db, bench.enter(db, KIT), AMA.id, PASSWORD, now=NOW)
    assert accounts.actor_for(db, token, now=NOW) is None
    assert accounts.sign_in(db, "ama", PASSWORD, address="192.0.2.1", now=NOW)
    with db.reading() as unit:
        logged = [(e.person_id, e.payload) for e in events.since(unit) if e.action == "people:set_password"]
    assert logged == [(KIT.id, '{"first_password":false,"person":"P-0001"}')]


def test_a_mentor_sees_the_own_crew_an_inspector_everybody(db: Database) -> None:
    mentor = register.list_people(db, bench.enter(db, MIRA))
    inspector = register.list_people(db, bench.enter(db, INES))
    assert {person.crew for person in mentor} == {CREW}
    assert {person.person_id for person in inspector} == {someone.id for someone in EVERYBODY}
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    assert BEN.id not in {person.person_id for person in register.list_people(db, SYSTEM)}
    assert BEN.id in {person.person_id for person in register.list_people(db, SYSTEM, with_retired=True)}


def test_a_technician_manages_nobody(db: Database) -> None:
    actor = bench.enter(db, AMA)
    with pytest.raises(NotAllowed):
        register.list_people(db, actor)
    with pytest.raises(NotAllowed):
        register.retire(db, actor, BEN.id, now=NOW)
    with pytest.raises(NotAllowed):
        register.set_password(db, actor, BEN.id, PASSWORD, now=NOW)
    with pytest.raises(NotAllowed):
        register.add(db, actor, "dara", "Dara", [Role.TECHNICIAN], CREW, password=PASSWORD, now=NOW)
