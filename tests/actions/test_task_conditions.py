"""Each condition that the owner sets for a task refuses and allows, at the evaluation, at the bench and at the signature."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.people import AMA, MIRA, OTHER_CREW, SOL
from trainer.actions import (
    covered_tasks,
    evaluate,
    kept_record,
    observe,
    replay,
    sign_off_queue,
    signed_records,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.evaluate import EvaluationUnfit
from trainer.actions.evaluator import qualified_since
from trainer.actions.sign_off_queue import NotReady
from trainer.dates import add_months
from trainer.records.conditions import Conditions, Evaluators, Methods, Span
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.records.suspension import Cause, Suspension
from trainer.store.observations import Entry
from trainer.store.qualifications import Term

if TYPE_CHECKING:
    from trainer.actions.opening import Database

WORDS = (Method.WRITTEN, Method.ORAL)
SEEN = (Method.SIMULATION, Method.ORAL)


def set_for_task(db: Database, **changed: Any) -> None:
    """Let the keeper set conditions of the task."""
    task = covered_tasks.sheet(db, SYSTEM, TASK.id).task
    bench.set_task(db, replace(task, conditions=replace(task.conditions, **changed)))


@pytest.mark.parametrize(
    ("methods", "used", "said"),
    [
        (Methods((Method.WRITTEN, Method.ORAL)), WORDS, ""),
        (
            Methods((Method.WRITTEN, Method.ORAL)),
            SEEN,
            "Observation during simulation is not allowed for T-31",
        ),
        (Methods(always=(Method.WRITTEN,)), WORDS, ""),
        (Methods(always=(Method.WRITTEN,)), SEEN, "uses this method: written examination"),
        (Methods(one_of=(Method.ON_THE_JOB, Method.SIMULATION)), SEEN, ""),
        (Methods(one_of=(Method.ON_THE_JOB, Method.SIMULATION)), WORDS, "uses at least one of these"),
    ],
)
def test_an_evaluation_is_made_by_the_methods_of_its_task(
    db: Database, methods: Methods, used: tuple[Method, ...], said: str
) -> None:
    set_for_task(db, methods=methods)
    bench.give_module(db, AMA)
    if not said:
        assert bench.evaluate_by(db, bench.enter(db, MIRA), AMA, methods=used).methods == used
        return
    with pytest.raises(EvaluationUnfit, match=said) as refused:
        bench.evaluate_by(db, bench.enter(db, MIRA), AMA, methods=used)
    assert str(refused.value).count(". ") == 0


def test_what_waits_for_a_signature_must_fit_the_methods_set_now(db: Database) -> None:
    bench.make_ready(db, AMA)
    assert sign_off_queue.queue(db, bench.enter(db, SOL), now=NOW)
    set_for_task(db, methods=Methods(always=(Method.WRITTEN,)))
    assert sign_off_queue.queue(db, bench.enter(db, SOL), now=NOW) == ()
    with pytest.raises(NotReady, match="does not fit what is set for the task now"):
        bench.sign_by(db, bench.enter(db, SOL), AMA)
    methods = (Method.SIMULATION, Method.WRITTEN)
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA, methods=methods)
    assert bench.sign_by(db, bench.enter(db, SOL), AMA).number


def _why_not(db: Database, evaluators: Evaluators) -> str:
    """Let Mira, an appointed mentor of Ama's crew who assigned nothing, try to evaluate Ama under these conditions."""
    set_for_task(db, evaluators=replace(evaluators, because="Two pairs of eyes."))
    try:
        bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    except NotAllowed as refused:
        return str(refused)
    return ""


def test_an_appointment_is_enough_unless_the_task_asks_for_more(db: Database) -> None:
    bench.give_module(db, AMA)
    told = _why_not(db, Evaluators(appointment_enough=False))
    assert "an appointment is not enough; the programme's reason: Two pairs of eyes." in told
    assert _why_not(db, Evaluators(months_held=12)) == ""


def test_months_of_holding_are_counted_to_the_day_of_the_evaluation(db: Database) -> None:
    """Sol, qualified today, evaluates by that right from the day on which the months are full."""
    bench.qualify_supervisor(db)
    bench.give_module(db, AMA)
    set_for_task(
        db, evaluators=Evaluators(appointment_enough=False, months_held=2, because="Two pairs of eyes.")
    )
    early = NOW + timedelta(days=60)
    assert early.date() < add_months(NOW.date(), 2)
    with pytest.raises(NotAllowed, match="for 2 months without a break, and that began on 2027-03-17"):
        bench.evaluate_by(db, bench.enter(db, SOL, early), AMA, now=early)
    late = NOW + timedelta(days=61)
    assert late.date() == add_months(NOW.date(), 2)
    assert bench.evaluate_by(db, bench.enter(db, SOL, late), AMA, now=late).evaluation_id


def test_somebody_of_another_crew_can_be_asked_for(db: Database) -> None:
    bench.give_module(db, AMA)
    assert "Somebody of another crew" in _why_not(db, Evaluators(other_crew=True))
    register.change(db, SYSTEM, SOL.id, evaluator=True, crew=OTHER_CREW, now=NOW)
    assert bench.evaluate_by(db, bench.enter(db, SOL), AMA).evaluation_id


