"""A working week of the invented company, made by calling actions: what the pages of a full crew show.

Ama is ready and waits for her signature, Ben is in the middle of his practice, Cleo works in another crew, and
the other four look after them. Everything here is invented.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from tests import people as cast
from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.actions import (
    accounts,
    assign,
    covered_tasks,
    evaluate,
    observe,
    people,
    practise,
    publish,
    qualify,
    sitting,
    sitting_release,
    sitting_sheets,
)
from trainer.actions.actor import SYSTEM
from trainer.actions.sitting_views import How
from trainer.drills.answer_forms import Arrange, NextStep, Say
from trainer.procedure import library
from trainer.procedure.library import tables
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database
    from trainer.actions.views import DrillAddress
    from trainer.drills.answer_forms import Answer
    from trainer.procedure.model import Module

NOW = datetime(2027, 3, 22, 14, 32, tzinfo=UTC)
VALVE, PILOT = "small-valve", "small-pilot"
SERVES = {VALVE: "T-31", PILOT: "T-41"}
# The way-round drill asks for two parts at least that have one.
WITH_WAYS = SMALL_VALVE.replace(
    "piston: {rests_on: [guide_cage]}",
    "piston: {rests_on: [guide_cage], faces: {crown: up}, turned: The spring finds no seat and stands askew}",
)
# And one for what is said freely.
WITH_WAYS += """\
sayings:
  zero: {ask: What proves that the body is empty?, say: A gauge that stays at zero, terms: [gauge, zero]}
  lift: {ask: How do you lift the bonnet?, say: Straight up}
"""
SMALL_PILOT = (
    WITH_WAYS.replace("module: small-valve", "module: small-pilot")
    .replace("a small invented valve", "a small invented pilot")
    .replace("TEST-0001", "TEST-0002")
    .replace("covered_task: T-31", "covered_task: T-41")
)


def people_alone(db: Database) -> None:
    """Put the people into the register and nothing else: the empty crew."""
    for someone in cast.EVERYBODY:
        people.add(
            db,
            SYSTEM,
            someone.sign_in_name,
            someone.display_name,
            someone.roles,
            someone.crew,
            grade=someone.grade,
            evaluator=someone.evaluator,
            password=someone.password,
            now=NOW - timedelta(days=400),
        )


def modules(db: Database) -> None:
    """Register the tasks and put two procedures in force."""
    start = NOW - timedelta(days=399)
    covered_tasks.register(db, SYSTEM, tables().tasks.values(), now=start)
    publish.publish(db, SYSTEM, WITH_WAYS, file="small-valve.yaml", now=start)
    publish.publish(db, SYSTEM, SMALL_PILOT, file="small-pilot.yaml", now=start)


def full(db: Database) -> None:
    """Put a whole working week into the database."""
    people_alone(db)
    modules(db)
    mira, sol = enter(db, cast.MIRA), enter(db, cast.SOL)
    for who in (cast.AMA, cast.BEN):
        assign.assign(db, mira, who.id, VALVE, date(2027, 4, 2), now=NOW - timedelta(days=20))
    assign.assign(db, sol, cast.AMA.id, PILOT, None, now=NOW - timedelta(days=20))
    ama = enter(db, cast.AMA)
    for module in (VALVE, PILOT):
        show_every_skill(db, ama, module, at=NOW - timedelta(days=12))
        sat(db, enter(db, cast.MIRA), ama, module, at=NOW - timedelta(days=8))
        mira = evaluated(db, mira, cast.AMA.id, module)
    observed(db, enter(db, cast.MIRA))
    watched(db, enter(db, cast.MIRA), PILOT, "three", "DN 50")
    sign(db, sol, cast.AMA.id, "T-41")
    ben = enter(db, cast.BEN)
    wrong_then_right(db, ben, at=NOW - timedelta(days=2))


def sat(db: Database, mentor: Actor, who: Actor, module_id: str, *, at: datetime) -> None:
    """Let somebody sit, every answer right, until every class is decided."""
    how = How.FULL
    while how is How.FULL:
        how = sat_once(db, mentor, who, module_id, at=at)
        at += timedelta(hours=1)


def sat_once(
    db: Database, mentor: Actor, who: Actor, module_id: str, *, at: datetime, for_change: bool = False
) -> How:
    """Let somebody sit once, every answer right, and return how it ended."""
    number = sitting_release.release(
        db,
        mentor,
        who.person_id,
        module_id,
        because="I have seen the work.",
        drawn_with=f"{at}",
        now=at,
        for_change=for_change,
    )
    position = sitting.begin(db, who, number, now=at)
    while position is not None:
        asked = sitting.question(db, who, number, position, now=at).question
        given = drills.key(publish.module_at(db, asked.revision), asked.kind, asked.size or None, asked.seed)
        position = sitting.answer(db, who, number, position, given, ticket=f"{position}", now=at)
    return sitting_sheets.sheet(db, who, number, now=at).how or How.DECIDED


def observed(db: Database, evaluator: Actor) -> None:
    """Leave an observation of Ben open with three marks (1), and one of all of Ama's work signed (2)."""
    at = NOW - timedelta(hours=2)
    marks = {"shut": StepMark.UNAIDED, "studs": StepMark.WRONG, "vent": StepMark.WORD}
    first = observe.begin(db, evaluator, cast.BEN.id, VALVE, "DN 80", ticket="one", now=at)
    observe.mark(db, evaluator, first, _entries(marks, at), now=NOW)
    watched(db, evaluator, VALVE, "two", "DN 50")


