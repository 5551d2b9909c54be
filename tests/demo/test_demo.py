from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import func, select

from trainer import demo
from trainer.actions import (
    accounts,
    agreements,
    bench,
    changes,
    confirm_change,
    crew,
    mentor,
    notices,
    pace,
    people,
    practise,
    publish,
    qualified,
    rebuilding,
    replay,
    sign_off_queue,
    signed_records,
    sitting_sheets,
    upkeep,
)
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.checker.check import check_text
from trainer.demo import cast, story
from trainer.demo.company import Company
from trainer.procedure import library
from trainer.records.qualification import Standing
from trainer.settings import Settings
from trainer.store import events
from trainer.store.schema import metadata

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.actions.views import ModuleShown, MySheet
    from trainer.demo.cast import Someone

# A Wednesday, early enough that what happened today would not have happened yet.
NOW = datetime(2027, 3, 17, 5, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Database, Settings]]:
    settings = Settings(instance=tmp_path_factory.mktemp("demo"), company=demo.COMPANY)
    upkeep.upgrade(settings)
    with open_database(settings) as db:
        demo.make(db, settings, now=NOW)
        yield db, settings


@pytest.fixture
def db(made: tuple[Database, Settings]) -> Database:
    return made[0]


def _enter(db: Database, someone: Someone) -> Actor:
    return accounts.sign_in(db, someone.sign_in_name, someone.password, address="192.0.2.5", now=NOW).actor


def _sheet(db: Database, someone: Someone) -> MySheet:
    return practise.my_sheet(db, _enter(db, someone), now=NOW)


def _lines(db: Database) -> dict[str, dict[str, ModuleShown]]:
    listed = mentor.people_of(db, _enter(db, cast.RUTH), now=NOW)
    return {line.name: {module.module_id: module for module in line.modules} for line in listed}


def test_everybody_worth_seeing_can_come_in(made: tuple[Database, Settings]) -> None:
    db, settings = made
    for sign_in in demo.make(db, settings, now=NOW):
        actor = accounts.sign_in(db, sign_in.name, sign_in.password, address="192.0.2.5", now=NOW).actor
        assert sign_in.role in {role.words for role in actor.roles}
        assert sign_in.what_to_see
    assert {role for someone in cast.WORTH_SEEING for role in someone.roles} == set(Role)


def test_the_crew_stands_as_the_story_tells(db: Database) -> None:
    valve = {name: modules[story.VALVE] for name, modules in _lines(db).items() if story.VALVE in modules}
    assert {name: module.standing for name, module in valve.items()} == {
        cast.WILF.name: Standing.SIGNED,
        cast.HANNE.name: Standing.SIGNED,
        cast.BRAM.name: Standing.SIGNED,
        cast.NORA.name: Standing.ENDS_SOON,
        cast.DEV.name: Standing.LAPSED,
        cast.ETTA.name: Standing.READY,
        cast.JOSS.name: Standing.IN_PRACTICE,
        cast.COL.name: Standing.IN_PRACTICE,
        cast.LENA.name: Standing.IN_PRACTICE,
        cast.TAM.name: Standing.IN_PRACTICE,
        cast.MOLL.name: Standing.IN_PRACTICE,
    }
    assert valve[cast.MOLL.name].shown == 0
    assert valve[cast.JOSS.name].shown == valve[cast.JOSS.name].of - 1
    assert {name for name, module in valve.items() if module.overdue} == {cast.LENA.name}


def test_the_crew_sheet_has_every_standing_and_a_shortage(db: Database) -> None:
    sheet = crew.crew_sheet(db, _enter(db, cast.RUTH), cast.CREW, now=NOW)
    assert {cell.standing for row in sheet.rows for cell in row.cells} == set(Standing)
    assert len(sheet.rows) == 12
    assert {task.group for task in sheet.tasks} == {"Station", "Main valve", "Pilot"}
    assert any(signed < needed for signed, needed in sheet.signed_of_needed())
    assert any(signed >= needed for signed, needed in sheet.signed_of_needed())
    assert {change.now for change in sheet.changes} == {
        Standing.SIGNED,
        Standing.READY,
        Standing.LAPSED,
        Standing.SUSPENDED,
    }


def test_one_is_suspended_and_what_was_known_before_is_told_apart(db: Database) -> None:
    silas = _enter(db, cast.SILAS)
    task = next(q.id for q in qualified.choices(db, silas) if "leak" in q.title.lower())
    today = qualified.on_day(db, silas, task, NOW.date(), now=NOW)
    assert {line.person_name for line in today.others} == {cast.COL.name}
    assert cast.WILF.name in {line.person_name for line in today.qualified}
    (col,) = today.others
    assert col.suspension is not None
    early = qualified.on_day(db, silas, task, col.suspension.from_day, now=NOW)
    (then,) = [line for line in early.others if line.differs]
    assert (then.standing, then.known_then) == (Standing.SUSPENDED, Standing.SIGNED)


