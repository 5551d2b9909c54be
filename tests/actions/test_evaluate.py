from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.people import AMA, BEN, CLEO, INES, MIRA, SOL
from trainer.actions import accounts, evaluate, mentor
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.assign import PersonHasLeft
from trainer.actions.life_steps import LifeStepRefused
from trainer.records.methods import Method
from trainer.records.qualification import MEANING_EVALUATED
from trainer.store import evaluations, events

if TYPE_CHECKING:
    from trainer.actions.opening import Database


@pytest.fixture(autouse=True)
def _on_their_sheets(db: Database) -> None:
    """What is evaluated or watched has been assigned before."""
    for someone in (AMA, BEN, MIRA):
        bench.give_module(db, someone)


def test_an_evaluation_is_recorded_under_the_evaluators_name(db: Database) -> None:
    view = bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    assert (view.person_id, view.person_name, view.module_id, view.task_id) == (
        AMA.id,
        AMA.display_name,
        MODULE,
        TASK.id,
    )
    assert view.methods == (Method.SIMULATION, Method.ORAL)
    assert view.abnormal_conditions == TASK.abnormal_conditions
    assert (view.passed, view.abnormal_passed) == (True, True)
    assert (view.evaluator.person, view.evaluator.name) == (MIRA.id, MIRA.display_name)
    assert (view.evaluator.at, view.evaluator.meaning) == (NOW, MEANING_EVALUATED)
    assert view.basis == "appointed as evaluator"
    (listed,) = mentor.person(db, bench.enter(db, MIRA), AMA.id, now=NOW).evaluations
    assert listed.evaluation_id == view.evaluation_id
    assert listed.token is None


def test_recording_gives_the_session_a_new_token(db: Database) -> None:
    entered = accounts.sign_in(db, MIRA.sign_in_name, MIRA.password, address="192.0.2.1", now=NOW)
    view = bench.evaluate_by(db, entered.actor, AMA)
    assert view.token is not None
    assert accounts.actor_for(db, entered.token, now=NOW) is None
    assert accounts.actor_for(db, view.token, now=NOW) == entered.actor


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"methods": ()}, "No method"),
        ({"methods": (Method.WORK_HISTORY,)}, r"192\.809\(d\)"),
        ({"methods": (Method.ON_THE_JOB, Method.ON_THE_JOB)}, r"192\.809\(e\)"),
        ({"note": "  "}, "Write down what you saw"),
        ({"evaluated_on": date(2027, 3, 18)}, "future"),
        ({"aoc_discussed": ("The moon is full",)}, "The moon is full"),
        ({"aoc_discussed": TASK.abnormal_conditions[:1]}, TASK.abnormal_conditions[1]),
    ],
)
def test_an_evaluation_that_cannot_carry_a_qualification_is_refused(
    db: Database, changed: dict[str, Any], told: str
) -> None:
    with pytest.raises(evaluate.EvaluationUnfit, match=told):
        bench.evaluate_by(db, bench.enter(db, MIRA), AMA, **changed)
    with db.reading() as unit:
        assert evaluations.of_person(unit, AMA.id) == ()


def test_one_that_was_not_passed_is_recorded_as_it_was(db: Database) -> None:
    view = bench.evaluate_by(
        db, bench.enter(db, MIRA), AMA, passed=False, aoc_passed=False, aoc_discussed=(), note="Stopped her."
    )
    assert (view.passed, view.abnormal_passed, view.abnormal_conditions) == (False, False, ())


def test_a_wrong_password_records_nothing_and_leaves_the_session(db: Database) -> None:
    entered = accounts.sign_in(db, MIRA.sign_in_name, MIRA.password, address="192.0.2.1", now=NOW)
    with pytest.raises(accounts.PasswordWrong):
        bench.evaluate_by(db, entered.actor, AMA, password=AMA.password)
    assert accounts.actor_for(db, entered.token, now=NOW) == entered.actor
    with db.reading() as unit:
        assert evaluations.of_person(unit, AMA.id) == ()


def test_an_evaluator_is_appointed_or_qualified_that_day(db: Database) -> None:
    sol = bench.enter(db, SOL)
    with pytest.raises(NotAllowed, match="be appointed as evaluator"):
        bench.evaluate_by(db, sol, BEN)
    # Signed off for the task himself, he evaluates by right of that, from that day on.
    signed = bench.qualify_supervisor(db)
    view = bench.evaluate_by(db, bench.enter(db, SOL), BEN)
    assert view.basis == f"qualified for {TASK.id} under {signed.number}"
    with pytest.raises(NotAllowed):
        bench.evaluate_by(db, bench.enter(db, SOL), BEN, evaluated_on=date(2027, 3, 16))


def test_nobody_evaluates_themselves(db: Database) -> None:
    with pytest.raises(NotAllowed, match="themselves"):
        bench.evaluate_by(db, bench.enter(db, MIRA), MIRA)


def test_a_mentor_does_not_evaluate_a_stranger_and_others_do_not_evaluate(db: Database) -> None:
    with pytest.raises(NotFound):
        bench.evaluate_by(db, bench.enter(db, MIRA), CLEO)
    for someone in (AMA, INES):
        with pytest.raises(NotAllowed):
            bench.evaluate_by(db, bench.enter(db, someone), BEN)


def test_nobody_is_evaluated_after_leaving(db: Database) -> None:
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    with pytest.raises(PersonHasLeft):
        bench.evaluate_by(db, bench.enter(db, MIRA), BEN)


def test_what_the_evaluator_has_in_front_of_them(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.practise_once(db, bench.enter(db, AMA))
    sheet = evaluate.prepare(db, bench.enter(db, MIRA), AMA.id, MODULE, now=NOW)
    assert (sheet.person.person_id, sheet.task, sheet.why_not) == (AMA.id, TASK, "")
    assert sum(skill.attempts for skill in sheet.skills) == 1
    assert "appointed" in evaluate.prepare(db, bench.enter(db, SOL), AMA.id, MODULE, now=NOW).why_not
    with pytest.raises(NotFound):
        evaluate.prepare(db, bench.enter(db, MIRA), AMA.id, "no-such-module", now=NOW)


def test_the_log_holds_the_whole_evaluation(db: Database) -> None:
    bench.evaluate_by(db, bench.enter(db, MIRA), AMA)
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "evaluation:record"]
    assert entry.person_id == MIRA.id
    assert '"methods":["simulation","oral"]' in entry.payload
    assert '"meaning":' in entry.payload


def test_nobody_is_evaluated_for_what_is_not_on_their_sheet(db: Database) -> None:
    bench.qualify_supervisor(db)
    sol = bench.enter(db, SOL)
    with pytest.raises(LifeStepRefused, match="not possible here: not assigned; assign the module first"):
        bench.evaluate_by(db, sol, CLEO)
    with db.reading() as unit:
        assert evaluations.of_person(unit, CLEO.id) == ()
    bench.give_module(db, CLEO)
    assert bench.evaluate_by(db, bench.enter(db, SOL), CLEO).person_id == CLEO.id
