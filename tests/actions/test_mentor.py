from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, BEN, CLEO, CREW, INES, KIT, MIRA, SOL
from trainer.actions import assign, mentor
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from trainer.actions.opening import Database
    from trainer.actions.views import PersonLine

SKILL = "order:teardown"


def _lines(db: Database, someone: object = MIRA) -> dict[str, PersonLine]:
    assert isinstance(someone, type(MIRA))
    return {line.person_id: line for line in mentor.people_of(db, bench.enter(db, someone), now=NOW)}


def test_a_mentor_sees_the_own_crew_a_supervisor_all(db: Database) -> None:
    assert set(_lines(db)) == {AMA.id, BEN.id}
    assert set(_lines(db, SOL)) == {AMA.id, BEN.id, CLEO.id}
    assert set(_lines(db, INES)) == {AMA.id, BEN.id, CLEO.id}
    for someone in (AMA, KIT):
        with pytest.raises(NotAllowed):
            mentor.people_of(db, bench.enter(db, someone), now=NOW)


def test_a_line_tells_how_far_somebody_is(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    for _ in range(3):
        bench.practise_once(db, ama, SKILL, now=NOW - timedelta(hours=1))
    line = _lines(db)[AMA.id]
    (module,) = line.modules
    assert (module.module_id, module.shown, module.standing) == (MODULE, 1, Standing.IN_PRACTICE)
    assert module.of > 1
    assert line.last_practice == NOW - timedelta(hours=1)
    assert not line.overdue
    assert _lines(db)[BEN.id].modules == ()
    assert _lines(db)[BEN.id].last_practice is None


def test_past_its_due_date_a_module_is_overdue_until_it_is_signed(db: Database) -> None:
    before = NOW - timedelta(days=10)
    assign.assign(db, bench.enter(db, MIRA, before), AMA.id, MODULE, date(2027, 3, 10), now=before)
    assert _lines(db)[AMA.id].overdue
    bench.pass_every_class(db, AMA)
    bench.watch(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    assert _lines(db)[AMA.id].modules[0].standing is Standing.READY
    assert _lines(db)[AMA.id].overdue
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    assert _lines(db)[AMA.id].modules[0].standing is Standing.SIGNED
    assert not _lines(db)[AMA.id].overdue


def test_list_and_sheet_tell_the_same(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.give_module(db, BEN)
    bench.practise_once(db, bench.enter(db, BEN), right=False)
    mira = bench.enter(db, MIRA)
    for number, line in _lines(db).items():
        sheet = mentor.person(db, mira, number, now=NOW)
        assert [(m.module_id, m.shown, m.standing, m.overdue, m.due) for m in line.modules] == [
            (m.module_id, m.shown, m.standing, m.overdue, m.due) for m in sheet.modules
        ]
        assert [m.of for m in line.modules] == [len(m.skills) for m in sheet.modules]


def test_who_has_left_is_not_listed(db: Database) -> None:
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    assert set(_lines(db)) == {AMA.id}


def test_a_persons_sheet_shows_the_newest_attempts_and_what_was_said(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.practise_once(db, ama, SKILL, now=NOW - timedelta(hours=2))
    wrong = bench.practise_once(db, ama, SKILL, right=False, now=NOW - timedelta(hours=1))
    sheet = mentor.person(db, bench.enter(db, MIRA), AMA.id, now=NOW)
    newest, oldest = sheet.attempts
    assert (newest.attempt_id, newest.right, newest.critical) == (
        wrong.attempt_id,
        False,
        wrong.mark.critical,
    )
    assert newest.headline == wrong.mark.headline
    assert newest.remark == next(r.text for r in wrong.mark.remarks if not r.right)
    assert (oldest.right, oldest.remark) == (True, "")
    assert (sheet.person.person_id, sheet.person.crew, sheet.day) == (AMA.id, CREW, NOW.date())


def test_what_goes_wrong_most_stands_first(db: Database) -> None:
    ama = bench.enter(db, AMA)
    for _ in range(8):
        bench.practise_once(db, ama, SKILL, right=False)
    bench.practise_once(db, ama, "torque-pass:cap_screws", right=False)
    wrong = mentor.person(db, bench.enter(db, MIRA), AMA.id, now=NOW).went_wrong
    assert [item.times for item in wrong] == sorted((item.times for item in wrong), reverse=True)
    assert wrong[0].times > 1
    assert {item.skill_title for item in wrong} == {"teardown, in order", "torque of the cap screws"}
    assert {item.critical for item in wrong if "cap screws" in item.skill_title} == {True}


def test_records_stand_on_the_sheet(db: Database) -> None:
    bench.make_ready(db, AMA)
    signed = bench.sign_by(db, bench.enter(db, SOL), AMA)
    sheet = mentor.person(db, bench.enter(db, SOL), AMA.id, now=NOW)
    assert [item.number for item in sheet.qualifications] == [signed.number]
    assert [item.evaluator.person for item in sheet.evaluations] == [MIRA.id]


def test_a_stranger_is_not_there_for_the_mentor(db: Database) -> None:
    with pytest.raises(NotFound):
        mentor.person(db, bench.enter(db, MIRA), CLEO.id, now=NOW)
    with pytest.raises(NotFound):
        mentor.person(db, bench.enter(db, MIRA), "P-9999", now=NOW)
    with pytest.raises(NotAllowed):
        mentor.person(db, bench.enter(db, BEN), AMA.id, now=NOW)
    assert mentor.person(db, bench.enter(db, SOL), CLEO.id, now=NOW).person.person_id == CLEO.id
