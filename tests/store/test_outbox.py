"""Statements on their way, and the addresses of calendars: once each, whoever comes at the same time."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN
from tests.store.conftest import NOON
from trainer.store import calendar, events, outbox

if TYPE_CHECKING:
    from trainer.store.session import Database

MINUTE = timedelta(minutes=1)


def _entry(database: Database) -> int:
    with database.writing() as unit:
        return events.add(unit, at=NOON, person_id=AMA.id, action="practice:answer", payload={})


def _put(database: Database, entry: int, *names: str, refused: str = "") -> None:
    with database.writing() as unit:
        for name in names:
            outbox.add(
                unit, statement_id=name, entry=entry, statement=f"text of {name}", at=NOON, refused=refused
            )


def _texts(database: Database) -> list[str]:
    with database.reading() as unit:
        return [one.statement for one in outbox.waiting(unit, limit=10)]


def test_a_statement_goes_in_once_and_keeps_its_first_text(database: Database) -> None:
    first, second = _entry(database), _entry(database)
    with database.reading() as unit:
        assert outbox.newest_entry(unit) == 0
    _put(database, first, "a", "b")
    with database.writing() as unit:
        outbox.add(unit, statement_id="a", entry=second, statement="another text", at=NOON)
    assert _texts(database) == ["text of a", "text of b"]
    with database.reading() as unit:
        assert outbox.newest_entry(unit) == first


def test_two_at_once_put_it_in_once(database: Database) -> None:
    entry = _entry(database)
    with ThreadPoolExecutor(4) as several:
        list(several.map(lambda _: _put(database, entry, "a", "b", "c"), range(4)))
    assert len(_texts(database)) == 3


def test_what_arrived_or_was_refused_waits_no_longer(database: Database) -> None:
    _put(database, _entry(database), "a", "b", "c")
    _put(database, 1, "d", refused="Not as the standard has it.")
    with database.reading() as unit:
        a, b, _ = (one.id for one in outbox.waiting(unit, limit=10))
    with database.writing() as unit:
        outbox.sent(unit, [a], NOON + MINUTE)
        outbox.refuse(unit, b, "Not taken.")
        # Neither a late answer of another run nor a failure changes what is settled.
        outbox.refuse(unit, a, "Too late.")
        outbox.sent(unit, [b], NOON)
        outbox.put_off(unit, [a, b], NOON + 9 * MINUTE)
    assert _texts(database) == ["text of c"]
    with database.reading() as unit:
        counted = outbox.counted(unit)
        assert (counted.sent, counted.waiting, counted.refused, counted.tries) == (1, 1, 2, 0)
        assert (counted.next_at, counted.last_sent_at) == (NOON, NOON + MINUTE)
        assert [(one.statement_id, one.why) for one in outbox.refusals(unit, limit=5)] == [
            ("d", "Not as the standard has it."),
            ("b", "Not taken."),
        ]


def test_what_was_put_off_counts_its_tries(database: Database) -> None:
    with database.reading() as unit:
        assert outbox.next_due(unit) is None
    _put(database, _entry(database), "a", "b")
    with database.reading() as unit:
        ids = [one.id for one in outbox.waiting(unit, limit=10)]
    for minutes in (1, 2):
        with database.writing() as unit:
            outbox.put_off(unit, ids[:1], NOON + minutes * MINUTE)
    with database.reading() as unit:
        assert [one.tries for one in outbox.waiting(unit, limit=10)] == [2, 0]
        assert outbox.next_due(unit) == NOON + 2 * MINUTE
        assert outbox.counted(unit).tries == 2


def test_a_statement_comes_of_an_entry_of_the_log(database: Database) -> None:
    with pytest.raises(IntegrityError):
        _put(database, 4711, "a")


def test_a_person_has_one_address_in_force(database: Database) -> None:
    with database.writing() as unit:
        number = calendar.add(unit, AMA.id, token_hash="a" * 64, at=NOON)
        calendar.add(unit, BEN.id, token_hash="b" * 64, at=NOON)
    with pytest.raises(IntegrityError), database.writing() as unit:
        calendar.add(unit, AMA.id, token_hash="c" * 64, at=NOON)
    with database.writing() as unit:
        assert calendar.owner(unit, "a" * 64) == AMA.id
        assert calendar.end(unit, AMA.id, NOON + MINUTE) == number
        assert calendar.end(unit, AMA.id, NOON + MINUTE) is None
        assert calendar.owner(unit, "a" * 64) is None
        assert calendar.owner(unit, "b" * 64) == BEN.id
        calendar.add(unit, AMA.id, token_hash="c" * 64, at=NOON + MINUTE)
        assert calendar.made_at(unit, AMA.id) == NOON + MINUTE