def test_one_procedure_was_revised_and_the_change_is_shown_by_one_after_the_other(db: Database) -> None:
    ruth = _enter(db, cast.RUTH)
    due = {one.person_name: one for one in changes.due(db, ruth)}
    assert {name: one.shown for name, one in due.items()} == {cast.WILF.name: True, cast.NORA.name: False}
    assert all(one.module_id == story.PILOT and not one.held_back(NOW.date()) for one in due.values())
    (line,) = confirm_change.waiting(db, ruth, now=NOW)
    assert (line.due.person_name, line.why_not) == (cast.WILF.name, "")
    assert line.sittings
    (hanne,) = notices.mine(db, _enter(db, cast.HANNE), now=NOW)
    assert hanne.to_show == "Shown, and confirmed by a supervisor."
    (nora,) = notices.mine(db, _enter(db, cast.NORA), now=NOW)
    assert due[cast.NORA.name].due.isoformat() in nora.to_show
    (sheet,) = [m for m in _sheet(db, cast.NORA).modules if m.module_id == story.PILOT]
    assert sheet.change == nora.to_show


def test_the_supervisor_has_somebody_to_sign_for(db: Database) -> None:
    queue = sign_off_queue.queue(db, _enter(db, cast.RUTH), now=NOW)
    assert {(line.person_name, line.module_id) for line in queue} == {
        (cast.ETTA.name, story.VALVE),
        (cast.LENA.name, story.ISOLATE),
    }
    assert all(line.why_not == "" for line in queue)


def test_each_page_shows_what_is_promised(db: Database) -> None:
    (joss,) = [m for m in _sheet(db, cast.JOSS).modules if m.module_id == story.VALVE]
    assert [sentence for sentence in joss.missing if "evaluation" in sentence.lower()] == []
    assert joss.open_sitting is not None
    assert joss.open_sitting.state == "under way"
    assert joss.missing[0].endswith("under way.")
    (tam,) = [m for m in _sheet(db, cast.TAM).modules if m.module_id == story.LEAKS]
    assert [line.state.split(":")[0] for line in tam.sittings] == ["not ready"]
    assert any("begin series 2" in sentence for sentence in tam.missing)
    (col,) = [m for m in _sheet(db, cast.COL).modules if m.module_id == story.VALVE]
    assert "abnormal conditions were not passed" in col.missing[-1]
    assert all(skill.attempts == 0 for m in _sheet(db, cast.MOLL).modules for skill in m.skills)
    bram = signed_records.my_record(db, _enter(db, cast.BRAM), now=NOW)
    assert any(record.ended_because.startswith("Superseded by ") for record in bram)


def test_everybody_signed_for_got_there_through_sittings_and_the_bench(db: Database) -> None:
    silas = _enter(db, cast.SILAS)
    signed = 0
    for someone in (cast.HANNE, cast.OREN, cast.WILF, cast.NORA, cast.BRAM, cast.PIERS):
        for view in signed_records.my_record(db, _enter(db, someone), now=NOW):
            record = signed_records.record(db, SYSTEM, view.number)
            signed += 1
            assert record.statement.startswith("Ready in ")
            assert record.classes
            assert all(item.sentence.startswith("Ready") for item in record.classes)
            assert all(item.attempts > item.witnessed for item in record.classes if item.series)
            number = sitting_sheets.newest_of(db, silas, view.person_id, view.module_id)
            assert number is not None
            sheet = sitting_sheets.sheet(db, silas, number, now=NOW)
            assert {result.decision for result in sheet.results} == {"pass"}
    assert signed > 12


def test_the_mentor_sees_where_it_goes_wrong(db: Database) -> None:
    hanne = _enter(db, cast.HANNE)
    (tam,) = [line for line in mentor.people_of(db, hanne, now=NOW) if line.name == cast.TAM.name]
    sheet = mentor.person(db, hanne, tam.person_id, now=NOW)
    assert sheet.went_wrong[0].times > 1
    assert any(item.critical for item in sheet.went_wrong)
    assert sum(not attempt.right for attempt in sheet.attempts) >= 8
    names = {line.name for line in mentor.people_of(db, hanne, now=NOW)}
    assert cast.WREN.name not in names


def test_the_keeper_finds_how_fast_is_forgotten(db: Database) -> None:
    tasks = {task.module_id: task for task in pace.sheet(db, _enter(db, cast.BEA)).tasks}
    valve, isolate = tasks[story.VALVE], tasks[story.ISOLATE]
    assert (valve.refreshers, valve.right) == (7, 4)
    assert (isolate.refreshers, isolate.right) == (3, 2)
    of_ruth = {task.module_id: task for task in pace.sheet(db, _enter(db, cast.RUTH)).tasks}[story.VALVE]
    assert {person.name for person in of_ruth.people} == {cast.WILF.name, cast.NORA.name}


def test_every_shipped_procedure_is_in_force(db: Database) -> None:
    in_force = {module.module_id for module in publish.current_modules(db, SYSTEM)}
    shipped = {library.load(name).id for name in library.shipped_procedures()}
    assert shipped <= in_force
    assert in_force - shipped == {story.ISOLATE, story.LEAKS, story.PILOT}