def watched(db: Database, evaluator: Actor, module_id: str, ticket: str, size: str) -> None:
    """Sign an observation of all of Ama's work, all of it unaided."""
    at = NOW - timedelta(hours=2)
    number = observe.begin(db, evaluator, cast.AMA.id, module_id, size, ticket=ticket, now=at)
    every = dict.fromkeys(publish.module_at(db, revision_of(db, module_id)).steps, StepMark.UNAIDED)
    observe.mark(db, evaluator, number, _entries(every, at), now=NOW)
    observe.close(
        db,
        evaluator,
        number,
        order=(),
        result="At the bench, all of it unaided.",
        password=cast.MIRA.password,
        now=NOW - timedelta(hours=1),
    )


def _entries(marks: dict[str, StepMark], at: datetime) -> list[observe.Entry]:
    return [
        observe.Entry(f"{step} {at:%H%M}", StepSeen(step, mark, "", at + timedelta(seconds=number)))
        for number, (step, mark) in enumerate(marks.items())
    ]


def enter(db: Database, who: cast.Someone, *, at: datetime = NOW) -> Actor:
    """Return somebody signed in."""
    return accounts.sign_in(db, who.sign_in_name, who.password, address="127.0.0.1", now=at).actor


def show_every_skill(db: Database, who: Actor, module_id: str, *, at: datetime) -> None:
    """Answer as many drills rightly as practice asks for."""
    revision = revision_of(db, module_id)
    module = publish.module_at(db, revision)
    for skill in drills.skills(module):
        for turn in range(3):
            address = practise.next_drill(db, who, module_id, skill.id, None, now=at)
            give(db, who, address, right_answer(db, address), ticket=f"{skill.id} {turn}", at=at)


def wrong_then_right(db: Database, who: Actor, *, at: datetime) -> None:
    """Answer one order the wrong way round, then one rightly."""
    for turn, right in enumerate((False, True)):
        address = practise.next_drill(db, who, VALVE, None, None, now=at)
        answer = right_answer(db, address) if right else wrong_answer(db, address)
        give(db, who, address, answer, ticket=f"turn {turn}", at=at + timedelta(minutes=turn))


def give(
    db: Database, who: Actor, address: DrillAddress, answer: Answer, *, ticket: str, at: datetime
) -> int:
    """Hand an answer in; return the number of the attempt."""
    result = practise.answer(
        db,
        who,
        address.revision,
        address.kind,
        address.size,
        address.seed,
        answer,
        ticket=f"{address.module_id} {ticket}",
        started=None,
        now=at,
    )
    return result.attempt_id


def right_answer(db: Database, address: DrillAddress) -> Answer:
    """Return an answer that earns full marks."""
    module = publish.module_at(db, address.revision)
    return drills.key(module, address.kind, address.size or None, address.seed)


def wrong_answer(db: Database, address: DrillAddress) -> Answer:
    """Return an order turned upside down, or the first option everywhere."""
    right = right_answer(db, address)
    module = publish.module_at(db, address.revision)
    form = drills.ask(module, address.kind, address.size or None, address.seed).form
    if isinstance(form, NextStep):
        return [_first_wrong_pick(module, address, form)]
    if isinstance(form, Say):
        return {said.id: "I cannot say" for said in form.fields}
    if isinstance(form, Arrange):
        assert isinstance(right, list)
        return right[::-1]
    assert isinstance(right, dict)
    return {name: _other(form, name, value) for name, value in right.items()}  # type: ignore[return-value]


def _first_wrong_pick(module: Module, address: DrillAddress, form: NextStep) -> str:
    size = address.size or None
    return next(
        option.id
        for option in form.options
        if drills.go_on(module, address.kind, size, address.seed, [option.id]) is None
    )


def _other(form: object, name: str, value: object) -> object:
    if isinstance(value, dict):
        return {"value": "1", "unit": value["unit"]}
    rows: Iterable[object] = getattr(form, "rows", ())
    options = next(row.options for row in rows if getattr(row, "id", "") == name)  # type: ignore[attr-defined]
    return next(option.id for option in options if option.id != value)


def evaluated(db: Database, evaluator: Actor, person_id: str, module_id: str) -> Actor:
    """Record a passed evaluation; return the evaluator, still signed in."""
    conditions = tables().tasks[SERVES[module_id]].abnormal_conditions
    evaluate.record_evaluation(
        db,
        evaluator,
        person_id,
        module_id,
        evaluated_on=date(2027, 3, 15),
        methods=(Method.ORAL, Method.SIMULATION),
        aoc_discussed=conditions,
        aoc_passed=True,
        passed=True,
        note="Strip-down and rebuild on the bench valve, DN 80, unaided.",
        password=cast.MIRA.password,
        now=NOW - timedelta(days=1),
    )
    return evaluator


def sign(db: Database, supervisor: Actor, person_id: str, task_id: str) -> str:
    """Sign for somebody; return the number of the record."""
    return qualify.sign(
        db, supervisor, person_id, task_id, password=cast.SOL.password, now=NOW - timedelta(hours=3)
    ).number


def revision_of(db: Database, module_id: str) -> str:
    """Return the revision in force."""
    return next(m.revision for m in publish.current_modules(db, SYSTEM) if m.module_id == module_id)


def with_station(db: Database) -> str:
    """Put the shipped procedure that says how its station is piped in force too; return its revision."""
    return with_shapes(db, "station-run-service")


def with_shapes(db: Database, name: str = "piston-valve-overhaul") -> str:
    """Put the shipped procedure that says what its parts look like in force too; return its revision."""
    path = library.find(name)
    text = path.read_text(encoding="utf-8")
    return publish.publish(db, SYSTEM, text, file=path.name, now=NOW - timedelta(days=30)).revision
