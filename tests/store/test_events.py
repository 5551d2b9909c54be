from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest

from tests.people import AMA
from tests.store.samples import NOON
from trainer.store import events

if TYPE_CHECKING:
    from trainer.store.session import Database


def test_entries_are_numbered_from_one_and_kept_byte_for_byte(database: Database) -> None:
    with database.writing() as unit:
        first = events.add(
            unit, at=NOON, person_id=AMA.id, action="module:assign", payload={"b": 1, "a": "µ"}
        )
        second = events.add(unit, at=NOON, person_id="", action="people:add", payload={})
    with database.reading() as unit:
        listed = list(events.since(unit))
        assert list(events.since(unit, first)) == listed[1:]
    assert (first, second) == (1, 2)
    assert listed[0] == events.Event(1, NOON, AMA.id, "module:assign", '{"a":"µ","b":1}')
    assert listed[1].person_id == ""


def test_numbers_have_no_gap_when_many_write_and_some_fail(database: Database) -> None:
    def write(thread: int) -> None:
        for turn in range(8):
            try:
                with database.writing() as unit:
                    events.add(unit, at=NOON, person_id=AMA.id, action="a:b", payload={"n": turn})
                    if (thread + turn) % 3 == 0:
                        raise LookupError
            except LookupError:
                pass

    with ThreadPoolExecutor(6) as pool:
        for done in [pool.submit(write, number) for number in range(6)]:
            done.result()
    with database.reading() as unit:
        numbers = [entry.number for entry in events.since(unit)]
    assert numbers == list(range(1, 6 * 8 - 16 + 1))


def test_an_entry_with_a_float_takes_the_whole_change_back(database: Database) -> None:
    with pytest.raises(ValueError, match="no floats"), database.writing() as unit:
        events.add(unit, at=NOON, person_id=AMA.id, action="a:b", payload={"credit": 0.5})
    with database.reading() as unit:
        assert list(events.since(unit)) == []