def test_the_log_runs_forward_and_ends_before_now(db: Database) -> None:
    with db.reading() as unit:
        logged = [event for event in events.since(unit) if event.at < NOW]
    times = [event.at for event in logged]
    assert times == sorted(times)
    assert len(logged) > 500
    assert times[-1] > NOW - timedelta(days=4)


def test_nobody_evaluated_or_signed_for_themselves_and_two_people_did_it(db: Database) -> None:
    for someone in cast.EVERYBODY:
        if Role.TECHNICIAN not in someone.roles:
            continue
        for view in signed_records.my_record(db, _enter(db, someone), now=NOW):
            record = signed_records.record(db, SYSTEM, view.number)
            people_in_it = {record.person_id, record.evaluator.person, record.supervisor.person}
            assert len(people_in_it) == 3
            assert record.company == demo.COMPANY
            assert record.abnormal_passed


def test_making_it_again_changes_nothing(made: tuple[Database, Settings]) -> None:
    db, settings = made
    before = _rows(db)
    demo.make(db, settings, now=NOW + timedelta(days=40))
    assert _rows(db) == before


def _rows(db: Database) -> dict[str, int]:
    with db.reading() as unit:
        return {
            name: unit.execute(select(func.count()).select_from(table)).scalar_one()
            for name, table in metadata.tables.items()
        }


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[tuple[Database, Settings]]:
    settings = Settings(instance=tmp_path)
    upkeep.upgrade(settings)
    with open_database(settings) as db:
        yield db, settings


def _add(db: Database, name: str) -> None:
    people.add(db, SYSTEM, name, name, [Role.KEEPER], "", password="twelve or more", now=NOW)


def test_a_register_with_people_of_its_own_is_left_alone(empty: tuple[Database, Settings]) -> None:
    db, settings = empty
    _add(db, "somebody")
    with pytest.raises(demo.NotEmpty, match="another folder"):
        demo.make(db, settings, now=NOW)
    assert len(people.list_people(db, SYSTEM)) == 1


def test_half_a_demonstration_is_noticed(empty: tuple[Database, Settings]) -> None:
    db, settings = empty
    _add(db, cast.FOUNDERS[0].sign_in_name)
    with pytest.raises(demo.HalfMade, match="Remove it"):
        demo.make(db, settings, now=NOW)


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 11, 23, 0, 5, tzinfo=UTC),  # a Monday just begun
        datetime(2026, 11, 29, 23, 59, tzinfo=UTC),  # a Sunday at its end
        datetime(2028, 2, 29, 12, 0, tzinfo=UTC),
        datetime(2027, 1, 1, 8, 0, tzinfo=UTC),
        datetime(2027, 8, 31, 8, 0, tzinfo=UTC),
    ],
)
def test_the_story_fits_any_day(now: datetime) -> None:
    company = Company(None, {})  # type: ignore[arg-type]  # nothing is played, only planned
    told = story.told(company, now, {"a.yaml": ""})
    times = [deed.at for deed in told.deeds]
    assert max(times) < now
    assert all(at.weekday() < 5 for at in times)
    assert story.Story(company, now).workday(1, 15) >= max(times).replace(hour=14)


@pytest.mark.parametrize("path", sorted(demo._PROCEDURES.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_procedures_of_the_demonstration_are_sound_and_labelled(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    module, findings = check_text(text, str(path))
    assert findings == ()
    assert module.id == path.stem
    assert "Everything in this file is invented" in text.splitlines()[0]
    assert "invented for" in module.summary


def test_the_company_and_its_people_are_labelled_or_plainly_invented() -> None:
    assert "(invented)" in demo.COMPANY
    assert len({someone.name for someone in cast.EVERYBODY}) == len(cast.EVERYBODY)
    for someone in cast.EVERYBODY:
        assert re.fullmatch(r"[A-Z][a-z]+, [A-Z][a-z]+", someone.name)
        assert "no secrets" in someone.password


def test_the_bench_has_something_of_everything(db: Database) -> None:
    listed = bench.my_bench(db, _enter(db, cast.HANNE))
    assert {(line.person_name, line.on_paper) for line in listed.open} == {
        (cast.TAM.name, False),
        (cast.LENA.name, True),
    }
    assert {line.person_name for line in listed.closed} >= {cast.COL.name, cast.JOSS.name}
    joss = next(line for line in listed.closed if line.person_name == cast.JOSS.name)
    seen = bench.observation(db, _enter(db, cast.RUTH), joss.observation_id)
    assert seen.order is not None
    assert not seen.order.legal
    assert not seen.order.critical
    (pair,) = agreements.pairs(db, _enter(db, cast.RUTH))
    assert (pair.jobs, pair.steps - pair.alike) == (1, 3)
    assert pair.marks.kappa is not None


def test_every_row_of_the_company_follows_from_the_log_alone(db: Database) -> None:
    held = rebuilding.compare(db, SYSTEM)
    assert [item for one in held for item in one.differences] == []
    assert sum(one.rows for one in held) > 2000


def test_every_signed_decision_of_the_company_follows_from_the_log_alone(db: Database) -> None:
    found = replay.decisions(db, SYSTEM)
    assert found.decisions > 10
    assert found.troubles == ()
