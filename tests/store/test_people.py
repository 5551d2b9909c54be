from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN, CLEO, CREW, EVERYBODY, MIRA
from tests.store.samples import NOON
from trainer.store import people

if TYPE_CHECKING:
    from trainer.store.session import Database

NEW: dict[str, Any] = {
    "sign_in_name": "dara",
    "display_name": "Dara Wick",
    "roles": ["technician", "mentor"],
    "crew": CREW,
    "grade": "I",
    "evaluator": True,
    "password_hash": "h",
    "at": NOON,
}


def test_who_was_added_is_found_by_number_and_by_name(database: Database) -> None:
    with database.writing() as unit:
        added = people.add(unit, **NEW)
    assert added is not None
    with database.reading() as unit:
        assert people.by_id(unit, added.id) == added
        assert people.by_sign_in_name(unit, "dara") == added
        assert people.by_sign_in_name(unit, "nobody") is None
        assert people.by_id(unit, "P-9999") is None
        assert people.password_hash(unit, added.id) == "h"
    assert added.roles == ("mentor", "technician")


def test_a_number_given_back_with_its_transaction_is_the_next_one(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        people.add(unit, **(NEW | {"display_name": ""}))
    with database.writing() as unit:
        added = people.add(unit, **NEW)
    assert added is not None
    assert added.id == "P-0008"


def test_a_sign_in_name_that_is_taken_adds_nobody(database: Database) -> None:
    with database.writing() as unit:
        assert people.add(unit, **(NEW | {"sign_in_name": "ama"})) is None
        assert len(people.everybody(unit)) == len(EVERYBODY)


def test_people_are_listed_by_crew_and_name(database: Database) -> None:
    with database.writing() as unit:
        people.retire(unit, BEN.id, NOON)
    with database.reading() as unit:
        assert [p.id for p in people.everybody(unit, crew=CREW)][:2] == [AMA.id, MIRA.id]
        assert [p.id for p in people.everybody(unit, crew=CREW, with_retired=True)][:2] == [AMA.id, BEN.id]
        assert len(people.everybody(unit)) == len(EVERYBODY) - 1
        crews = [p.crew for p in people.everybody(unit)]
    assert crews == sorted(crews)


def test_roles_and_password_can_be_replaced(database: Database) -> None:
    with database.writing() as unit:
        people.set_roles(unit, AMA.id, ["mentor", "keeper"])
        people.set_password_hash(unit, AMA.id, "another")
    with database.reading() as unit:
        found = people.by_id(unit, AMA.id)
        assert found is not None
        assert found.roles == ("keeper", "mentor")
        assert people.password_hash(unit, AMA.id) == "another"
        assert people.password_hash(unit, CLEO.id) == "not a hash"


@pytest.mark.parametrize(
    "broken",
    [{"roles": ["wizard"]}, {"display_name": ""}, {"sign_in_name": ""}],
)
def test_the_database_itself_refuses_what_makes_no_sense(database: Database, broken: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        people.add(unit, **(NEW | broken))


def test_nobody_leaves_before_coming(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        people.retire(unit, AMA.id, NOON.replace(year=2020))
