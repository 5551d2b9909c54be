"""Rows that most tests of the store need: a task, a revision in force, an attempt, an evaluation, a qualification."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

from tests import people
from trainer.records.earlier import EarlierRecord
from trainer.records.keeping import Word
from trainer.records.methods import Method
from trainer.records.qualification import CoveredTask, Signature
from trainer.records.suspension import Cause
from trainer.store import (
    attempts,
    changes,
    evaluations,
    keeping,
    life_events,
    modules,
    qualifications,
    sittings,
    summaries,
    tasks,
)

if TYPE_CHECKING:
    from trainer.store.keeping import KeepingEvent
    from trainer.store.session import Unit

TASK = CoveredTask(
    id="T-31",
    title="Overhaul the main valve",
    interval_months=36,
    interval_because="Done about twice a year (invented).",
    abnormal_conditions=("The gauge does not fall to zero",),
    group="Main valve",
    needed=2,
)
REVISION = "a" * 64
NEXT_REVISION = "b" * 64
NOON = datetime(2027, 3, 17, 12, 0, tzinfo=UTC)


def publish(unit: Unit, revision: str = REVISION, *, at: datetime = NOON, by: str = people.KIT.id) -> None:
    """Register the task and put a revision of the module `main-valve` in force."""
    tasks.put(unit, TASK)
    modules.add(
        unit,
        revision=revision,
        module_id="main-valve",
        title="Overhaul the main valve",
        document="D-1",
        task_id=TASK.id,
        file="main-valve.yaml",
        source="module: main-valve\n",
        canonical='{"module":"main-valve"}',
        at=at,
        by=by,
    )
    modules.put_in_force(unit, "main-valve", revision, at)


def attempt(
    unit: Unit,
    ticket: str,
    *,
    seed: int = 1,
    right: bool = True,
    counts: bool = True,
    person: str = people.AMA.id,
    skill: str = "order:strip",
    size: str = "DN 80",
    at: datetime = NOON,
) -> int:
    """Keep an attempt and count it in, as practising does."""
    number = attempts.add(
        unit,
        ticket=ticket,
        person_id=person,
        module_id="main-valve",
        address=attempts.Address(REVISION, "order", size, seed),
        skill=skill,
        answer=["vent", "lift"],
        mark={"right": right, "credit": "1" if right else "0.5"},
        right=right,
        critical=False,
        credit_thousandths=1000 if right else 500,
        counts=counts,
        started_at=None,
        at=at,
    )
    if counts:
        summaries.count_in(
            unit,
            person_id=person,
            module_id="main-valve",
            revision=REVISION,
            skill=skill,
            right=right,
            at=at,
        )
    return number.id


def evaluation(
    unit: Unit,
    *,
    person: str = people.AMA.id,
    revision: str = REVISION,
    passed: bool = True,
    abnormal_passed: bool = True,
    at: datetime = NOON,
) -> int:
    """Keep an evaluation by the mentor."""
    return evaluations.add(
        unit,
        person_id=person,
        module_id="main-valve",
        revision=revision,
        task_id=TASK.id,
        evaluated_on=at.date(),
        methods=(Method.SIMULATION, Method.ORAL),
        abnormal_conditions=TASK.abnormal_conditions,
        abnormal_passed=abnormal_passed,
        passed=passed,
        note="Vented and proved zero before she touched a nut.",
        evaluator_id=people.MIRA.id,
        evaluator_name=people.MIRA.display_name,
        basis="appointed evaluator",
        meaning="I evaluated this person.",
        at=at,
    ).id


def qualification(
    evaluation_id: int,
    number: str = "QR-2027-0001",
    *,
    person: str = people.AMA.id,
    valid_from: date = date(2027, 3, 17),
    valid_until: date = date(2030, 3, 17),
    supersedes: str = "",
) -> qualifications.Qualification:
    """Return a qualification signed by the supervisor."""
    return qualifications.Qualification(
        number=number,
        person_id=person,
        task_id=TASK.id,
        evaluation_id=evaluation_id,
        evaluated_on=valid_from,
        valid_from=valid_from,
        valid_until=valid_until,
        signed_by=people.SOL.id,
        signer_name=people.SOL.display_name,
        signed_at=datetime(valid_from.year, valid_from.month, valid_from.day, 14, tzinfo=UTC),
        meaning="I qualify this person.",
        supersedes=supersedes,
        record={"record": "qualification", "number": number},
    )


def released(unit: Unit, *, person: str = people.AMA.id, at: datetime = NOON) -> sittings.Sitting:
    """Release somebody for a sitting."""
    return sittings.release(
        unit,
        person_id=person,
        module_id="main-valve",
        revision=REVISION,
        policy="d" * 64,
        drawn_with="chance",
        shown=2,
        skills=3,
        because="I have seen the work.",
        released_by=people.MIRA.id,
        at=at,
    )


def asked(
    unit: Unit, sitting_id: int, position: int, *, seed: int | None = None, likeness: str = "e"
) -> None:
    """Put a question."""
    sittings.ask(
        unit,
        sitting_id,
        position,
        element_class="order",
        series=1,
        skill="order:strip",
        address=attempts.Address(REVISION, "order", "DN 80", position if seed is None else seed),
        likeness=likeness * 64,
        at=NOON,
    )


def answered(unit: Unit, sitting_id: int, position: int, *, right: bool = True) -> None:
    """Keep the answer to a question."""
    sittings.answer(
        unit,
        sitting_id,
        position,
        ticket=f"t{position}",
        answer=["vent", "lift"],
        mark={"right": right, "credit": "1" if right else "0.5"},
        right=right,
        critical=not right,
        credit_thousandths=1000 if right else 500,
        at=NOON,
    )


def sitting(unit: Unit, *, person: str = people.AMA.id) -> int:
    """Keep a sitting of one question, from its release to its end."""
    number = released(unit, person=person).id
    asked(unit, number, 1)
    answered(unit, number, 1)
    sittings.end(unit, number, how=sittings.How.DECIDED, results=[{"title": "Order"}], at=NOON)
    return number


def suspended(unit: Unit, number: str = "QR-2027-0001", *, person: str = people.AMA.id) -> int:
    """Suspend the person of a qualification."""
    return life_events.add(
        unit,
        person_id=person,
        task_id=TASK.id,
        act=life_events.Happened.SUSPENDED,
        on=NOON.date(),
        reason="Gas was let into an open body.",
        number=number,
        by=people.SOL.id,
        by_name=people.SOL.display_name,
        at=NOON,
        cause=Cause.INCIDENT,
    )


def transcribed(number: str = "EQ-2027-0001", person: people.Someone = people.AMA) -> EarlierRecord:
    """Return a record transcribed from an earlier paper by the keeper."""
    return EarlierRecord(
        number=number,
        company="Invented",
        person=person.display_name,
        person_id=person.id,
        task=TASK.id,
        task_title="Overhaul",
        paper="Sheet 1",
        issued_by="Invented",
        evaluated_on=date(2026, 1, 1),
        methods=(Method.ORAL,),
        valid_from=date(2026, 1, 1),
        valid_until=date(2028, 1, 1),
        until_on_paper=date(2028, 1, 1),
        interval_months=36,
        evaluator="Old Hand",
        supervisor="Old Boss",
        transcribed=Signature("Kit", people.KIT.id, NOON, "As on the paper."),
    )


def said(unit: Unit, act: Word, *, person: people.Someone = people.AMA, **changed: object) -> KeepingEvent:
    """Keep a word about the end of keeping: by the supervisor, or by the keeper where it ends something."""
    by = people.KIT if act in (Word.CONFIRMED, Word.LIFTED) else people.SOL
    values: dict[str, Any] = {
        "person_id": person.id,
        "task_id": TASK.id,
        "act": act,
        "on": NOON.date(),
        "earliest": NOON.date() if act in (Word.PROPOSED, Word.CONFIRMED) else None,
        "reason": "Its time is over.",
        "about": None,
        "by": by.id,
        "by_name": by.display_name,
        "at": NOON,
    }
    number = keeping.add(unit, **(values | changed))
    return next(event for event in keeping.every(unit) if event.id == number)


def change_not_shown(unit: Unit, number: str = "QR-2027-0001", *, person: str = people.AMA.id) -> int:
    """Ask the person of a qualification to show a change, and find it not shown."""
    changes.ask(
        unit,
        person_id=person,
        task_id=TASK.id,
        number=number,
        module_id="main-valve",
        revision=REVISION,
        signed_under="f" * 64,
        classes=["order"],
        reason="The order is another one.",
        due=NOON.date(),
        by=people.KIT.id,
        by_name=people.KIT.display_name,
        at=NOON,
    )
    (asked_for,) = changes.of_person(unit, person)
    return changes.add(
        unit,
        asked_for,
        changes.Step.NOT_SHOWN,
        on=NOON.date(),
        reason="Found not ready.",
        by=people.KIT.id,
        by_name=people.KIT.display_name,
        at=NOON,
    )
