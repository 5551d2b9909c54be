"""What the tests of the actions do over and over: come in, practise, evaluate, sign."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from tests import people
from tests.modules import SMALL_VALVE
from tests.snapshots import remembered
from trainer.actions import (
    accounts,
    assign,
    changes,
    covered_tasks,
    evaluate,
    life,
    observe,
    practise,
    publish,
    qualify,
    readiness,
    sitting,
    sitting_release,
    task_form,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, Actor
from trainer.actions.permissions import Role
from trainer.actions.published import in_force, prepared
from trainer.actions.views import DrillAddress
from trainer.competency.sequential import Decision
from trainer.demo import answers
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.records.qualification import CoveredTask
from trainer.records.suspension import Cause
from trainer.store import sign_ins
from trainer.store.observations import Entry
from trainer.store.schema.people import sessions

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.people import Someone
    from trainer.actions.opening import Database
    from trainer.actions.views import AttemptResult, EvaluationView, QualificationView
    from trainer.drills.question import Question

NOW = datetime(2027, 3, 17, 9, 30, tzinfo=UTC)
FOUNDED = datetime(2027, 1, 4, 8, 0, tzinfo=UTC)
MODULE = "small-valve"
TASK = CoveredTask(
    id="T-31",
    title="Overhaul the main valve",
    interval_months=36,
    interval_because="Done about twice a year by everybody (invented).",
    abnormal_conditions=("The gauge does not fall to zero", "Gas is heard at a flange"),
    group="Main valve",
    needed=2,
)


def found(db: Database) -> None:
    """Put everybody, the task and the module into an empty register."""
    covered_tasks.register(db, SYSTEM, [TASK], now=FOUNDED)
    for someone in people.EVERYBODY:
        register.add(
            db,
            SYSTEM,
            someone.sign_in_name,
            someone.display_name,
            someone.roles,
            someone.crew,
            grade=someone.grade,
            evaluator=someone.evaluator,
            password=someone.password,
            now=FOUNDED,
        )
    publish.publish(db, SYSTEM, SMALL_VALVE, file="small-valve.yaml", now=FOUNDED)


def set_task(db: Database, wanted: CoveredTask, now: datetime = NOW, **changed: Any) -> None:
    """Let the keeper set the task so on its page; `changed` says otherwise what is said of the change."""
    seen = covered_tasks.sheet(db, SYSTEM, wanted.id).seen
    values: dict[str, Any] = {
        "seen": seen,
        "because": "After the winter.",
        "significant": False,
        "told_on": None,
        "password": people.KIT.password,
        "now": now,
    }
    keeper = enter(db, people.KIT, now)
    covered_tasks.change(db, keeper, wanted.id, task_form.as_typed(wanted), **(values | changed))


def enter(db: Database, someone: Someone, now: datetime = NOW) -> Actor:
    """Return somebody signed in, without the time that checking a password takes."""
    with db.writing() as unit:
        token = f"token {unit.execute(select(func.count()).select_from(sessions)).scalar_one()}"
        number = sign_ins.open_session(
            unit,
            someone.id,
            token_hash=hashlib.sha256(token.encode()).hexdigest(),
            address="192.0.2.1",
            at=now,
            ends_at=now + timedelta(hours=12),
        )
    actor = accounts.actor_for(db, token, now=now)
    assert actor is not None
    assert actor.session == number
    return actor


def right_answer(db: Database, address: DrillAddress) -> Any:
    """Return an answer that earns full marks."""
    return answers.right(publish.module_at(db, address.revision), address)


def wrong_answer(db: Database, address: DrillAddress) -> Any:
    """Return an answer that is marked wrong."""
    return answers.wrong(publish.module_at(db, address.revision), address)


def hand_in(
    db: Database, actor: Actor, address: DrillAddress, answer: Any, ticket: str, now: datetime = NOW
) -> AttemptResult:
    """Hand in an answer."""
    return practise.answer(
        db,
        actor,
        address.revision,
        address.kind,
        address.size,
        address.seed,
        answer,
        ticket=ticket,
        started=now - timedelta(minutes=2),
        now=now,
    )


def practise_once(
    db: Database, actor: Actor, skill: str | None = None, *, right: bool = True, now: datetime = NOW
) -> AttemptResult:
    """Answer the next drill, right or wrong."""
    address = practise.next_drill(db, actor, MODULE, skill, None, now=now)
    answer = right_answer(db, address) if right else wrong_answer(db, address)
    result = hand_in(db, actor, address, answer, f"{address.kind} {address.size} {address.seed}", now)
    assert result.mark.right is right
    return result


@remembered
def show_everything(db: Database, actor: Actor, now: datetime = NOW) -> None:
    """Practise until every skill of the module is shown."""
    sheet = practise.my_sheet(db, actor, now=now)
    for shown in next(item for item in sheet.modules if item.module_id == MODULE).skills:
        for _ in range(shown.needed - shown.in_a_row):
            practise_once(db, actor, shown.skill.id, now=now)


def give_module(db: Database, someone: Someone, now: datetime = NOW) -> None:
    """Let the supervisor assign the module."""
    assign.assign(db, enter(db, people.SOL, now), someone.id, MODULE, None, now=now)


def evaluate_by(
    db: Database, evaluator: Actor, someone: Someone, now: datetime = NOW, **changed: Any
) -> EvaluationView:
    """Record a passed evaluation, or one changed as told."""
    values: dict[str, Any] = {
        "evaluated_on": now.date(),
        "methods": (Method.SIMULATION, Method.ORAL),
        "aoc_discussed": TASK.abnormal_conditions,
        "aoc_passed": True,
        "passed": True,
        "note": "Vented, proved zero, kept his hands out of the cap's way.",
        "password": next(p for p in people.EVERYBODY if p.id == evaluator.person_id).password,
        "now": now,
    }
    return evaluate.record_evaluation(db, evaluator, someone.id, MODULE, **(values | changed))


@remembered
def make_ready(db: Database, someone: Someone, now: datetime = NOW) -> None:
    """Bring somebody to where only the signature is missing."""
    give_module(db, someone, now)
    show_anew(db, someone, now)


@remembered
def watch(db: Database, someone: Someone, now: datetime = NOW, **marks: StepMark) -> None:
    """Let the mentor watch the whole work at the bench, all of it unaided but for the steps named."""
    mentor = enter(db, people.MIRA, now)
    number = observe.begin(
        db, mentor, someone.id, MODULE, "DN 80", ticket=f"{someone.id} {mentor.session}", now=now
    )
    with db.reading() as unit:
        steps = prepared(unit, in_force(unit, MODULE).revision).module.steps
    entries = [
        Entry(
            step,
            StepSeen(step, marks.get(step, StepMark.UNAIDED), "", now - timedelta(minutes=len(steps) - n)),
        )
        for n, step in enumerate(steps)
    ]
    observe.mark(db, mentor, number, entries, now=now)
    password = people.MIRA.password
    observe.close(db, mentor, number, order=(), result="At the bench.", password=password, now=now)


def sign_by(db: Database, signer: Actor, someone: Someone, now: datetime = NOW) -> QualificationView:
    """Sign somebody off."""
    password = next(p for p in people.EVERYBODY if p.id == signer.person_id).password
    return qualify.sign(db, signer, someone.id, TASK.id, password=password, now=now)


SECOND = "the second supervisor"
INCIDENT = "Gas was let into an open body; the line-up was theirs (invented)."


def hire_second_supervisor(db: Database, now: datetime = NOW) -> None:
    """Put a second supervisor into the register, who signs in with `SECOND`."""
    register.add(db, SYSTEM, "una", "Una Gatewood", [Role.SUPERVISOR], "", password=SECOND, now=now)


def second_supervisor(db: Database, now: datetime = NOW) -> Actor:
    """Return the second supervisor, signed in."""
    return accounts.sign_in(db, "una", SECOND, address="192.0.2.9", now=now).actor


def suspend(db: Database, someone: Someone, now: datetime = NOW, task: str = TASK.id, **changed: Any) -> None:
    """Let the supervisor suspend somebody for a task after an incident, or as told."""
    values: dict[str, Any] = {
        "cause": Cause.INCIDENT,
        "from_day": now.date(),
        "reason": INCIDENT,
        "password": people.SOL.password,
        "now": now,
    }
    life.suspend(db, enter(db, people.SOL, now), someone.id, task, **(values | changed))


def lift(db: Database, someone: Someone, now: datetime = NOW) -> None:
    """Let the second supervisor lift a suspension as unfounded."""
    una = second_supervisor(db, now)
    life.lift(db, una, someone.id, TASK.id, reason="It was another.", password=SECOND, now=now)


def qualify_supervisor(db: Database, now: datetime = NOW) -> QualificationView:
    """Let the supervisor learn the trade too, and have him signed off by a second one."""
    hire_second_supervisor(db, now)
    register.change(db, SYSTEM, people.SOL.id, roles=[Role.SUPERVISOR, Role.TECHNICIAN], now=now)
    una = second_supervisor(db, now)
    make_ready(db, people.SOL, now)
    return qualify.sign(db, una, people.SOL.id, TASK.id, password=SECOND, now=now)


def release(db: Database, someone: Someone, now: datetime = NOW, *, drawn_with: str = "chance") -> int:
    """Let the mentor release somebody for a sitting."""
    mentor = enter(db, people.MIRA, now)
    return sitting_release.release(
        db, mentor, someone.id, MODULE, because="Ready, I have seen the work.", drawn_with=drawn_with, now=now
    )


def address_of(asked: Question) -> DrillAddress:
    """Return where a question stands."""
    return DrillAddress(asked.module, asked.revision, asked.kind, asked.size, asked.seed)


def answer_open(
    db: Database, actor: Actor, number: int, position: int, *, right: bool = True, now: datetime = NOW
) -> int | None:
    """Answer the open question of a sitting, right or wrong; return the next position."""
    return _answer(db, actor, number, position, lambda _skill: not right, now)


def _answer(
    db: Database, actor: Actor, number: int, position: int, wrong: Callable[[str], bool], now: datetime
) -> int | None:
    asked = sitting.question(db, actor, number, position, now=now).question
    answered = wrong_answer if wrong(asked.skill) else right_answer
    given = answered(db, address_of(asked))
    return sitting.answer(db, actor, number, position, given, ticket=f"{number} {position}", now=now)


def sit(
    db: Database,
    someone: Someone,
    number: int,
    now: datetime = NOW,
    *,
    wrong: Callable[[str], bool] = lambda _skill: False,
) -> None:
    """Let somebody answer a released sitting to its end; `wrong` tells of which skills every answer is wrong."""
    actor = enter(db, someone, now)
    position = sitting.begin(db, actor, number, now=now)
    while position:
        position = _answer(db, actor, number, position, wrong, now)


@remembered
def pass_every_class(db: Database, someone: Someone, now: datetime = NOW) -> None:
    """Let somebody sit until every element class is passed."""
    for turn in range(20):
        with db.reading() as unit:
            revision = in_force(unit, MODULE).revision
            where = readiness.of_person(unit, someone.id, revision).readiness
        if all(item.decision is Decision.PASS for item in where.classes):
            return
        sit(db, someone, release(db, someone, now, drawn_with=f"{someone.id} {turn}"), now)
    raise AssertionError(f"{someone.sign_in_name} is not through after twenty sittings")


@remembered
def show_anew(db: Database, someone: Someone, now: datetime) -> None:
    """Bring somebody who has the module to where only the signature is missing, as a renewal asks it."""
    pass_every_class(db, someone, now)
    watch(db, someone, now)
    evaluate_by(db, enter(db, people.MIRA, now), someone, now)


def release_for_change(db: Database, someone: Someone, now: datetime, *, drawn_with: str) -> int:
    """Let the mentor release somebody for a sitting about what a change touches."""
    return sitting_release.release(
        db,
        enter(db, people.MIRA, now),
        someone.id,
        MODULE,
        because="Has read the change.",
        drawn_with=drawn_with,
        now=now,
        for_change=True,
    )


def sit_for_change(db: Database, someone: Someone, now: datetime, *, wrong: bool = False) -> list[int]:
    """Let somebody sit for a change until each class is decided; return the sittings, one after the other."""
    numbers: list[int] = []
    while not numbers or not wrong:
        number = release_for_change(db, someone, now, drawn_with=f"{now} {len(numbers)}")
        sit(db, someone, number, now, wrong=lambda _: wrong)
        numbers.append(number)
        with db.reading() as unit:
            found = changes.of_module(unit, someone.id, MODULE)
        if found is None or found.shown or found.failed:
            break
    return numbers
