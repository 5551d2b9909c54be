from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN
from tests.store.samples import NOON
from trainer.store import sign_ins

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

HOUR = timedelta(hours=1)


def _open(unit: Unit, token: str, person: str = AMA.id, address: str = "192.0.2.1") -> int:
    return sign_ins.open_session(
        unit, person, token_hash=token, address=address, at=NOON, ends_at=NOON + 12 * HOUR
    )


def test_a_session_is_found_by_its_token_until_the_token_is_replaced(database: Database) -> None:
    with database.writing() as unit:
        number = _open(unit, "one")
        sign_ins.replace_token(unit, number, "two", NOON + HOUR)
        assert sign_ins.by_token_hash(unit, "one") is None
        found = sign_ins.by_token_hash(unit, "two")
    assert found is not None
    assert (found.id, found.person_id, found.used_at, found.ended_at) == (number, AMA.id, NOON + HOUR, None)


def test_ending_all_sessions_leaves_others_and_the_one_left_out(database: Database) -> None:
    with database.writing() as unit:
        kept, other, bens = _open(unit, "a"), _open(unit, "b"), _open(unit, "c", BEN.id)
        sign_ins.end_all_of(unit, AMA.id, NOON, but=kept)
        ended = {number: sign_ins.by_id(unit, number) for number in (kept, other, bens)}
    assert {number for number, session in ended.items() if session and session.ended_at} == {other}


def test_a_session_ends_once(database: Database) -> None:
    with database.writing() as unit:
        number = _open(unit, "a")
        sign_ins.end(unit, number, NOON)
        sign_ins.end(unit, number, NOON + HOUR)
        found = sign_ins.by_id(unit, number)
    assert found is not None
    assert found.ended_at == NOON


def test_two_sessions_cannot_have_one_token(database: Database) -> None:
    with database.writing() as unit:
        _open(unit, "a")
    with pytest.raises(IntegrityError), database.writing() as unit:
        _open(unit, "a", BEN.id)


def test_where_somebody_signed_in_from_is_known_for_a_while(database: Database) -> None:
    with database.writing() as unit:
        _open(unit, "a")
        assert sign_ins.has_signed_in_from(unit, AMA.id, "192.0.2.1", since=NOON)
        assert not sign_ins.has_signed_in_from(unit, AMA.id, "192.0.2.1", since=NOON + HOUR)
        assert not sign_ins.has_signed_in_from(unit, AMA.id, "192.0.2.2", since=NOON)
        assert not sign_ins.has_signed_in_from(unit, BEN.id, "192.0.2.1", since=NOON)


def test_failures_are_counted_by_name_and_by_address(database: Database) -> None:
    with database.writing() as unit:
        for minute, (name, address) in enumerate([("ama", "x"), ("ama", "y"), ("ben", "x"), ("ama", "x")]):
            last = sign_ins.add_failure(unit, name, address, NOON + timedelta(minutes=minute))
        since = NOON - HOUR
        assert sign_ins.failures(unit, since=since, sign_in_name="ama") == sign_ins.Failures(3, NOON)
        assert sign_ins.failures(unit, since=since, address="x").count == 3
        assert sign_ins.failures(unit, since=since, sign_in_name="ama", address="x").count == 2
        sign_ins.take_back_failure(unit, last)
        assert sign_ins.failures(unit, since=since, sign_in_name="ama").count == 2
        later = sign_ins.failures(unit, since=NOON, sign_in_name="ama")
        assert later == sign_ins.Failures(1, NOON + timedelta(minutes=1))
        sign_ins.forget_failures(unit, before=NOON + HOUR)
        assert sign_ins.failures(unit, since=since) == sign_ins.Failures(0, None)