def test_whoever_put_it_on_the_sheet_can_be_kept_from_evaluating(db: Database) -> None:
    bench.give_module(db, AMA)
    assert _why_not(db, Evaluators(not_who_assigned=True)) == ""
    register.change(db, SYSTEM, SOL.id, evaluator=True, now=NOW)
    with pytest.raises(NotAllowed, match="Whoever put the procedure on the person's sheet"):
        bench.evaluate_by(db, bench.enter(db, SOL), AMA)


def test_the_same_holds_at_the_bench_and_stands_on_the_mentors_sheet(db: Database) -> None:
    bench.give_module(db, AMA)
    mira = bench.enter(db, MIRA)
    number = observe.begin(db, mira, AMA.id, MODULE, "DN 80", ticket="one", now=NOW)
    observe.mark(db, mira, number, [Entry("a", StepSeen("shut", StepMark.UNAIDED, "", NOW))], now=NOW)
    assert evaluate.why_nots(db, mira, AMA.id, now=NOW) == {}
    set_for_task(db, evaluators=Evaluators(other_crew=True, because="Two pairs of eyes."))
    with pytest.raises(NotAllowed, match="another crew"):
        observe.close(db, mira, number, order=(), result="Seen.", password=MIRA.password, now=NOW)
    with pytest.raises(NotAllowed, match="another crew"):
        observe.begin(db, mira, AMA.id, MODULE, "DN 80", ticket="two", now=NOW)
    assert "another crew" in evaluate.why_nots(db, mira, AMA.id, now=NOW)[MODULE]
    assert "another crew" in evaluate.prepare(db, mira, AMA.id, MODULE, now=NOW).why_not


def test_a_record_keeps_the_conditions_it_was_signed_under(db: Database) -> None:
    set_for_task(db, span=Span(1, "Both hands are seen."), methods=Methods(always=(Method.ORAL,)))
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    set_for_task(db, span=Span(0, "Nobody."), methods=Methods())
    signed = signed_records.record(db, SYSTEM, number)
    assert signed.conditions == Conditions(
        Methods(always=(Method.ORAL,)), Span(1, "Both hands are seen."), Evaluators()
    )
    assert kept_record.restored(signed.as_data()) == signed


def test_a_record_from_before_there_were_conditions_gives_the_same_data(db: Database) -> None:
    bench.make_ready(db, AMA)
    signed = signed_records.record(db, SYSTEM, bench.sign_by(db, bench.enter(db, SOL), AMA).number)
    earlier = signed.as_data()
    earlier.pop("conditions")
    assert kept_record.restored(earlier).conditions is None
    assert kept_record.restored(earlier).as_data() == earlier


def test_decisions_are_judged_by_what_was_set_at_their_entry(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    set_for_task(db, methods=Methods(WORDS), span=Span(2, "Both are seen."))
    done = replay.decisions(db, SYSTEM)
    assert (done.decisions, done.troubles) == (1, ())


def test_a_decision_that_does_not_fit_what_was_set_is_found(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_for_task(db, methods=Methods(always=(Method.WRITTEN,)))
    with monkeypatch.context() as lax:
        lax.setattr(Methods, "why_not", lambda *_: None)
        bench.make_ready(db, AMA)
        bench.sign_by(db, bench.enter(db, SOL), AMA)
    told = [trouble.text for trouble in replay.decisions(db, SYSTEM).troubles]
    assert len(told) == 2
    assert told[0].startswith("Evaluation 1 does not fit what was set for its task")
    assert told[1].startswith("Record QR-2027-0001 does not fit what was set for its task")


def _term(begins: date, ends: date, *suspended: Suspension) -> Term:
    return Term("QR-1", AMA.id, TASK.id, begins, ends, "", suspended=suspended)


def _suspension(begins: date, ends: date) -> Suspension:
    return Suspension(1, AMA.id, TASK.id, Cause.INCIDENT, begins, "", "QR-1", "", "", NOW, ended_on=ends)


def test_the_time_without_a_break_goes_through_renewals_and_ends_at_gaps_and_suspensions() -> None:
    first, second = _term(date(2024, 1, 1), date(2025, 6, 1)), _term(date(2025, 6, 2), date(2027, 1, 1))
    day = date(2026, 1, 1)
    assert qualified_since([second, first], day) == date(2024, 1, 1)
    assert qualified_since([second], day) == date(2025, 6, 2)
    assert qualified_since([second._replace(valid_from=date(2025, 6, 3)), first], day) == date(2025, 6, 3)
    held_back = _suspension(date(2025, 7, 1), date(2025, 8, 1))
    assert qualified_since([second._replace(suspended=(held_back,)), first], day) == date(2025, 8, 1)
    assert qualified_since([first], day) is None
    assert qualified_since([], day) is None


def test_the_people_of_these_tests_are_who_they_are_taken_for() -> None:
    """Else a condition might refuse somebody for another reason."""
    assert MIRA.crew == SOL.crew == AMA.crew != OTHER_CREW
    assert (MIRA.evaluator, SOL.evaluator) == (True, False)
