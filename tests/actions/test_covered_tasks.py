"""The register of covered tasks: the file is the first word, the keeper's page the last, and each change is kept whole."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.people import AMA, EVERYBODY, KIT, SOL
from trainer.actions import accounts, covered_tasks, sitting, task_form
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.covered_tasks import AgencyUnfit, ChangedMeanwhile, ReasonMissing
from trainer.actions.task_form import TaskUnfit
from trainer.actions.unaided import SittingUnderWay
from trainer.records.conditions import Conditions, Evaluators, Finding, Ground, Grounds, Methods, Span
from trainer.records.methods import Method
from trainer.records.qualification import CoveredTask
from trainer.store import events, task_changes, tasks

if TYPE_CHECKING:
    from trainer.actions.opening import Database

FULL = replace(
    TASK,
    grounds=Grounds(tuple(Finding(ground, True, "Invented.") for ground in Ground), "192.739(a)"),
    conditions=Conditions(
        Methods((Method.WRITTEN, Method.ORAL, Method.SIMULATION), (Method.ORAL,), (Method.SIMULATION,)),
        Span(2, "Both are seen."),
        Evaluators(False, 12, True, True, "Two pairs of eyes."),
    ),
)


def change(db: Database, fields: dict[str, str], **changed: Any) -> None:
    """Let the keeper change fields of the task."""
    typed = task_form.as_typed(covered_tasks.sheet(db, SYSTEM, TASK.id).task) | fields
    bench.set_task(db, task_form.read(TASK.id, typed), **changed)


@pytest.mark.parametrize("task", [TASK, FULL], ids=["bare", "full"])
def test_what_is_typed_gives_the_task_that_it_was_filled_from(task: CoveredTask) -> None:
    assert task_form.read(task.id, task_form.as_typed(task)) == task


@pytest.mark.parametrize(("field", "typed", "said"), [
    ("title", " ", "the title is missing"),
    ("title", "x" * 201, "the title holds 200 characters at most"),
    ("needed", "many", "whole number between 0 and 999"),
    ("interval_months", "0", "whole number between 1 and 120"),
    ("interval_months", "121", "whole number between 1 and 120"),
    ("interval_because", "", "the reason for the interval is missing"),
    ("abnormal_conditions", "\n \n", "the abnormal conditions are missing"),
    ("span", "-1", "whole number between 0 and 9"),
    ("span_because", "", "the reason for the span of control is missing"),
    ("months_held", "x", "whole number between 0 and 120"),
    ("evaluators_because", "", "say why this is asked of evaluators"),
    ("because.affects", "", "say why 192.801(b)(4) is met"),
    ("met.affects", "", "say whether 192.801(b)(4) is met"),
    ("required_by", "", "name the paragraph"),
])  # fmt: skip
def test_a_wrong_field_is_told_at_its_place(field: str, typed: str, said: str) -> None:
    with pytest.raises(TaskUnfit) as told:
        task_form.read("T-31", task_form.as_typed(FULL) | {field: typed})
    (words,) = told.value.fields.values()
    assert said in words
    assert said in str(told.value)


def test_methods_that_nobody_could_be_evaluated_by_are_told() -> None:
    only_history = {f"method.{method}": "not" for method in Method} | {"method.work_history": "may"}
    with pytest.raises(TaskUnfit) as told:
        task_form.read("T-31", task_form.as_typed(FULL) | only_history)
    assert "192.809(d)" in told.value.fields["methods"]


def test_a_reason_for_asking_nothing_of_evaluators_is_left_out() -> None:
    typed = task_form.as_typed(TASK) | {"evaluators_because": "For nothing."}
    assert task_form.read("T-31", typed).conditions.evaluators == Evaluators()


def test_a_change_holds_from_that_moment_and_is_kept_whole(db: Database) -> None:
    change(db, {"span": "1", "span_because": "Both hands are seen.", "interval_months": "24"})
    sheet = covered_tasks.sheet(db, SYSTEM, TASK.id)
    assert sheet.task.conditions.span == Span(1, "Both hands are seen.")
    assert [one.what for one in sheet.changes[0].differences] == [
        "Interval",
        "Span of control",
        "Why this span",
    ]
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "task:change"]
        (kept, first) = task_changes.every(unit, task_id=TASK.id)
    told = json.loads(entry.payload)
    assert entry.person_id == KIT.id
    assert (CoveredTask.read(told["before"]), CoveredTask.read(told["after"])) == (TASK, sheet.task)
    assert (told["because"], told["significant"], told["told_on"]) == ("After the winter.", False, "")
    assert (kept.number, kept.before, kept.after, kept.on_page) == (told["number"], TASK, sheet.task, True)
    assert (first.before, first.after, first.on_page, first.set_by) == (None, TASK, False, "")


def test_only_the_keeper_sets_a_task_and_everybody_reads_it(db: Database) -> None:
    typed = task_form.as_typed(TASK) | {"needed": "3"}
    for someone in EVERYBODY:
        actor = bench.enter(db, someone)
        sheet = covered_tasks.sheet(db, actor, TASK.id)
        assert sheet.task == TASK
        assert covered_tasks.every(db, actor).tasks == (TASK,)
        if someone is not KIT:
            with pytest.raises(NotAllowed):
                covered_tasks.change(
                    db,
                    actor,
                    TASK.id,
                    typed,
                    seen=sheet.seen,
                    because="So.",
                    significant=False,
                    told_on=None,
                    password=someone.password,
                    now=NOW,
                )
            with pytest.raises(NotAllowed):
                covered_tasks.tell_agency(db, actor, 1, NOW.date(), password=someone.password, now=NOW)


def test_what_cannot_be_changed_changes_nothing(db: Database) -> None:
    other = {"needed": "3"}
    with pytest.raises(TaskUnfit, match="nothing is different"):
        change(db, {})
    with pytest.raises(ReasonMissing):
        change(db, other, because=" ")
    with pytest.raises(accounts.PasswordWrong):
        change(db, other, password=SOL.password)
    with pytest.raises(ChangedMeanwhile, match="by somebody else meanwhile"):
        change(db, other, seen="0" * 64)
    with pytest.raises(NotFound):
        covered_tasks.sheet(db, SYSTEM, "T-99")
    tomorrow = NOW.date() + timedelta(days=1)
    with pytest.raises(AgencyUnfit, match="in the future"):
        change(db, other, significant=True, told_on=tomorrow)
    with pytest.raises(AgencyUnfit, match="say that this one is"):
        change(db, other, told_on=NOW.date())
    with db.reading() as unit:
        assert tasks.by_id(unit, TASK.id) == TASK
        assert [event.action for event in events.since(unit) if event.action == "task:change"] == []


def test_the_agency_is_told_of_a_significant_change_once(db: Database) -> None:
    """49 CFR 192.805(i), through the twin 195.505(i)."""
    change(db, {"needed": "3"})
    change(db, {"needed": "4"}, significant=True)
    change(db, {"needed": "5"}, significant=True, told_on=date(2027, 3, 10))
    third, second, first = covered_tasks.every(db, SYSTEM).changes
    assert [line.waits_to_be_told for line in (third, second, first)] == [False, True, False]
    assert third.change.told_on == date(2027, 3, 10)
    keeper = bench.enter(db, KIT)

    def tell(number: int, day: date) -> None:
        covered_tasks.tell_agency(db, bench.enter(db, KIT), number, day, password=KIT.password, now=NOW)

    with pytest.raises(AgencyUnfit, match="significant"):
        tell(first.change.number, NOW.date())
    with pytest.raises(AgencyUnfit, match="future"):
        tell(second.change.number, NOW.date() + timedelta(days=1))
    with pytest.raises(AgencyUnfit, match="2027-03-10"):
        tell(third.change.number, NOW.date())
    with pytest.raises(NotFound):
        tell(999, NOW.date())
    tell(second.change.number, date(2027, 3, 16))
    line = covered_tasks.made(db, keeper, second.change.number)
    assert (line.change.told_on, line.waits_to_be_told) == (date(2027, 3, 16), False)
    with db.reading() as unit:
        told = [json.loads(e.payload) for e in events.since(unit) if e.action == "task:tell_agency"]
    assert [(one["number"], one["told_on"]) for one in told] == [(second.change.number, "2027-03-16")]


def test_the_file_does_not_undo_what_was_set_on_the_page(db: Database) -> None:
    other = replace(TASK, id="T-32", title="Another task")
    assert covered_tasks.register(db, SYSTEM, [TASK, other], now=NOW) == ("T-32",)
    change(db, {"interval_months": "24"})
    from_file = [replace(TASK, needed=7), replace(other, needed=7), replace(other, id="T-33")]
    before = covered_tasks.against_file(db, SYSTEM, from_file)
    assert [(d.task.id, d.is_new, d.set_on_page) for d in before] == [
        ("T-31", False, True),
        ("T-32", False, False),
        ("T-33", True, False),
    ]
    assert [(one.what, one.was, one.now) for one in before[0].differences] == [
        ("Needed on the crew", "2", "7"),
        ("Interval", "24 months", "36 months"),
    ]
    assert covered_tasks.register(db, SYSTEM, from_file, now=NOW) == ("T-32", "T-33")
    assert covered_tasks.sheet(db, SYSTEM, TASK.id).task == replace(TASK, interval_months=24)
    assert [d.task.id for d in covered_tasks.against_file(db, SYSTEM, from_file)] == ["T-31"]
    with db.reading() as unit:
        told = [json.loads(e.payload) for e in events.since(unit) if e.action == "task:register"][-1]
    assert [CoveredTask.read(one) for one in told["tasks"]] == from_file[1:]
    assert [one and CoveredTask.read(one) for one in told["before"]] == [other, None]


def test_an_entry_from_before_there_were_conditions_is_read_with_the_defaults() -> None:
    data = TASK.as_data()
    for later in ("grounds", "conditions"):
        data.pop(later)
    assert CoveredTask.read(data) == TASK


def test_nobody_sees_the_abnormal_conditions_while_they_sit(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    sitting.begin(db, ama, bench.release(db, AMA), now=NOW)
    with pytest.raises(SittingUnderWay):
        covered_tasks.sheet(db, ama, TASK.id)
    assert covered_tasks.every(db, ama).tasks == (TASK,)
