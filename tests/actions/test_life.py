from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.people import AMA, BEN, CREW, INES, KIT, MIRA, SOL
from trainer.actions import (
    accounts,
    cover,
    crew,
    evaluator,
    life,
    mentor,
    practise,
    printing,
    qualified,
    sign_off_queue,
    signed_records,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.records import cover as reckoning
from trainer.records.life_cycle import Act
from trainer.records.qualification import Standing
from trainer.store import events, life_events, qualifications
from trainer.store.life_events import Happened
from trainer.store.schema.life import life_events as rows

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.opening import Database

SIGNED = NOW - timedelta(days=10)
YESTERDAY = (NOW - timedelta(days=1)).date()


@pytest.fixture
def ama(db: Database) -> Database:
    """The database with Ama qualified ten days ago, and a second supervisor."""
    bench.make_ready(db, AMA, SIGNED)
    bench.sign_by(db, bench.enter(db, SOL, SIGNED), AMA, SIGNED)
    bench.hire_second_supervisor(db, SIGNED)
    return db


def _standings(db: Database, now: datetime = NOW) -> set[Standing]:
    """Where Ama stands, asked in every place that tells it."""
    sol = bench.enter(db, SOL, now)
    sheet = crew.crew_sheet(db, sol, CREW, now=now)
    row = next(row for row in sheet.rows if row.person_id == AMA.id)
    line = next(line for line in mentor.people_of(db, sol, now=now) if line.person_id == AMA.id)
    own = bench.enter(db, AMA, now)
    return {
        row.cells[0].standing,
        *(module.standing for module in line.modules),
        *(module.standing for module in practise.my_sheet(db, own, now=now).modules),
        signed_records.my_record(db, own, now=now)[0].standing,
        life.sheet(db, sol, AMA.id, TASK.id, now=now).standing,
    }


def test_a_suspended_person_counts_nowhere_as_qualified(ama: Database) -> None:
    assert _standings(ama) == {Standing.SIGNED}
    bench.suspend(ama, AMA, from_day=YESTERDAY)
    assert _standings(ama) == {Standing.SUSPENDED}
    sol = bench.enter(ama, SOL)
    with ama.reading() as unit:
        assert qualifications.holds(unit, AMA.id, TASK.id, NOW.date()) is None
        assert qualifications.holds(unit, AMA.id, TASK.id, YESTERDAY) is None
        assert qualifications.holds(unit, AMA.id, TASK.id, YESTERDAY - timedelta(days=1)) is not None
        found, _, _ = cover.read(unit, sol, CREW, NOW.date())
    assert reckoning.able(found.holdings, NOW.date()).get(TASK.id, frozenset()) == frozenset()
    assert reckoning.able(found.holdings, YESTERDAY - timedelta(days=1))[TASK.id] == {AMA.id}
    (line,) = [line for line in crew.crews(ama, bench.enter(ama, SOL), now=NOW) if line.crew == CREW]
    assert line.qualified == 0
    card = printing.print_sheet(ama, bench.enter(ama, AMA), "pocket_card", AMA.id, paper="a4", now=NOW)
    assert card.data
    changes = crew.crew_sheet(ama, bench.enter(ama, SOL), CREW, now=NOW).changes
    assert (changes[-1].on, changes[-1].now) == (YESTERDAY, Standing.SUSPENDED)
    sheet = practise.my_sheet(ama, bench.enter(ama, AMA), now=NOW)
    assert sheet.modules[0].missing[0].startswith(f"Suspended from {YESTERDAY}")


def test_whoever_is_suspended_evaluates_nobody(ama: Database) -> None:
    with ama.reading() as unit:
        ben = register.found(unit, BEN.id)
        assert evaluator.right_to_evaluate(unit, AMA.id, ben, TASK, NOW.date())[0] is None
    bench.suspend(ama, AMA)
    with ama.reading() as unit:
        why_not, _ = evaluator.right_to_evaluate(unit, AMA.id, ben, TASK, NOW.date())
    assert why_not is not None
    assert "suspended" in why_not


def test_a_suspension_ends_with_an_evaluation_after_it_and_a_signature(ama: Database) -> None:
    # All shown anew this morning, suspended in the afternoon: the morning says nothing any more.
    bench.show_anew(ama, AMA, NOW)
    bench.suspend(ama, AMA, NOW + timedelta(hours=3))
    later = NOW + timedelta(days=4)
    assert sign_off_queue.queue(ama, bench.enter(ama, SOL, later), now=later) == ()
    with pytest.raises(sign_off_queue.NotReady):
        bench.sign_by(ama, bench.enter(ama, SOL, later), AMA, later)
    bench.evaluate_by(ama, bench.enter(ama, MIRA, later), AMA, later)
    assert sign_off_queue.queue(ama, bench.enter(ama, SOL, later), now=later) == ()
    bench.show_anew(ama, AMA, later)
    bench.evaluate_by(ama, bench.enter(ama, MIRA, later), AMA, later, evaluated_on=YESTERDAY)
    assert sign_off_queue.queue(ama, bench.enter(ama, SOL, later), now=later) == ()
    bench.evaluate_by(ama, bench.enter(ama, MIRA, later), AMA, later)
    assert _standings(ama, later) == {Standing.SUSPENDED}
    signed = bench.sign_by(ama, bench.enter(ama, SOL, later), AMA, later)
    assert _standings(ama, later) == {Standing.SIGNED}
    with ama.reading() as unit:
        (suspended, ended) = life_events.of_person(unit, AMA.id)
        assert (ended.act, ended.about, ended.number) == (
            Happened.RE_EVALUATED,
            suspended.id,
            signed.number,
        )
        assert qualifications.holds(unit, AMA.id, TASK.id, later.date() - timedelta(days=1)) is None
        assert qualifications.holds(unit, AMA.id, TASK.id, later.date()) is not None
    changes = crew.crew_sheet(ama, bench.enter(ama, SOL, later), CREW, now=later).changes
    assert (changes[-1].was, changes[-1].now) == (Standing.SUSPENDED, Standing.SIGNED)


def test_only_another_supervisor_lifts_and_the_days_stay(ama: Database) -> None:
    bench.suspend(ama, AMA)
    later = NOW + timedelta(days=2)
    sol, una = bench.enter(ama, SOL, later), bench.second_supervisor(ama, later)
    assert life.sheet(ama, sol, AMA.id, TASK.id, now=later).may[Act.LIFT].startswith("Only another")
    assert life.sheet(ama, una, AMA.id, TASK.id, now=later).may[Act.LIFT] == ""
    with pytest.raises(NotAllowed, match="another supervisor"):
        life.lift(ama, sol, AMA.id, TASK.id, reason="Mistaken.", password=SOL.password, now=later)
    with pytest.raises(life.LifeStepRefused, match="the reason in writing is missing"):
        life.lift(ama, una, AMA.id, TASK.id, reason=" ", password=bench.SECOND, now=later)
    life.lift(
        ama, una, AMA.id, TASK.id, reason="It was the other crew's line-up.", password=bench.SECOND, now=later
    )
    assert _standings(ama, later) == {Standing.SIGNED}
    with ama.reading() as unit:
        assert qualifications.holds(unit, AMA.id, TASK.id, NOW.date()) is None
    told = life.sheet(ama, una, AMA.id, TASK.id, now=later).lines
    assert [line.what for line in told] == ["Qualified", "Suspended", "Suspension lifted as unfounded"]
    with pytest.raises(life.LifeStepRefused, match="not possible here: qualified"):
        life.lift(
            ama,
            bench.second_supervisor(ama, later),
            AMA.id,
            TASK.id,
            reason="Again.",
            password=bench.SECOND,
            now=later,
        )


def test_the_table_itself_refuses_one_person_lifting(ama: Database) -> None:
    bench.suspend(ama, AMA)
    with ama.reading() as unit:
        (kept,) = life_events.suspensions(life_events.of_person(unit, AMA.id))[AMA.id, TASK.id]
    for by, name in ((SOL.id, "lifted_by_another"), (MIRA.id, "")):
        about = kept if name else replace(kept, by=KIT.id)
        with pytest.raises(IntegrityError), ama.writing() as unit:
            life_events.add(
                unit,
                person_id=AMA.id,
                task_id=TASK.id,
                act=Happened.LIFTED,
                on=NOW.date(),
                reason="No.",
                number=kept.number,
                by=by,
                by_name="x",
                at=NOW,
                about=about,
            )


@pytest.mark.parametrize(
    ("changed", "problem", "says"),
    [
        ({"reason": ""}, life.LifeStepRefused, "the reason in writing is missing"),
        ({"from_day": NOW.date() + timedelta(days=1)}, life.LifeStepRefused, "today or earlier"),
        ({"from_day": date(2027, 1, 1)}, life.LifeStepRefused, "not possible here"),
        ({"password": "something else"}, accounts.PasswordWrong, "password"),
    ],
)
def test_a_suspension_that_lacks_something_is_not_kept(
    ama: Database, changed: dict[str, Any], problem: type[Exception], says: str
) -> None:
    with pytest.raises(problem, match=says):
        bench.suspend(ama, AMA, **changed)
    assert _standings(ama) == {Standing.SIGNED}
    with ama.reading() as unit:
        assert unit.execute(select(func.count()).select_from(rows)).scalar_one() == 0


def test_nobody_is_suspended_twice_and_only_a_supervisor_does_it(ama: Database) -> None:
    bench.suspend(ama, AMA)
    with pytest.raises(life.LifeStepRefused, match="Suspended already"):
        bench.suspend(ama, AMA)
    for who in (AMA, MIRA, INES, KIT):
        with pytest.raises(NotAllowed):
            life.withdraw(
                ama, bench.enter(ama, who), AMA.id, TASK.id, reason="r", password=who.password, now=NOW
            )
    with pytest.raises(NotFound):
        life.withdraw(ama, bench.enter(ama, SOL), BEN.id, TASK.id, reason="r", password=SOL.password, now=NOW)


def test_withdrawn_is_over_until_all_is_shown_anew(ama: Database) -> None:
    life.withdraw(
        ama, bench.enter(ama, SOL), AMA.id, TASK.id, reason="At her wish.", password=SOL.password, now=NOW
    )
    assert _standings(ama) == {Standing.LAPSED}
    with ama.reading() as unit:
        (kept,) = qualifications.of_person(unit, AMA.id)
    assert (kept.ended_on, kept.ended_because) == (NOW.date(), "Withdrawn: At her wish.")
    with pytest.raises(life.LifeStepRefused, match="withdrawn"):
        bench.suspend(ama, AMA)


def test_who_no_longer_does_the_task_leaves_the_sheet(ama: Database) -> None:
    life.stop(ama, bench.enter(ama, SOL), AMA.id, TASK.id, reason="Moved.", password=SOL.password, now=NOW)
    sheet = crew.crew_sheet(ama, bench.enter(ama, SOL), CREW, now=NOW)
    row = next(row for row in sheet.rows if row.person_id == AMA.id)
    assert row.cells[0].standing is Standing.NOT_ASSIGNED
    assert practise.my_sheet(ama, bench.enter(ama, AMA), now=NOW).modules == ()
    assert crew.lapses(ama, bench.enter(ama, SOL), now=NOW) == ()
    with pytest.raises(life.LifeStepRefused, match="no longer does the task"):
        life.stop(
            ama, bench.enter(ama, SOL), AMA.id, TASK.id, reason="Moved.", password=SOL.password, now=NOW
        )


def test_who_was_qualified_on_a_day_and_on_what_evidence(ama: Database) -> None:
    bench.suspend(ama, AMA, from_day=YESTERDAY)
    ines = bench.enter(ama, INES)
    before = qualified.on_day(ama, ines, TASK.id, SIGNED.date(), now=NOW)
    (line,) = before.qualified
    held = line.evidence
    assert (held.number, held.evaluator, held.signed_by) == (
        "QR-2027-0001",
        MIRA.display_name,
        SOL.display_name,
    )
    assert held.abnormal_passed
    assert held.sittings
    assert not line.differs
    assert qualified.on_day(ama, ines, TASK.id, SIGNED.date() - timedelta(days=1), now=NOW).lines == ()

    after = qualified.on_day(ama, ines, TASK.id, YESTERDAY, now=NOW)
    (line,) = after.others
    assert (line.standing, line.known_then) == (Standing.SUSPENDED, Standing.SIGNED)
    assert line.differs
    as_of_today = qualified.on_day(ama, ines, TASK.id, YESTERDAY, known_on=NOW.date(), now=NOW)
    assert not as_of_today.lines[0].differs
    told = json.loads(json.dumps(after.as_data()))["people"][0]
    assert (told["standing"], told["standing_as_known"]) == ("suspended", "signed")
    assert told["suspension"]["reason"] == bench.INCIDENT
    with pytest.raises(qualified.DayAhead):
        qualified.on_day(ama, ines, TASK.id, NOW.date() + timedelta(days=1), now=NOW)
    for who in (AMA, MIRA, KIT):
        with pytest.raises(NotAllowed):
            qualified.on_day(ama, bench.enter(ama, who), TASK.id, YESTERDAY, now=NOW)


def test_who_has_left_is_still_told_of_the_days_before(ama: Database) -> None:
    register.retire(ama, SYSTEM, AMA.id, now=NOW)
    sheet = qualified.on_day(ama, bench.enter(ama, INES), TASK.id, YESTERDAY, now=NOW)
    assert [line.person_id for line in sheet.qualified] == [AMA.id]


def test_each_step_is_in_the_log_with_all_it_takes_to_tell_it_again(ama: Database) -> None:
    bench.suspend(ama, AMA)
    una = bench.second_supervisor(ama)
    life.lift(ama, una, AMA.id, TASK.id, reason="Unfounded.", password=bench.SECOND, now=NOW)
    with ama.reading() as unit:
        told = {
            event.action: json.loads(event.payload)
            for event in events.since(unit)
            if event.action in ("qualification:suspend", "qualification:lift")
        }
        kept = {event.act.value: event for event in life_events.of_person(unit, AMA.id)}
    assert told["qualification:suspend"]["reason"] == bench.INCIDENT == kept["suspended"].reason
    assert told["qualification:suspend"]["cause"] == "incident"
    assert told["qualification:lift"]["about"] == kept["suspended"].id
