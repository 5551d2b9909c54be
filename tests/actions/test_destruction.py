"""The end of keeping: what two people decide after five years is gone, all else stays, and the log still proves itself."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select, update

from tests import databases, pictures
from tests.actions import bench
from tests.people import AMA, BEN, INES, KIT, MIRA, SOL, Someone
from trainer.actions import (
    activity,
    assign,
    destruction,
    ledger,
    life,
    observe,
    person_data,
    photographs,
    printing,
    qualified,
    rebuilding,
    replay,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.actions.rebuild import carried
from trainer.records import canonical, key_file, packet, packet_file
from trainer.records.keeping import Word
from trainer.records.observation import StepMark, StepSeen
from trainer.store import events, keeping
from trainer.store.observations import Entry
from trainer.store.schema import metadata

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterator

    from trainer.actions.opening import Database

TASK = bench.TASK.id
STOPPED = bench.NOW + timedelta(days=30)
FIVE_YEARS_ON = STOPPED.replace(year=STOPPED.year + 5)
NOTE = "The spring of the relief valve stood askew and he saw it."
ODO = Someone("P-0008", "odo", "Odo Marsham", (Role.SUPERVISOR,), "")
# Every table with something of a person at a task.
OF_A_TASK = (
    "qualifications",
    "evaluations",
    "evaluation_observations",
    "observations",
    "observation_entries",
    "observation_photographs",
    "photographs",
    "sittings",
    "sitting_questions",
    "sitting_answers",
    "sitting_ends",
    "attempts",
    "skill_summaries",
    "life_events",
    "assignments",
)


@pytest.fixture(scope="session")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("destruction") / "keys"
    key_file.make(folder, "invented.example/log")
    return folder


def _story(db: Database, keys: Path) -> None:
    """Ben is signed off, photographed at the bench, practises, and stops doing the task; a second supervisor is here.

    Ama is signed off too, and goes on.
    """
    db.keys = keys
    bench.found(db)
    name, shown, roles = ODO.sign_in_name, ODO.display_name, ODO.roles
    register.add(db, SYSTEM, name, shown, roles, "", password=ODO.password, now=bench.NOW)
    bench.give_module(db, BEN)
    bench.practise_once(db, bench.enter(db, BEN))
    seen = _photographed(db)
    bench.pass_every_class(db, BEN)
    bench.watch(db, BEN)
    bench.evaluate_by(db, bench.enter(db, MIRA), BEN, observation=seen)
    bench.sign_by(db, bench.enter(db, SOL), BEN)
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    _stop(db, BEN, STOPPED)


@pytest.fixture(scope="session")
def stopped(tmp_path_factory: pytest.TempPathFactory, keys: Path) -> Iterator[sqlite3.Connection]:
    folder = tmp_path_factory.mktemp("stopped")
    with databases.prepared_sqlite(folder, lambda db: _story(db, keys)) as memory:
        yield memory


@pytest.fixture(scope="session")
def stopped_on_postgresql(server: databases.Server, keys: Path) -> Iterator[str]:
    with databases.prepared_postgresql(server, lambda db: _story(db, keys)) as name:
        yield name


@pytest.fixture(params=databases.BOTH)
def kept(request: pytest.FixtureRequest, tmp_path: Path, keys: Path) -> Iterator[Database]:
    """The company after the story above."""
    with databases.either(request, tmp_path, "stopped", "stopped_on_postgresql") as made:
        made.keys = keys
        yield made


def _photographed(db: Database) -> int:
    now, mira = bench.NOW, bench.enter(db, MIRA)
    number = observe.begin(db, mira, BEN.id, bench.MODULE, "DN 80", ticket="seen", now=now)
    seen = StepSeen("vent", StepMark.UNAIDED, NOTE, now)
    observe.mark(db, mira, number, [Entry("m", seen)], now=now)
    picture = pictures.from_camera(40, 30)
    photographs.keep(db, mira, number, picture, step="vent", ticket="p", at=now, now=now)
    observe.close(db, mira, number, order=(), result=NOTE, password=MIRA.password, now=now)
    return number


def _stop(db: Database, someone: Someone, now: datetime) -> None:
    sol = bench.enter(db, SOL, now)
    life.stop(db, sol, someone.id, TASK, reason="Works in the office now.", password=SOL.password, now=now)


def _say(
    db: Database,
    who: Someone,
    act: Callable[..., str],
    now: datetime,
    whose: Someone = BEN,
    reason: str = "Its time is over.",
) -> str:
    return act(db, bench.enter(db, who, now), whose.id, TASK, reason=reason, password=who.password, now=now)


def _destroy(db: Database, now: datetime = FIVE_YEARS_ON) -> None:
    _say(db, SOL, destruction.propose, now)
    _say(db, ODO, destruction.confirm, now)


def _rows(db: Database) -> dict[str, int]:
    """Return how many rows each table has."""
    with db.reading() as unit:
        return {
            name: unit.execute(select(func.count()).select_from(metadata.tables[name])).scalar_one()
            for name in OF_A_TASK
        }


def _of_ben(db: Database, name: str = "qualifications") -> int:
    table = metadata.tables[name]
    with db.reading() as unit:
        number: int = unit.execute(
            select(func.count()).select_from(table).where(table.c.person_id == BEN.id)
        ).scalar_one()
        return number


def test_two_people_destroy_what_was_kept_long_enough(kept: Database) -> None:
    before = _rows(kept)
    assert all(before.values())
    due = destruction.listing(kept, bench.enter(kept, KIT, FIVE_YEARS_ON), now=FIVE_YEARS_ON)
    assert [(line.person_id, line.task_id, line.is_due, line.earliest) for line in due] == [
        (BEN.id, TASK, True, FIVE_YEARS_ON.date())
    ]
    _destroy(kept)
    whose = [name for name in OF_A_TASK if "person_id" in metadata.tables[name].c]
    assert {name: _of_ben(kept, name) for name in whose} == dict.fromkeys(whose, 0)
    after = _rows(kept)
    # Ama was not photographed, had no word said after her signature and did not practise.
    only_his = {
        "evaluation_observations",
        "observation_photographs",
        "photographs",
        "life_events",
        "attempts",
        "skill_summaries",
    }
    assert {name for name, number in after.items() if not number} == only_his
    assert all(after[name] < before[name] for name in OF_A_TASK)
    assert destruction.listing(kept, bench.enter(kept, KIT, FIVE_YEARS_ON), now=FIVE_YEARS_ON) == ()


def test_the_log_proves_itself_without_what_was_destroyed(kept: Database) -> None:
    ines = bench.enter(kept, INES)
    before = printing.print_sheet(
        kept, ines, "inspector_packet", f"{BEN.id} 2027-01-01 2027-12-31", paper="a4", now=STOPPED
    )
    old = ledger.checkpoint(kept, SYSTEM, now=STOPPED)
    _destroy(kept)
    found = ledger.check(kept, SYSTEM)
    assert found.troubles == ()
    assert found.destroyed
    with kept.reading() as unit:
        confirmation = list(events.since(unit))[-1]
        gone = {event.number: event for event in events.since(unit) if event.is_destroyed}
    told = canonical.read(confirmation.payload)
    assert confirmation.action == "keeping:confirm"
    assert {one["number"] for one in told["entries"]} == set(gone)
    assert len(gone) == found.destroyed
    assert {"qualification:sign", "sitting:answer", "observation:close", "evaluation:record"} <= {
        event.action for event in gone.values()
    }
    # What was handed out before still verifies, and the log under the old checkpoint is the beginning of today's.
    trusted = key_file.verifiers(kept.keys)
    assert packet.faults(packet_file.read(before.data), trusted) == ()
    new = ledger.checkpoint(kept, SYSTEM, now=FIVE_YEARS_ON)
    assert new != old
    proof = ledger.proof(kept, SYSTEM, confirmation.number, now=FIVE_YEARS_ON)
    assert proof.faults(trusted[0]) == ()
    with pytest.raises(ledger.EntryDestroyed, match="its hash still stands"):
        ledger.proof(kept, SYSTEM, min(gone), now=FIVE_YEARS_ON)


def test_everything_else_says_so_and_goes_on(kept: Database) -> None:
    _destroy(kept)
    again = replay.decisions(kept, SYSTEM)
    assert (again.decisions, again.troubles, again.destroyed) == (1, (), 1)
    sol = bench.enter(kept, SOL, FIVE_YEARS_ON)
    sheet = qualified.on_day(kept, sol, TASK, bench.NOW.date(), now=FIVE_YEARS_ON)
    assert [line.person_id for line in sheet.qualified] == [AMA.id]
    assert [(one.person_id, one.since) for one in sheet.no_longer_kept] == [(BEN.id, FIVE_YEARS_ON.date())]
    assert sheet.as_data()["no_longer_kept"][0]["person"] == BEN.id
    with kept.reading() as unit:
        assert {done.person for _, made in activity.since(unit, kept.home) for done in made} == {AMA.id}
    mine = person_data.everything(kept, bench.enter(kept, BEN, FIVE_YEARS_ON), BEN.id, now=FIVE_YEARS_ON)
    log = next(table for table in mine.tables if table.name == "log")
    assert [row for row in log.rows if row["destroyed"]]
    assert all(row["payload"] == {} for row in log.rows if row["destroyed"])
    ines = bench.enter(kept, INES, FIVE_YEARS_ON)
    subject = f"{BEN.id} 2027-01-01 2032-12-31"
    printed = printing.print_sheet(kept, ines, "inspector_packet", subject, paper="a4", now=FIVE_YEARS_ON)
    files = packet_file.read(printed.data)
    assert packet.faults(files, key_file.verifiers(kept.keys)) == ()
    assert "kept no longer since 2032-04-16" in files["index.html"].decode()
    assert not [path for path in files if path.startswith("records/")]
    with pytest.raises(NotFound):
        life.sheet(kept, sol, BEN.id, TASK, now=FIVE_YEARS_ON)
    with pytest.raises(destruction.KeepingGoesOn, match="Nothing is kept of this person"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON)


@pytest.mark.parametrize("with_carried_rows", [False, True])
def test_the_rows_still_follow_from_the_log_alone(kept: Database, *, with_carried_rows: bool) -> None:
    if with_carried_rows:
        with kept.writing() as unit:
            carried.write(unit, now=STOPPED)
    _destroy(kept)
    held = rebuilding.compare(kept, SYSTEM)
    assert [item for one in held for item in one.differences] == []
    assert ledger.check(kept, SYSTEM).troubles == ()
    # Rows that were once carried into the log whole are carried anew, without what was destroyed.
    with kept.reading() as unit:
        told = [event.payload for event in events.since(unit) if event.action == carried.CARRIED]
    assert bool([payload for payload in told if payload]) is with_carried_rows
    assert not [payload for payload in told if NOTE in payload]
    found = destruction.sheet(kept, bench.enter(kept, KIT, FIVE_YEARS_ON), BEN.id, TASK, now=FIVE_YEARS_ON)
    assert not found.counted.any
    # Who comes back begins anew, and a number is never given twice, also not that of a record that is gone.
    later = FIVE_YEARS_ON + timedelta(days=1)
    bench.make_ready(kept, BEN, later)
    number = bench.sign_by(kept, bench.enter(kept, SOL, later), BEN, later).number
    assert number not in canonical.read(_confirmation(kept))["records"]
    assert [item for one in rebuilding.compare(kept, SYSTEM) for item in one.differences] == []
    with pytest.raises(destruction.KeepingGoesOn, match="A qualification runs"):
        _say(kept, SOL, destruction.propose, later)


def _confirmation(db: Database) -> str:
    with db.reading() as unit:
        return next(event.payload for event in events.since(unit) if event.action == "keeping:confirm")


@pytest.mark.parametrize("kept", ["sqlite"], indirect=True)
def test_no_byte_of_it_stays_in_the_files_of_the_database(kept: Database) -> None:
    path = kept.url.database or ""
    ends = ("", "-wal")

    def found() -> bool:
        there = [Path(path + end) for end in ends]
        return any(NOTE.encode() in file.read_bytes() for file in there if file.exists())

    assert found()
    _destroy(kept)
    assert not found()


def test_a_running_qualification_an_early_day_a_hold_and_oneself_are_refused(kept: Database) -> None:
    with pytest.raises(destruction.KeepingGoesOn, match="A qualification runs until"):
        _say(kept, SOL, destruction.propose, bench.NOW, AMA)
    with pytest.raises(destruction.KeepingGoesOn, match="still does the task"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON, AMA)
    with pytest.raises(destruction.KeepingGoesOn, match="kept until 2032-04-16 at least"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON - timedelta(days=1))
    with pytest.raises(destruction.KeepingGoesOn, match="Nothing is proposed"):
        _say(kept, ODO, destruction.confirm, FIVE_YEARS_ON)
    with pytest.raises(destruction.KeepingGoesOn, match="Write down the reason"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON, reason="  ")
    _say(kept, SOL, destruction.propose, FIVE_YEARS_ON)
    with pytest.raises(NotAllowed, match="house rule: two people"):
        _say(kept, SOL, destruction.confirm, FIVE_YEARS_ON)
    with pytest.raises(destruction.KeepingGoesOn, match="proposed already"):
        _say(kept, ODO, destruction.propose, FIVE_YEARS_ON)
    _say(kept, KIT, destruction.hold, FIVE_YEARS_ON, reason="The union asked for it.")
    for act in (destruction.propose, destruction.confirm):
        with pytest.raises(destruction.KeepingGoesOn, match=r"held: The union|Nothing is proposed"):
            _say(kept, ODO, act, FIVE_YEARS_ON)
    with pytest.raises(destruction.KeepingGoesOn, match="held already"):
        _say(kept, ODO, destruction.hold, FIVE_YEARS_ON)
    _say(kept, ODO, destruction.lift, FIVE_YEARS_ON, reason="Settled.")
    with pytest.raises(destruction.KeepingGoesOn, match="Nothing is proposed"):
        _say(kept, KIT, destruction.confirm, FIVE_YEARS_ON)
    _say(kept, SOL, destruction.propose, FIVE_YEARS_ON)
    _say(kept, KIT, destruction.confirm, FIVE_YEARS_ON)
    with kept.reading() as unit:
        words = [event.act for event in keeping.of_pair(unit, BEN.id, TASK)]
        said = [event.action for event in events.since(unit) if event.action.startswith("keeping:")]
    assert words == [Word.PROPOSED, Word.HELD, Word.LIFTED, Word.PROPOSED, Word.CONFIRMED]
    assert said == [f"keeping:{verb}" for verb in ("propose", "hold", "lift", "propose", "confirm")]


def test_nobody_decides_about_their_own_records(kept: Database) -> None:
    bench.qualify_supervisor(kept)
    odo = bench.enter(kept, ODO, STOPPED)
    life.stop(kept, odo, SOL.id, TASK, reason="Office.", password=ODO.password, now=STOPPED)
    with pytest.raises(NotAllowed, match="about their own records"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON, SOL)
    _say(kept, ODO, destruction.propose, FIVE_YEARS_ON, SOL)
    with pytest.raises(NotAllowed, match="about their own records"):
        _say(kept, SOL, destruction.confirm, FIVE_YEARS_ON, SOL)
    _say(kept, SOL, destruction.hold, FIVE_YEARS_ON, SOL)


@pytest.mark.parametrize("someone", [AMA, MIRA, INES])
def test_who_may_not_decide(kept: Database, someone: Someone) -> None:
    for act in (destruction.propose, destruction.confirm, destruction.hold, destruction.lift):
        with pytest.raises(NotAllowed):
            _say(kept, someone, act, FIVE_YEARS_ON)
    with pytest.raises(NotAllowed):
        _say(kept, KIT, destruction.propose, FIVE_YEARS_ON)


def test_who_takes_the_task_up_again_is_kept_on(kept: Database) -> None:
    again = STOPPED + timedelta(days=400)
    bench.give_module(kept, BEN, again)
    with pytest.raises(destruction.KeepingGoesOn, match="still does the task"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON)
    bench.make_ready(kept, BEN, again)
    bench.sign_by(kept, bench.enter(kept, SOL, again), BEN, again)
    stopped = again + timedelta(days=10)
    _stop(kept, BEN, stopped)
    with pytest.raises(destruction.KeepingGoesOn, match="kept until 2033-05-30 at least"):
        _say(kept, SOL, destruction.propose, FIVE_YEARS_ON)
    _destroy(kept, datetime(2033, 5, 30, 12, tzinfo=UTC))
    assert ledger.check(kept, SYSTEM).troubles == ()


def test_whoever_leaves_is_kept_five_years_from_then(kept: Database) -> None:
    left = datetime(2028, 2, 29, 12, tzinfo=UTC)
    register.retire(kept, bench.enter(kept, KIT, left), AMA.id, now=left)
    with pytest.raises(destruction.KeepingGoesOn, match="kept until 2033-03-01 at least"):
        _say(kept, SOL, destruction.propose, datetime(2033, 2, 28, 23, tzinfo=UTC), AMA)
    _say(kept, SOL, destruction.propose, datetime(2033, 3, 1, tzinfo=UTC), AMA)


# Nothing is destroyed early, whatever people do and in whatever order: the conditions are worked out here once more.
@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("kept", ["sqlite"], indirect=True)
def test_no_sequence_of_actions_destroys_anything_early(kept: Database, seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311  # nothing here is secret
    now, done_on, proposed_by, held = STOPPED, STOPPED.date(), "", False
    for _ in range(40):
        now += timedelta(days=chance.choice((0, 1, 30, 200, 400)))
        who, deed = (
            chance.choice((SOL, ODO, KIT)),
            chance.choice(("propose", "confirm", "confirm", "hold", "lift", "up", "off")),
        )
        before = _of_ben(kept)
        try:
            if deed == "up":
                bench.give_module(kept, BEN, now)
                done_on = date.max
            elif deed == "off":
                _take_off(kept, now)
                done_on = now.date() if done_on == date.max else done_on
            else:
                _say(kept, who, getattr(destruction, deed), now)
        except (destruction.KeepingGoesOn, NotAllowed, NotFound):
            assert _of_ben(kept) == before
            continue
        reached = done_on != date.max and now.date() >= _five_years_after(done_on)
        if deed == "confirm":
            assert reached
            assert proposed_by not in ("", who.id)
            assert not held
            assert _of_ben(kept) == 0
            break
        assert _of_ben(kept) == before
        if deed == "propose":
            assert reached
            assert not held
            proposed_by = who.id
        elif deed in ("hold", "lift"):
            held, proposed_by = deed == "hold", ""
    assert ledger.check(kept, SYSTEM).troubles == ()


def _take_off(db: Database, now: datetime) -> None:
    assign.withdraw(db, bench.enter(db, SOL, now), BEN.id, bench.MODULE, now=now)


def _five_years_after(day: date) -> date:
    try:
        return day.replace(year=day.year + 5)
    except ValueError:
        return date(day.year + 5, 3, 1)


# As in tests/actions/test_ledger.py: SQLite keeps what is written as it is, so that each bit can be tried.
@pytest.mark.parametrize("kept", ["sqlite"], indirect=True)
def test_any_bit_flipped_around_a_destroyed_entry_is_found(kept: Database) -> None:
    _destroy(kept)
    with kept.reading() as unit:
        gone = [event.number for event in events.since(unit) if event.is_destroyed]
        confirmation = list(events.since(unit))[-1].number
    databases.unguarded(kept, "events", "ledger")
    draw = random.Random(9)  # noqa: S311  # which bits are tried
    columns = [("events", "at"), ("events", "action"), ("events", "payload"), ("ledger", "hashes")]
    for _ in range(150):
        table, column = draw.choice(columns)
        number = confirmation if column == "payload" else draw.choice(gone)
        with databases.flipped(kept, draw, table, column, f"number = {number}") as (changed, bit):
            if not changed:
                continue
            named = {trouble.number for trouble in ledger.check(kept, SYSTEM).troubles}
            assert number in named or (column == "hashes" and named), (table, column, number, bit)
    assert ledger.check(kept, SYSTEM).troubles == ()


def test_what_stays_of_an_entry_is_held_to_what_was_said_of_it(kept: Database) -> None:
    _destroy(kept)
    with kept.reading() as unit:
        gone = [event for event in events.since(unit) if event.is_destroyed]
        whole = next(event for event in events.since(unit) if event.action == "people:add")
    databases.unguarded(kept, "events", "ledger")

    def troubles(number: int, **values: object) -> list[str]:
        table = metadata.tables["events"]
        with kept.writing() as unit:
            was = unit.execute(select(table).where(table.c.number == number)).one()
            unit.execute(update(table).where(table.c.number == number).values(values))
        found = [trouble.text for trouble in ledger.check(kept, SYSTEM).troubles]
        with kept.writing() as unit:
            before = {name: was._mapping[name] for name in values}
            unit.execute(update(table).where(table.c.number == number).values(before))
        return found

    first = gone[0].number
    last = ledger.check(kept, SYSTEM).size
    said = f"is not what entry {last} says was left of it."
    assert troubles(first, person_id=KIT.id) == [f"Entry {first} {said}"]
    assert troubles(first, at=FIVE_YEARS_ON) == [f"Entry {first} {said}"]
    back = troubles(first, payload='{"put":"back"}')
    assert f"Entry {first} is not what it was when it was written." in back
    assert f"Entry {first} still has the content that entry {last} says was destroyed." in back
    # A payload that only went missing is no decision of anybody.
    assert troubles(whole.number, payload="") == [
        f"Entry {whole.number} has lost its content, and no later entry says that it was destroyed."
    ]
    # Nor is it one when the decision itself is gone.
    assert len(troubles(last, payload="")) == len(gone) + 1
    assert ledger.check(kept, SYSTEM).troubles == ()
