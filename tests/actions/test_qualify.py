from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests import databases
from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CLEO, INES, KIT, MIRA, SOL
from trainer.actions import (
    accounts,
    covered_tasks,
    kept_record,
    practise,
    publish,
    qualify,
    sign_off_queue,
    signed_records,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.competency.policy import Policy
from trainer.errors import TrainerError
from trainer.records.methods import Method
from trainer.records.observation import StepMark
from trainer.records.qualification import MEANING_EVALUATED, MEANING_SIGNED, Standing
from trainer.store import events, policies, qualifications

if TYPE_CHECKING:
    from trainer.actions.opening import Database

LATER = datetime(2030, 2, 1, 8, 0, tzinfo=UTC)


def test_who_is_ready_waits_in_the_queue_with_everything_behind_it(db: Database) -> None:
    bench.make_ready(db, AMA)
    (line,) = sign_off_queue.queue(db, bench.enter(db, SOL), now=NOW)
    assert (line.person_id, line.person_name, line.crew, line.grade) == (
        AMA.id,
        AMA.display_name,
        AMA.crew,
        "II",
    )
    assert (line.task_id, line.task_title, line.module_id) == (TASK.id, TASK.title, MODULE)
    assert line.assessed.readiness.ready
    assert line.sittings[0].state == f"passed in all {len(line.assessed.readiness.classes)} classes"
    assert line.evaluation.evaluator.person == MIRA.id
    assert line.valid_until == date(2030, 3, 17)
    assert (line.supersedes, line.why_not) == ("", "")
    assert sign_off_queue.ready(db, bench.enter(db, SOL), AMA.id, TASK.id, now=NOW) == line


def _assessment_missing(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.show_everything(db, bench.enter(db, AMA))
    bench.watch(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)


def _one_class_undecided(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.sit(db, AMA, bench.release(db, AMA))
    bench.watch(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)


def _one_class_not_ready(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.sit(db, AMA, bench.release(db, AMA), wrong=lambda skill: skill.startswith("torque"))
    bench.watch(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)


def _evaluation_missing(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.pass_every_class(db, AMA)
    bench.watch(db, AMA)


def _bench_missing(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.pass_every_class(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)


def _not_passed(db: Database) -> None:
    _evaluation_missing(db)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA, passed=False)


def _abnormal_not_passed(db: Database) -> None:
    _evaluation_missing(db)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA, aoc_passed=False)


def _failed_after_passing(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA, passed=False)


def _slipped_at_the_bench_afterwards(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.watch(db, AMA, studs_tight=StepMark.WRONG)


def _revised_since(db: Database) -> None:
    bench.make_ready(db, AMA)
    publish.publish(db, SYSTEM, SMALL_VALVE.replace("95 N·m", "110 N·m"), file="f.yaml", now=NOW)


def _has_left(db: Database) -> None:
    bench.make_ready(db, AMA)
    register.retire(db, SYSTEM, AMA.id, now=NOW)


def _evaluated_too_long_ago(db: Database) -> None:
    _evaluation_missing(db)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA, evaluated_on=date(2024, 3, 17))


@pytest.mark.parametrize(
    "short_of",
    [
        _assessment_missing,
        _one_class_undecided,
        _one_class_not_ready,
        _evaluation_missing,
        _bench_missing,
        _not_passed,
        _abnormal_not_passed,
        _failed_after_passing,
        _slipped_at_the_bench_afterwards,
        _revised_since,
        _has_left,
        _evaluated_too_long_ago,
    ],
)
def test_who_is_not_ready_is_neither_in_the_queue_nor_signed(db: Database, short_of: object) -> None:
    assert callable(short_of)
    short_of(db)
    sol = bench.enter(db, SOL)
    assert sign_off_queue.queue(db, sol, now=NOW) == ()
    with pytest.raises(sign_off_queue.NotReady, match=AMA.display_name):
        bench.sign_by(db, sol, AMA)
    with db.reading() as unit:
        assert qualifications.of_person(unit, AMA.id) == ()


def test_the_signature_makes_a_numbered_record(db: Database) -> None:
    bench.make_ready(db, AMA)
    signed = bench.sign_by(db, bench.enter(db, SOL), AMA)
    assert signed.number == "QR-2027-0001"
    assert (signed.standing, signed.signed_by, signed.signed_at) == (Standing.SIGNED, SOL.display_name, NOW)
    assert (signed.evaluated_on, signed.valid_from, signed.valid_until) == (
        date(2027, 3, 17),
        date(2027, 3, 17),
        date(2030, 3, 17),
    )
    assert sign_off_queue.queue(db, bench.enter(db, SOL), now=NOW) == ()


def test_the_record_says_all_that_the_law_and_the_house_ask(db: Database) -> None:
    # 49 CFR 192.807(a)(1)-(4): the person, the covered tasks, the dates of current qualification, the methods.
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    record = signed_records.record(db, bench.enter(db, AMA), number)
    assert (record.person, record.person_id, record.company) == (AMA.display_name, AMA.id, databases.COMPANY)
    assert (record.task, record.task_title) == (TASK.id, TASK.title)
    assert (record.evaluated_on, record.valid_from, record.valid_until) == (
        date(2027, 3, 17),
        date(2027, 3, 17),
        date(2030, 3, 17),
    )
    assert record.methods == (Method.SIMULATION, Method.ORAL)
    assert record.abnormal_conditions == TASK.abnormal_conditions
    assert record.abnormal_passed
    assert (record.interval_months, record.interval_because) == (36, TASK.interval_because)
    assert (record.evaluator.person, record.evaluator.meaning) == (MIRA.id, MEANING_EVALUATED)
    assert (record.supervisor.person, record.supervisor.meaning) == (SOL.id, MEANING_SIGNED)
    assert (record.supervisor.at, record.sizes) == (NOW, ("DN 50", "DN 80", "DN 100"))
    assert record.statement == (
        f"Ready in all {len(record.classes)} classes: "
        "at most 1 in 10 who fall short in one of them would get this far. "
        "No drill of this procedure asks about abnormal conditions; the evaluator alone went through them."
    )
    torque = next(item for item in record.classes if item.title == "Torque")
    assert (torque.weight, torque.series, torque.attempts, torque.failures) == ("critical", 1, 20, 0)
    assert (torque.witnessed, torque.poor, torque.of_risk) == (2, "0.2", "0.05")
    assert torque.sentence == "Ready: at most 1 in 20 who fail one time in five would get this far."
    assert {item.policy for item in record.classes} == {policies.digest(Policy().as_data())}


def test_the_record_stays_as_signed_whatever_changes_afterwards(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    before = signed_records.record(db, bench.enter(db, SOL), number)
    covered_tasks.register(db, SYSTEM, [replace(TASK, title="Another title", interval_months=12)], now=NOW)
    publish.publish(db, SYSTEM, SMALL_VALVE.replace("95 N·m", "110 N·m"), file="f.yaml", now=NOW)
    bench.practise_once(db, bench.enter(db, AMA), right=False)
    assert signed_records.record(db, bench.enter(db, SOL), number) == before


def test_signing_gives_the_session_a_new_token(db: Database) -> None:
    bench.make_ready(db, AMA)
    entered = accounts.sign_in(db, SOL.sign_in_name, SOL.password, address="192.0.2.1", now=NOW)
    signed = bench.sign_by(db, entered.actor, AMA)
    assert signed.token is not None
    assert accounts.actor_for(db, entered.token, now=NOW) is None
    assert accounts.actor_for(db, signed.token, now=NOW) == entered.actor
    (listed,) = signed_records.my_record(db, bench.enter(db, AMA), now=NOW)
    assert listed == replace(signed, token=None)


def test_a_wrong_password_signs_nothing(db: Database) -> None:
    bench.make_ready(db, AMA)
    sol = bench.enter(db, SOL)
    with pytest.raises(accounts.PasswordWrong):
        qualify.sign(db, sol, AMA.id, TASK.id, password=MIRA.password, now=NOW)
    assert len(sign_off_queue.queue(db, sol, now=NOW)) == 1
    assert signed_records.my_record(db, bench.enter(db, AMA), now=NOW) == ()


def test_who_evaluated_may_not_sign_and_is_told_so(db: Database) -> None:
    bench.qualify_supervisor(db)
    bench.give_module(db, BEN)
    bench.pass_every_class(db, BEN)
    bench.watch(db, BEN)
    sol = bench.enter(db, SOL)
    bench.evaluate_by(db, sol, BEN)
    (line,) = sign_off_queue.queue(db, sol, now=NOW)
    assert "another supervisor signs" in line.why_not
    with pytest.raises(NotAllowed, match="another supervisor signs"):
        bench.sign_by(db, sol, BEN)


def test_nobody_signs_for_themselves(db: Database) -> None:
    bench.qualify_supervisor(db)
    sol = bench.enter(db, SOL)
    later = NOW + timedelta(hours=1)
    bench.show_anew(db, SOL, later)
    with pytest.raises(NotAllowed, match="themselves"):
        bench.sign_by(db, sol, SOL)


def test_only_a_supervisor_signs(db: Database) -> None:
    bench.make_ready(db, AMA)
    for someone in (AMA, BEN, MIRA, INES, KIT):
        actor = bench.enter(db, someone)
        with pytest.raises(NotAllowed):
            sign_off_queue.queue(db, actor, now=NOW)
        with pytest.raises(NotAllowed):
            bench.sign_by(db, actor, AMA)


def test_one_evaluation_carries_one_signature_however_many_press_at_once(db: Database) -> None:
    bench.make_ready(db, AMA)
    actors = [bench.enter(db, SOL) for _ in range(4)]

    def press(number: int) -> str:
        try:
            return bench.sign_by(db, actors[number], AMA).number
        except TrainerError as refused:
            return type(refused).__name__

    with ThreadPoolExecutor(4) as pool:
        outcomes = sorted(pool.map(press, range(4)))
    assert outcomes == ["NotReady", "NotReady", "NotReady", "QR-2027-0001"]


def test_numbers_run_on_within_the_year(db: Database) -> None:
    for someone in (AMA, BEN):
        bench.make_ready(db, someone)
    sol = bench.enter(db, SOL)
    numbers = [bench.sign_by(db, sol, someone).number for someone in (AMA, BEN)]
    assert numbers == ["QR-2027-0001", "QR-2027-0002"]
    bench.show_anew(db, AMA, LATER)
    assert bench.sign_by(db, bench.enter(db, SOL, LATER), AMA, LATER).number == "QR-2030-0001"


def test_a_renewal_supersedes_and_ends_what_was_before(db: Database) -> None:
    bench.make_ready(db, AMA)
    first = bench.sign_by(db, bench.enter(db, SOL), AMA)
    bench.show_anew(db, AMA, LATER)
    (line,) = sign_off_queue.queue(db, bench.enter(db, SOL, LATER), now=LATER)
    assert line.supersedes == first.number
    second = bench.sign_by(db, bench.enter(db, SOL, LATER), AMA, LATER)
    assert (second.supersedes, second.valid_until) == (first.number, date(2033, 2, 1))
    newest, oldest = signed_records.my_record(db, bench.enter(db, AMA, LATER), now=LATER)
    assert (newest.number, oldest.number) == (second.number, first.number)
    assert (oldest.ended_on, oldest.ended_because) == (date(2030, 2, 1), f"Superseded by {second.number}.")
    assert (newest.standing, oldest.standing) == (Standing.SIGNED, Standing.LAPSED)


def test_who_was_qualified_on_a_day(db: Database) -> None:
    bench.make_ready(db, AMA)
    first = bench.sign_by(db, bench.enter(db, SOL), AMA)
    bench.show_anew(db, AMA, LATER)
    second = bench.sign_by(db, bench.enter(db, SOL, LATER), AMA, LATER)
    days = {
        date(2027, 3, 16): None,
        date(2027, 3, 17): first.number,
        date(2030, 1, 31): first.number,
        date(2030, 2, 1): second.number,
        date(2033, 2, 1): second.number,
        date(2033, 2, 2): None,
    }
    with db.reading() as unit:
        for day, number in days.items():
            held = qualifications.holds(unit, AMA.id, TASK.id, day)
            assert (held.number if held else None) == number, day


def test_what_lapsed_is_superseded_but_keeps_its_own_end(db: Database) -> None:
    bench.make_ready(db, AMA)
    first = bench.sign_by(db, bench.enter(db, SOL), AMA)
    after = datetime(2030, 6, 1, 8, 0, tzinfo=UTC)
    (line,) = practise.my_sheet(db, bench.enter(db, AMA, after), now=after).modules
    assert line.standing is Standing.LAPSED
    assert line.missing == (
        "An assessment sitting; the mentor releases it.",
        "A new evaluation: that of 2027-03-17 has been used or is too old.",
    )
    bench.show_anew(db, AMA, after)
    second = bench.sign_by(db, bench.enter(db, SOL, after), AMA, after)
    assert second.supersedes == first.number
    _, oldest = signed_records.my_record(db, bench.enter(db, AMA, after), now=after)
    assert (oldest.ended_on, oldest.valid_until) == (None, date(2030, 3, 17))


@pytest.mark.parametrize(
    ("days_before_the_end", "expected"),
    [(61, Standing.SIGNED), (60, Standing.ENDS_SOON), (0, Standing.ENDS_SOON), (-1, Standing.LAPSED)],
)
def test_the_standing_on_the_days_around_the_end(
    db: Database, days_before_the_end: int, expected: Standing
) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    then = datetime(2030, 3, 17, 12, tzinfo=UTC) - timedelta(days=days_before_the_end)
    (held,) = signed_records.my_record(db, bench.enter(db, AMA, then), now=then)
    assert held.standing is expected
    (line,) = practise.my_sheet(db, bench.enter(db, AMA, then), now=then).modules
    assert line.standing is expected


def test_who_may_read_a_record(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    for someone in (AMA, MIRA, SOL, INES):
        assert signed_records.record(db, bench.enter(db, someone), number).number == number
    for someone in (BEN, CLEO, KIT):
        with pytest.raises(NotFound):
            signed_records.record(db, bench.enter(db, someone), number)
    assert signed_records.record(db, SYSTEM, number).number == number
    with pytest.raises(NotFound):
        signed_records.record(db, SYSTEM, "QR-1999-0001")


def test_the_log_holds_the_record_as_signed(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "qualification:sign"]
    assert entry.person_id == SOL.id
    assert json.loads(entry.payload)["record"] == json.loads(
        json.dumps(signed_records.record(db, SYSTEM, number).as_data())
    )


def test_practice_neither_makes_nor_breaks_a_sign_off(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.practise_once(db, bench.enter(db, AMA), right=False)
    assert len(sign_off_queue.queue(db, bench.enter(db, SOL), now=NOW)) == 1


def test_who_is_near_is_told_with_what_is_missing(db: Database) -> None:
    _bench_missing(db)
    sol = bench.enter(db, SOL)
    (line,) = sign_off_queue.not_yet(db, sol, now=NOW)
    assert (line.person_id, line.task_id) == (AMA.id, TASK.id)
    assert [text.split(":")[0] for text in line.missing] == ["The order of the work, critical", "Torque"]
    assert all("a mentor must still see 1 right at the bench" in text for text in line.missing)
    with pytest.raises(sign_off_queue.NotReady, match="must still see 1 right at the bench"):
        sign_off_queue.ready(db, sol, AMA.id, TASK.id, now=NOW)
    bench.watch(db, AMA)
    assert sign_off_queue.not_yet(db, sol, now=NOW) == ()
    bench.sign_by(db, sol, AMA)
    assert sign_off_queue.not_yet(db, sol, now=NOW) == ()


def test_who_is_through_the_sittings_waits_for_the_evaluation_in_the_open(db: Database) -> None:
    _evaluation_missing(db)
    (line,) = sign_off_queue.not_yet(db, bench.enter(db, SOL), now=NOW)
    assert line.missing == ("An evaluation, with the abnormal conditions.",)
    for someone in (AMA, MIRA, INES, KIT):
        with pytest.raises(NotAllowed):
            sign_off_queue.not_yet(db, bench.enter(db, someone), now=NOW)


def test_a_record_without_classes_is_still_restored(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    record = signed_records.record(db, SYSTEM, number)
    old = {k: v for k, v in record.as_data().items() if k not in ("statement", "classes")}
    assert kept_record.restored(old) == replace(record, statement="", classes=())
    assert kept_record.restored(record.as_data()) == record
