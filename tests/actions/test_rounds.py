"""A renewal and an evaluation after a suspension begin anew; no break gives risk back that was spent."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.people import AMA, MIRA, SOL
from trainer.actions import (
    evaluate,
    observe,
    practise,
    qualified,
    readiness,
    replay,
    sign_off_queue,
    signed_records,
    sitting,
    sitting_release,
)
from trainer.actions.actor import SYSTEM
from trainer.actions.published import in_force, prepared
from trainer.competency.sequential import Decision
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.store import sittings
from trainer.store.observations import Entry

if TYPE_CHECKING:
    from trainer.actions.opening import Database
    from trainer.actions.readiness import Assessed

DAY = timedelta(days=1)
SOON = NOW + 20 * DAY


@pytest.fixture
def ama(db: Database) -> Database:
    """The database with Ama signed, and a second supervisor."""
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    bench.hire_second_supervisor(db)
    return db


def _where(db: Database) -> Assessed:
    with db.reading() as unit:
        return readiness.of_person(unit, AMA.id, in_force(unit, MODULE).revision)


def test_after_the_signature_nothing_is_shown_yet_for_the_next(ama: Database) -> None:
    found = _where(ama)
    assert not found.is_begun
    assert [(item.series, item.attempts) for item in found.readiness.classes] == [
        (1, 0) for _ in found.readiness.classes
    ]


def test_an_evaluation_alone_renews_nothing(ama: Database) -> None:
    bench.evaluate_by(ama, bench.enter(ama, MIRA, SOON), AMA, SOON)
    with pytest.raises(sign_off_queue.NotReady):
        bench.sign_by(ama, bench.enter(ama, SOL, SOON), AMA, SOON)
    bench.pass_every_class(ama, AMA, SOON)
    with pytest.raises(sign_off_queue.NotReady):
        bench.sign_by(ama, bench.enter(ama, SOL, SOON), AMA, SOON)
    bench.watch(ama, AMA, SOON)
    assert bench.sign_by(ama, bench.enter(ama, SOL, SOON), AMA, SOON).supersedes == "QR-2027-0001"
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_the_series_of_a_renewal_begin_at_one_and_ask_what_was_not_asked(ama: Database) -> None:
    number = bench.release(ama, AMA, SOON)
    bench.sit(ama, AMA, number, SOON)
    with ama.reading() as unit:
        asked = sittings.questions(unit, number)
        before = {
            one.address
            for sat in sittings.of_person(unit, AMA.id)
            if sat.id != number
            for one in sittings.questions(unit, sat.id)
        }
    assert {one.series for one in asked} == {1}
    assert not before & {one.address for one in asked}


def test_a_signed_person_is_told_what_the_renewal_takes(ama: Database) -> None:
    (line,) = practise.my_sheet(ama, bench.enter(ama, AMA), now=NOW).modules
    assert line.missing == ()
    assert line.renewal.startswith("By 2030-03-17: ")
    assert "listed here from 2030-01-16 on" in line.renewal
    near = NOW.replace(year=2030, month=2)
    (line,) = practise.my_sheet(ama, bench.enter(ama, AMA, near), now=near).modules
    assert line.missing == (
        "An assessment sitting; the mentor releases it.",
        "A new evaluation: that of 2027-03-17 has been used or is too old.",
    )
    assert line.renewal.endswith("What was shown since 2027-03-17 counts.")


def test_a_suspension_spends_the_series_that_was_begun(ama: Database) -> None:
    """Else whoever is suspended in the middle of a bad series would get the same share of the risk again."""
    number = bench.release(ama, AMA, SOON)
    actor = bench.enter(ama, AMA, SOON)
    sitting.begin(ama, actor, number, now=SOON)
    bench.answer_open(ama, actor, number, 1, right=False, now=SOON)
    sitting_release.break_off(ama, bench.enter(ama, MIRA, SOON), number, because="Suspended.", now=SOON)
    begun = {item.element.id: item for item in _where(ama).readiness.classes if item.attempts}
    assert len(begun) == 1
    bench.suspend(ama, AMA, SOON + DAY)
    after = {item.element.id: item for item in _where(ama).readiness.classes}
    assert not _where(ama).is_begun
    assert {name: item.series for name, item in after.items()} == {
        name: 2 if name in begun else 1 for name in after
    }
    again = bench.release(ama, AMA, SOON + 2 * DAY)
    bench.sit(ama, AMA, again, SOON + 2 * DAY)
    with ama.reading() as unit:
        series = {(one.element_class, one.series) for one in sittings.questions(unit, again)}
    assert series == {(name, 2 if name in begun else 1) for name in after}


def test_a_failed_series_asks_for_practice_across_a_suspension_too(ama: Database) -> None:
    bench.sit(ama, AMA, bench.release(ama, AMA, SOON), SOON, wrong=lambda skill: skill.startswith("torque"))
    assert any(item.decision is Decision.NOT_READY for item in _where(ama).readiness.classes)
    with pytest.raises(sitting_release.NotReleased, match="Practise first"):
        bench.release(ama, AMA, SOON + DAY)
    bench.suspend(ama, AMA, SOON + DAY)
    with pytest.raises(sitting_release.NotReleased, match="Practise first"):
        bench.release(ama, AMA, SOON + 2 * DAY)


def test_what_was_shown_before_a_lifted_suspension_counts_again(ama: Database) -> None:
    bench.show_anew(ama, AMA, SOON)
    bench.suspend(ama, AMA, SOON + DAY)
    assert not _where(ama).is_begun
    assert sign_off_queue.queue(ama, bench.enter(ama, SOL, SOON + DAY), now=SOON + DAY) == ()
    bench.lift(ama, AMA, SOON + 2 * DAY)
    assert _where(ama).readiness.ready
    bench.sign_by(ama, bench.enter(ama, SOL, SOON + 3 * DAY), AMA, SOON + 3 * DAY)
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_after_a_suspension_all_is_shown_anew_and_the_log_says_so(ama: Database) -> None:
    bench.show_anew(ama, AMA, SOON)
    bench.suspend(ama, AMA, SOON + DAY)
    bench.show_anew(ama, AMA, SOON + 2 * DAY)
    signed = bench.sign_by(ama, bench.enter(ama, SOL, SOON + 3 * DAY), AMA, SOON + 3 * DAY)
    kept = signed_records.record(ama, bench.enter(ama, SOL, SOON + 3 * DAY), signed.number)
    assert {one.series for one in kept.classes} == {2}
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())


def test_work_that_began_before_the_signature_counts_for_no_later_one(db: Database) -> None:
    bench.make_ready(db, AMA)
    mentor = bench.enter(db, MIRA)
    number = observe.begin(db, mentor, AMA.id, MODULE, "DN 80", ticket="straddles", now=NOW)
    later = NOW + DAY / 4
    bench.sign_by(db, bench.enter(db, SOL, later), AMA, later)
    with db.reading() as unit:
        steps = prepared(unit, in_force(unit, MODULE).revision).module.steps
    entries = [Entry(step, StepSeen(step, StepMark.UNAIDED, "", NOW)) for step in steps]
    after = later + DAY / 8
    mentor = bench.enter(db, MIRA, after)
    observe.mark(db, mentor, number, entries, now=after)
    observe.close(db, mentor, number, order=(), result="All.", password=MIRA.password, now=after)
    assert not _where(db).is_begun
    with pytest.raises(evaluate.EvaluationUnfit, match="watch the work anew"):
        bench.evaluate_by(
            db,
            bench.enter(db, MIRA, after),
            AMA,
            after,
            methods=(Method.ON_THE_JOB, Method.ORAL),
            observation=number,
        )


def test_each_record_stands_on_the_sittings_of_its_own_round(ama: Database) -> None:
    bench.show_anew(ama, AMA, SOON)
    bench.sign_by(ama, bench.enter(ama, SOL, SOON), AMA, SOON)
    sheets = [qualified.on_day(ama, SYSTEM, TASK.id, day.date(), now=SOON) for day in (NOW, SOON)]
    first, second = (set(sheet.qualified[0].evidence.sittings) for sheet in sheets)
    assert first
    assert second
    assert not first & second
