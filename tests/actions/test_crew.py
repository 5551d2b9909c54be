from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests import databases
from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CLEO, CREW, INES, KIT, MIRA, OTHER_CREW, SOL
from trainer.actions import covered_tasks, crew, publish
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.records.qualification import CrewCell, CrewChange, Standing

if TYPE_CHECKING:
    from trainer.actions.opening import Database
    from trainer.records.qualification import CrewSheet

END = date(2030, 3, 17)


def _sheet(db: Database, now: datetime = NOW) -> CrewSheet:
    return crew.crew_sheet(db, bench.enter(db, SOL, now), CREW, now=now)


def _cells(sheet: CrewSheet) -> dict[str, CrewCell]:
    return {row.person_id: row.cells[0] for row in sheet.rows}


def test_the_sheet_has_a_row_for_each_of_the_crew_and_a_column_for_each_task_served(db: Database) -> None:
    unserved = replace(TASK, id="T-77", title="Something without a module")
    covered_tasks.register(db, SYSTEM, [unserved], now=NOW)
    sheet = _sheet(db)
    assert (sheet.company, sheet.day, sheet.issued_by) == (databases.COMPANY, NOW.date(), SOL.display_name)
    assert sheet.title == f"Crew sheet, {CREW}"
    assert [task.id for task in sheet.tasks] == [TASK.id]
    assert [row.person_id for row in sheet.rows] == [AMA.id, BEN.id, MIRA.id]
    assert _cells(sheet) == dict.fromkeys((AMA.id, BEN.id, MIRA.id), CrewCell(Standing.NOT_ASSIGNED))
    assert sheet.signed_of_needed() == ((0, 2),)


def test_tasks_of_a_group_stand_together(db: Database) -> None:
    for number, group in (("T-40", "Main valve"), ("T-35", "Pilot"), ("T-32", "Pilot"), ("T-20", "Station")):
        covered_tasks.register(db, SYSTEM, [replace(TASK, id=number, title=number, group=group)], now=NOW)
        text = SMALL_VALVE.replace("module: small-valve", f"module: valve-{number.lower()}")
        publish.publish(
            db, SYSTEM, text.replace("covered_task: T-31", f"covered_task: {number}"), file="f", now=NOW
        )
    assert [task.id for task in _sheet(db).tasks] == ["T-20", "T-31", "T-40", "T-32", "T-35"]


def test_the_standing_of_each_stands_in_the_cells(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    bench.make_ready(db, BEN)
    cells = _cells(_sheet(db))
    assert cells[AMA.id] == CrewCell(Standing.SIGNED, END)
    assert cells[BEN.id] == CrewCell(Standing.READY)
    sheet = _sheet(db)
    assert sheet.signed_of_needed() == ((1, 2),)
    assert sheet.rows[0].next_end == END


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (END - timedelta(days=60), Standing.ENDS_SOON),
        (END, Standing.ENDS_SOON),
        (END + timedelta(days=1), Standing.LAPSED),
    ],
)
def test_an_end_comes_into_sight_and_passes(db: Database, day: date, expected: Standing) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    then = datetime(day.year, day.month, day.day, 7, tzinfo=UTC)
    assert _cells(_sheet(db, then))[AMA.id] == CrewCell(expected, END)


def test_changes_of_the_last_month_are_told_in_their_order(db: Database) -> None:
    start = NOW - timedelta(days=20)
    bench.make_ready(db, AMA, start)
    bench.sign_by(db, bench.enter(db, SOL, start), AMA, start)
    bench.give_module(db, BEN, start)
    bench.watch(db, BEN, start)
    bench.evaluate_by(db, bench.enter(db, MIRA, start), BEN, start)
    bench.pass_every_class(db, BEN, NOW - timedelta(days=3))
    bench.practise_once(db, bench.enter(db, BEN), now=NOW)
    assert _sheet(db).changes == (
        CrewChange(start.date(), AMA.display_name, TASK.id, Standing.READY, Standing.SIGNED),
        # Ready since the last class was decided, not since the last time he practised.
        CrewChange(date(2027, 3, 14), BEN.display_name, TASK.id, Standing.IN_PRACTICE, Standing.READY),
    )
    much_later = NOW + timedelta(days=40)
    assert _sheet(db, much_later).changes == ()


def test_a_lapse_is_a_change_on_the_day_after_the_end(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    after = datetime(2030, 3, 20, 7, tzinfo=UTC)
    (change,) = _sheet(db, after).changes
    assert change == CrewChange(
        date(2030, 3, 18), AMA.display_name, TASK.id, Standing.ENDS_SOON, Standing.LAPSED
    )


def test_a_renewal_is_no_lapse(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    later = datetime(2030, 3, 10, 7, tzinfo=UTC)
    bench.show_anew(db, AMA, later)
    bench.sign_by(db, bench.enter(db, SOL, later), AMA, later)
    (change,) = _sheet(db, datetime(2030, 3, 20, 7, tzinfo=UTC)).changes
    assert (change.on, change.was, change.now) == (date(2030, 3, 10), Standing.ENDS_SOON, Standing.SIGNED)


def test_lapses_come_with_the_earliest_first(db: Database) -> None:
    for someone, then in ((AMA, NOW), (BEN, NOW + timedelta(days=30))):
        bench.make_ready(db, someone, then)
        bench.sign_by(db, bench.enter(db, SOL, then), someone, then)
    now = datetime(2030, 3, 20, 7, tzinfo=UTC)
    sol = bench.enter(db, SOL, now)
    lines = crew.lapses(db, sol, now=now)
    assert [(line.person_id, line.days) for line in lines] == [(AMA.id, -3), (BEN.id, 27)]
    assert [line.person_id for line in crew.lapses(db, sol, days=10, now=now)] == [AMA.id]
    assert crew.lapses(db, sol, crew=OTHER_CREW, now=now) == ()


def test_crews_are_listed_with_how_many_may_work_alone(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    lines = crew.crews(db, bench.enter(db, INES), now=NOW)
    assert [(line.crew, line.people, line.qualified) for line in lines] == [
        (CREW, 3, 1),
        (OTHER_CREW, 1, 0),
    ]
    assert [line.crew for line in crew.crews(db, bench.enter(db, MIRA), now=NOW)] == [CREW]


def test_a_crew_that_is_not_there_or_not_ones_own_is_not_found(db: Database) -> None:
    mira = bench.enter(db, MIRA)
    for name in (OTHER_CREW, "No such crew", ""):
        with pytest.raises(NotFound):
            crew.crew_sheet(db, mira, name, now=NOW)
    for someone in (AMA, KIT, CLEO):
        with pytest.raises(NotAllowed):
            crew.crew_sheet(db, bench.enter(db, someone), CREW, now=NOW)


def test_who_has_left_stands_on_no_sheet(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    register.retire(db, SYSTEM, AMA.id, now=NOW)
    assert [row.person_id for row in _sheet(db).rows] == [BEN.id, MIRA.id]
    assert _sheet(db).changes == ()
