"""What is open when a round ends: a sitting ends with it, and what was watched across it counts for neither side.

49 CFR 192.805(d) and (e) ask to evaluate anew; 49 U.S.C. 60131(d)(3) makes a renewal a new event.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, KIT, MIRA, SOL
from trainer.actions import bench as bench_room
from trainer.actions import (
    changes,
    covered_tasks,
    earlier,
    earlier_in,
    evaluate,
    life,
    life_steps,
    observe,
    policy,
    publish,
    readiness,
    rebuilding,
    replay,
    sitting,
    sitting_sheets,
)
from trainer.actions.actor import SYSTEM
from trainer.actions.published import in_force, prepared
from trainer.competency.sequential import Decision
from trainer.records import canonical
from trainer.records.life_cycle import State
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.store import events, observations, sittings
from trainer.store.observations import Entry
from trainer.store.sittings import How, SatQuestion

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from trainer.actions.opening import Database
    from trainer.actions.readiness import Assessed
    from trainer.actions.sitting_views import SittingSheet

HOUR = timedelta(hours=1)
SOON = NOW + timedelta(days=20)
_PAPER = (
    "person,task,paper,issued_by,evaluated_on,valid_from,valid_until,methods,abnormal,evaluator,supervisor\n"
    "ama,{task},Sheet 14,Marlpit Gas (invented),2027-03-16,2027-03-17,2030-03-15,oral,yes,Old Hand,Old Boss\n"
)


@pytest.fixture
def ama(db: Database) -> Database:
    """The database with Ama signed, and a second supervisor."""
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    bench.hire_second_supervisor(db)
    return db


def _paper(db: Database, task: str = TASK.id) -> str:
    """Ama holds a record on an earlier paper; return its number."""
    [number] = earlier_in.take_over(db, bench.enter(db, KIT), _PAPER.format(task=task).encode(), now=NOW)
    earlier.check(db, bench.enter(db, SOL), [number], password=SOL.password, now=NOW)
    return number


def _where(db: Database) -> Assessed:
    with db.reading() as unit:
        return readiness.of_person(unit, AMA.id, in_force(unit, MODULE).revision)


def _state(db: Database, now: datetime) -> State:
    with db.reading() as unit:
        return life_steps.state_of(unit, AMA.id, TASK.id, now.date())


def _withdraw(db: Database, now: datetime) -> None:
    sol = bench.enter(db, SOL, now)
    life.withdraw(db, sol, AMA.id, TASK.id, reason="Of her own wish.", password=SOL.password, now=now)


def _stop(db: Database, now: datetime) -> None:
    sol = bench.enter(db, SOL, now)
    life.stop(db, sol, AMA.id, TASK.id, reason="In the office now.", password=SOL.password, now=now)


def _withdraw_paper(db: Database, now: datetime) -> None:
    sol = bench.enter(db, SOL, now)
    earlier.withdraw(db, sol, "EQ-2027-0001", because="Another's.", password=SOL.password, now=now)


BREAKS = {
    "qualification:suspend": lambda db, now: bench.suspend(db, AMA, now),
    "qualification:withdraw": _withdraw,
    "qualification:stop": _stop,
    "earlier:withdraw": _withdraw_paper,
}


def _begin(db: Database, now: datetime, *answers: bool) -> int:
    """Let Ama begin a sitting and answer some questions, right or wrong; return its number."""
    number = bench.release(db, AMA, now)
    actor = bench.enter(db, AMA, now)
    sitting.begin(db, actor, number, now=now)
    for position, right in enumerate(answers, start=1):
        bench.answer_open(db, actor, number, position, right=right, now=now)
    return number


def _sheet(db: Database, number: int, now: datetime) -> SittingSheet:
    return sitting_sheets.sheet(db, bench.enter(db, SOL, now), number, now=now)


def _astray(db: Database) -> list[str]:
    return [held.table for held in rebuilding.compare(db, SYSTEM) if held.differences]


@pytest.mark.parametrize("action", BREAKS)
def test_an_open_sitting_ends_with_the_round_and_counts_for_no_later_one(ama: Database, action: str) -> None:
    assert _paper(ama) == "EQ-2027-0001"
    number = _begin(ama, SOON, False)
    broken = SOON + HOUR
    BREAKS[action](ama, broken)
    with pytest.raises(sitting.SittingOver):
        sitting.question(ama, bench.enter(ama, AMA, broken), number, 2, now=broken)
    sheet = _sheet(ama, number, broken)
    assert sheet.sitting.end is not None
    assert (sheet.how, sheet.sitting.end.ended_by, sheet.sitting.end.at) == (How.BROKEN_OFF, SOL.id, broken)
    assert "what was answered before counts" in sheet.state
    # The question that stood open has not failed.
    assert sum(result.attempts for result in sheet.results) == 1
    assert [line.right for line in sheet.asked] == [False, None]
    assert not _where(ama).is_begun
    begun = {line.element_class for line in _questions(ama, number)[:1]}
    assert {item.element.id for item in _where(ama).readiness.classes if item.series == 2} == begun
    with ama.reading() as unit:
        told = [(event.action, event.at) for event in events.since(unit)]
    place = told.index(("sitting:break_off", broken))
    assert told[place + 1] == (action, broken)
    assert _astray(ama) == []


def _questions(db: Database, number: int) -> list[SatQuestion]:
    with db.reading() as unit:
        return list(sittings.questions(unit, number))


@pytest.mark.parametrize("action", BREAKS)
def test_the_person_is_released_anew_and_the_log_says_what_the_signature_stands_on(
    ama: Database, action: str
) -> None:
    _paper(ama)
    _begin(ama, SOON, False)
    broken = SOON + HOUR
    BREAKS[action](ama, broken)
    after = broken + timedelta(days=1)
    if action == "qualification:stop":
        bench.give_module(ama, AMA, after)
    bench.show_anew(ama, AMA, after)
    signed = bench.sign_by(ama, bench.enter(ama, SOL, after), AMA, after + HOUR)
    record = canonical.read(canonical.written(_record(ama, signed.number)))
    assert {one["failures"] for one in record["classes"]} == {0}
    assert sorted({one["series"] for one in record["classes"]}) == [1, 2]
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())
    assert _astray(ama) == []


def _record(db: Database, number: str) -> dict[str, object]:
    with db.reading() as unit:
        told = [canonical.read(e.payload) for e in events.since(unit) if e.action == "qualification:sign"]
    return next(one["record"] for one in told if one["record"]["number"] == number)


def test_one_that_was_released_and_not_begun_ends_too(ama: Database) -> None:
    number = bench.release(ama, AMA, SOON)
    bench.suspend(ama, AMA, SOON + HOUR)
    assert _sheet(ama, number, SOON + HOUR).how is How.BROKEN_OFF
    assert bench.release(ama, AMA, SOON + HOUR + HOUR) != number


def test_a_sitting_for_another_task_goes_on(ama: Database) -> None:
    covered_tasks.register(ama, SYSTEM, [replace(TASK, id="T-32", title="Set the main valve")], now=NOW)
    _paper(ama, "T-32")
    number = _begin(ama, SOON, True)
    bench.suspend(ama, AMA, SOON + HOUR, "T-32")
    actor = bench.enter(ama, AMA, SOON + HOUR)
    assert bench.answer_open(ama, actor, number, 2, now=SOON + HOUR) == 3


def test_a_signature_ends_what_is_open_as_well(db: Database) -> None:
    bench.make_ready(db, AMA)
    # Released while something was open, decided since; a sitting can be left over from another module of the task.
    signed_at = NOW + HOUR
    with db.writing() as unit:
        number = sittings.release(
            unit,
            person_id=AMA.id,
            module_id=MODULE,
            revision=in_force(unit, MODULE).revision,
            policy=policy.kept_in_force(unit, now=NOW).sha256,
            drawn_with="left over",
            shown=0,
            skills=1,
            because="For the other module.",
            released_by=MIRA.id,
            at=NOW,
        ).id
    bench.sign_by(db, bench.enter(db, SOL, signed_at), AMA, signed_at)
    end = _sheet(db, number, signed_at).sitting.end
    assert end is not None
    assert (end.how, end.ended_by) == (How.BROKEN_OFF, SOL.id)
    assert not _where(db).is_begun


def test_one_whose_time_was_up_before_ends_so_and_its_open_question_has_failed(ama: Database) -> None:
    changed = {"sitting_minutes": "10"}
    kit = bench.enter(ama, KIT)
    policy.change(ama, kit, changed, because="Ten minutes.", password=KIT.password, now=NOW)
    number = _begin(ama, SOON)
    bench.suspend(ama, AMA, SOON + HOUR)
    sheet = _sheet(ama, number, SOON + HOUR)
    assert sheet.how is How.TIME_UP
    assert sum(result.failures for result in sheet.results) == 1
    assert not _where(ama).is_begun
    assert _astray(ama) == []


def test_a_lifted_suspension_gives_back_what_was_answered_and_not_the_sitting(ama: Database) -> None:
    number = _begin(ama, SOON, False, True)
    before = _where(ama).readiness
    bench.suspend(ama, AMA, SOON + HOUR)
    assert not _where(ama).is_begun
    bench.lift(ama, AMA, SOON + 2 * HOUR)
    assert _where(ama).readiness == before
    assert _sheet(ama, number, SOON + 2 * HOUR).how is How.BROKEN_OFF
    assert bench.release(ama, AMA, SOON + 3 * HOUR) != number
    assert _astray(ama) == []


def test_what_it_had_found_of_a_change_is_settled_when_the_suspension_is_lifted(ama: Database) -> None:
    """Else whoever was found not ready, and suspended before the sitting ended, could sit for the change again."""
    text = SMALL_VALVE.replace("95 N·m", "110 N·m")
    then = NOW + timedelta(days=5)
    kit = bench.enter(ama, KIT, then)
    assert publish.publish(ama, kit, text, file="small-valve.yaml", now=then).asked == 1
    with ama.reading() as unit:
        due = changes.of_module(unit, AMA.id, MODULE)
    assert due is not None
    skills = {skill for element in due.classes for skill in element.skills}
    number, position = bench.release(ama, AMA, SOON), 1
    actor = bench.enter(ama, AMA, SOON)
    sitting.begin(ama, actor, number, now=SOON)
    while not _not_ready(ama):
        skill = sitting.question(ama, actor, number, position, now=SOON).question.skill
        bench.answer_open(ama, actor, number, position, right=skill not in skills, now=SOON)
        position += 1
    assert _sheet(ama, number, SOON).how is None
    bench.suspend(ama, AMA, SOON + HOUR)
    assert _state(ama, SOON + HOUR) is State.SUSPENDED
    assert not _not_ready(ama)
    bench.lift(ama, AMA, SOON + 2 * HOUR)
    assert _state(ama, SOON + 2 * HOUR) is State.NOT_SHOWN
    assert _astray(ama) == []


def _not_ready(db: Database) -> bool:
    return any(item.decision is Decision.NOT_READY for item in _where(db).readiness.classes)


def _watch_across(db: Database, broken: Callable[[Database, datetime], None]) -> int:
    """Let the mentor watch the whole work, and sign for it after a break; return the number."""
    number = observe.begin(
        db, bench.enter(db, MIRA, SOON), AMA.id, MODULE, "DN 80", ticket="straddles", now=SOON
    )
    assert not bench_room.observation(db, bench.enter(db, MIRA, SOON), number).is_stale
    broken(db, SOON + HOUR)
    after = SOON + 2 * HOUR
    # Its evaluator is told before signing.
    assert bench_room.observation(db, bench.enter(db, MIRA, after), number).is_stale
    with db.reading() as unit:
        steps = prepared(unit, in_force(unit, MODULE).revision).module.steps
    entries = [Entry(step, StepSeen(step, StepMark.UNAIDED, "", after)) for step in steps]
    mira = bench.enter(db, MIRA, after)
    observe.mark(db, mira, number, entries, now=after)
    observe.close(db, mira, number, order=(), result="All.", password=MIRA.password, now=after)
    return number


@pytest.mark.parametrize("action", ["qualification:suspend", "qualification:withdraw"])
def test_work_watched_across_a_break_is_kept_and_counts_for_neither_side(ama: Database, action: str) -> None:
    """Its evaluator may sign for what was seen, and watches the work anew for the next signature."""
    number = _watch_across(ama, BREAKS[action])
    after = SOON + 3 * HOUR
    assert not _where(ama).is_begun
    mira = bench.enter(ama, MIRA, after)
    with pytest.raises(evaluate.EvaluationUnfit, match="watch the work anew"):
        bench.evaluate_by(ama, mira, AMA, after, methods=(Method.ON_THE_JOB, Method.ORAL), observation=number)
    bench.show_anew(ama, AMA, after)
    bench.sign_by(ama, bench.enter(ama, SOL, after), AMA, after + HOUR)
    assert replay.decisions(ama, SYSTEM) == replay.Replayed(2, ())
    assert _astray(ama) == []


def test_work_being_watched_when_the_task_is_done_no_more_is_given_up_by_its_evaluator(ama: Database) -> None:
    with pytest.raises(life_steps.LifeStepRefused, match="no longer does the task"):
        _watch_across(ama, _stop)
    with ama.reading() as unit:
        [waits] = observations.open_of(unit, MIRA.id)
    after = SOON + 3 * HOUR
    observe.give_up(ama, bench.enter(ama, MIRA, after), waits.id, "She left the bench.", now=after)
    with ama.reading() as unit:
        assert observations.open_of(unit, MIRA.id) == ()
