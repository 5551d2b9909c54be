"""The calendar of what lapses: under a secret address, with what its owner may see at the moment of reading."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CLEO, KIT, MIRA, SOL
from trainer.actions import calendar, qualify
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.store import events

if TYPE_CHECKING:
    from tests.people import Someone
    from trainer.actions.opening import Database

DAY = timedelta(days=1)


def _read(data: bytes) -> Any:
    return icalendar.Calendar.from_ical(data)


@pytest.fixture
def signed(db: Database) -> str:
    """Ama holds a qualification."""
    bench.make_ready(db, AMA)
    return bench.sign_by(db, bench.enter(db, SOL), AMA).number


def _make(db: Database, someone: Someone) -> str:
    return calendar.make_address(db, bench.enter(db, someone), now=NOW)


def _summaries(db: Database, token: str) -> list[str]:
    found = _read(calendar.feed(db, token, now=NOW))
    return [str(event["SUMMARY"]) for event in found.walk("VEVENT")]


def test_everybody_reads_what_they_may_see(db: Database, signed: str) -> None:
    assert signed
    assert _summaries(db, _make(db, AMA)) == ["My last day: T-31 Overhaul the main valve"]
    for someone in (MIRA, SOL):
        assert _summaries(db, _make(db, someone)) == [
            f"{AMA.display_name}, last day: T-31 Overhaul the main valve"
        ]
    for someone in (BEN, CLEO, KIT):
        assert _summaries(db, _make(db, someone)) == []


def test_the_event_stands_on_the_last_day_under_a_name_that_stays(db: Database, signed: str) -> None:
    token = _make(db, AMA)
    data = calendar.feed(db, token, now=NOW)
    [event] = _read(data).walk("VEVENT")
    record = qualify.record(db, SYSTEM, signed)
    assert event["DTSTART"].dt == record.valid_until
    assert str(event["UID"]).startswith(f"{signed}@")
    assert calendar.feed(db, token, now=NOW + 40 * DAY) == data


def test_permissions_count_at_the_moment_of_reading(db: Database, signed: str) -> None:
    assert signed
    token = _make(db, SOL)
    assert len(_summaries(db, token)) == 1
    register.change(db, SYSTEM, SOL.id, roles=[Role.KEEPER], now=NOW)
    assert _summaries(db, token) == []
    register.retire(db, SYSTEM, SOL.id, now=NOW)
    with pytest.raises(NotFound):
        calendar.feed(db, token, now=NOW)


def test_one_address_is_in_force_and_it_can_be_ended(db: Database) -> None:
    ama = bench.enter(db, AMA)
    assert calendar.address_since(db, ama) is None
    first = calendar.make_address(db, ama, now=NOW)
    second = calendar.make_address(db, ama, now=NOW + DAY)
    assert calendar.address_since(db, ama) == NOW + DAY
    for gone in (first, "", "no such address", "\udc80"):
        with pytest.raises(NotFound, match="There is no calendar 'of this address'"):
            calendar.feed(db, gone, now=NOW)
    assert _summaries(db, second) == []
    calendar.end_address(db, ama, now=NOW + DAY)
    calendar.end_address(db, ama, now=NOW + DAY)
    with pytest.raises(NotFound):
        calendar.feed(db, second, now=NOW)
    assert calendar.address_since(db, ama) is None
    with db.reading() as unit:
        told = [(e.action, json.loads(e.payload)) for e in events.since(unit) if "calendar" in e.action]
    assert [action for action, _ in told] == [
        "calendar:make_address",
        "calendar:make_address",
        "calendar:end_address",
    ]
    assert told[1][1]["ended"] == told[0][1]["address"]
    assert first not in str(told)


def test_the_host_has_no_calendar_of_its_own(db: Database) -> None:
    with pytest.raises(NotAllowed):
        calendar.make_address(db, SYSTEM, now=NOW)
