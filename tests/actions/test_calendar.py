"""The calendar of what lapses: under a secret address, with what its owner may see at the moment of reading."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import icalendar
import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CLEO, KIT, MIRA, SOL
from trainer.actions import calendar, changes, publish, signed_records
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.store import events

if TYPE_CHECKING:
    from datetime import date, datetime

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
    record = signed_records.record(db, SYSTEM, signed)
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


def _ask(db: Database, torque: str, now: datetime) -> date:
    """Publish a change that Ama has to show; return by which day."""
    text = SMALL_VALVE.replace("95 N·m", torque)
    publish.publish(db, bench.enter(db, KIT, now), text, file="small-valve.yaml", now=now)
    with db.reading() as unit:
        [due] = changes.everybody(unit)
    return due.due


def _of_change(db: Database, token: str, now: datetime) -> Any:
    found = _read(calendar.feed(db, token, now=now)).walk("VEVENT")
    return next((event for event in found if str(event["UID"]).startswith("change-")), None)


def test_the_day_by_which_a_change_is_to_be_shown_is_told_to_who_may_see_it(
    db: Database, signed: str
) -> None:
    assert signed
    then = NOW + 5 * DAY
    day = _ask(db, "110 N·m", then)
    for someone, whose in (
        (AMA, "My last day"),
        (MIRA, f"{AMA.display_name}, last day"),
        (SOL, f"{AMA.display_name}, last day"),
    ):
        event = _of_change(db, _make(db, someone), then)
        assert str(event["SUMMARY"]) == f"{whose} to show a change: T-31 Overhaul a small invented valve"
        assert (event["DTSTART"].dt, event["DTEND"].dt) == (day, day + DAY)
        assert (event["DTSTAMP"].dt, int(event["SEQUENCE"])) == (then, 0)
        assert event.errors == []
    for someone in (BEN, CLEO, KIT):
        assert _summaries(db, _make(db, someone)) == []
    data = calendar.feed(db, _make(db, AMA), now=then)
    assert data.index(b"change-") < data.index(signed.encode())


def test_it_is_one_event_whatever_is_added_to_it_and_leaves_when_it_is_shown(
    db: Database, signed: str
) -> None:
    assert signed
    token, then, later = _make(db, SOL), NOW + 5 * DAY, NOW + 6 * DAY
    day = _ask(db, "110 N·m", then)
    first = _of_change(db, token, then)
    assert _ask(db, "120 N·m", later) == day
    again = _of_change(db, token, later)
    assert (str(again["UID"]), again["DTSTART"].dt) == (str(first["UID"]), day)
    assert (again["DTSTAMP"].dt, int(again["SEQUENCE"])) == (later, 1)
    assert calendar.feed(db, token, now=later) == calendar.feed(db, token, now=later + 9 * DAY)
    # Passed or failed, the day says nothing any more.
    bench.sit_for_change(db, AMA, later + DAY)
    assert _of_change(db, token, later + DAY) is None
    assert len(_summaries(db, token)) == 1


def test_one_that_was_found_not_shown_has_no_day_any_more(db: Database, signed: str) -> None:
    assert signed
    token, then = _make(db, MIRA), NOW + 5 * DAY
    _ask(db, "110 N·m", then)
    bench.sit_for_change(db, AMA, then + DAY, wrong=True)
    assert _of_change(db, token, then + DAY) is None


def test_the_host_has_no_calendar_of_its_own(db: Database) -> None:
    with pytest.raises(NotAllowed):
        calendar.make_address(db, SYSTEM, now=NOW)
