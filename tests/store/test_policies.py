from __future__ import annotations

import hashlib
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store.samples import NOON
from trainer.store import policies

if TYPE_CHECKING:
    from trainer.store.session import Database

FIRST = {"bad": "0.20", "sure": 3}
SECOND = {"bad": "0.10", "sure": 3}


def test_the_newest_is_in_force_and_the_others_are_found_by_their_hash(database: Database) -> None:
    with database.writing() as unit:
        assert policies.in_force(unit) is None
        first, _ = policies.add(unit, FIRST, because="The numbers of the program.", by="", at=NOON)
        second, _ = policies.add(unit, SECOND, because="Stricter.", by=people.KIT.id, at=NOON)
        now = policies.in_force(unit)
        assert now is not None
        assert (now.sha256, now.values, now.because) == (second, SECOND, "Stricter.")
        assert (now.set_by, now.setter_name) == (people.KIT.id, people.KIT.display_name)
        before = policies.by_hash(unit, first)
        assert before is not None
        assert (before.values, before.set_by, before.setter_name) == (FIRST, "", "")
        assert [kept.sha256 for kept in policies.every(unit)] == [second, first]
        assert policies.by_hash(unit, "0" * 64) is None


def test_the_same_numbers_may_come_back_in_force(database: Database) -> None:
    with database.writing() as unit:
        for hours, values in enumerate((FIRST, SECOND, FIRST)):
            policies.add(unit, values, because="Again.", by="", at=NOON + timedelta(hours=hours))
        now = policies.in_force(unit)
        assert now is not None
        assert (now.values, now.number) == (FIRST, 3)


def test_the_hash_is_that_of_the_canonical_text() -> None:
    # RFC 8785: members by name, no spaces.
    assert policies.digest(FIRST) == hashlib.sha256(b'{"bad":"0.20","sure":3}').hexdigest()


def test_a_policy_without_a_reason_is_not_kept(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        policies.add(unit, FIRST, because="", by="", at=NOON)
