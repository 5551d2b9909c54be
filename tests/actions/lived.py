"""A company in which everything that can be done was done: what has to follow from the log alone."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from tests import databases, pictures
from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK, enter
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CLEO, CREW, KIT, MIRA, SOL, Someone
from trainer.actions import (
    accounts,
    assign,
    confirm_change,
    covered_tasks,
    destruction,
    earlier,
    earlier_in,
    life,
    notices,
    observe,
    panel,
    photographs,
    plan,
    policy,
    provider_sign_in,
    publish,
    sitting,
    sitting_release,
    transcribe,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM
from trainer.actions.permissions import Role
from trainer.actions.plan_views import PlanAsk, PlanLine
from trainer.records import canonical
from trainer.records.cover import Means
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.records.suspension import Cause
from trainer.store import events, ledger, observations
from trainer.store.observations import Entry

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.opening import Database

UNA = "the second supervisor"
LATER = NOW + timedelta(days=20)
_PAPERS = (
    "person,task,paper,issued_by,evaluated_on,valid_from,valid_until,methods,abnormal,evaluator,supervisor\n"
    "ben,T-31,Sheet 12,Marlpit Gas (invented),2025-05-01,2025-05-02,2028-04-30,oral,yes,Old Hand,Old Boss\n"
    "cleo,T-31,Sheet 13,Marlpit Gas (invented),2025-05-01,2025-05-02,2028-04-30,oral,yes,Old Hand,Old Boss\n"
    "ama,T-31,Sheet 14,Marlpit Gas (invented),2025-05-01,2025-05-02,2028-04-30,oral,yes,Old Hand,Old Boss\n"
    "mira,T-31,Sheet 15,Marlpit Gas (invented),2025-05-01,2025-05-02,2028-04-30,oral,yes,Old Hand,Old Boss\n"
)


def live(db: Database) -> None:
    """Do everything, some of it twice."""
    _practise(db)
    _begin_and_give_up(db)
    _bring_papers(db)
    _keep_the_programme(db)
    _change_the_register(db)
    _qualify(db)
    _sittings_that_end_otherwise(db)
    _after_the_signature(db)
    _what_rests_on_paper(db)
    _end_of_keeping(db)


def _practise(db: Database) -> None:
    for someone in (AMA, BEN):
        bench.give_module(db, someone)
    assign.assign(db, enter(db, SOL), BEN.id, MODULE, date(2027, 6, 1), now=NOW)
    assign.assign(db, enter(db, SOL), CLEO.id, MODULE, None, now=NOW)
    assign.withdraw(db, enter(db, SOL), CLEO.id, MODULE, now=NOW)
    ben = enter(db, BEN)
    for turn, right in enumerate((True, False, True)):
        bench.practise_once(db, ben, right=right, now=NOW + timedelta(minutes=turn, microseconds=turn))


def _begin_and_give_up(db: Database) -> None:
    mira = enter(db, MIRA)
    number = observe.begin(db, mira, BEN.id, MODULE, "DN 80", ticket="one", now=NOW)
    seen = StepSeen("vent", StepMark.UNAIDED, "slowly", NOW + timedelta(microseconds=7))
    observe.mark(
        db, mira, number, [Entry("m", seen), Entry("n", StepSeen("cap", None, "a note", NOW))], now=NOW
    )
    photographs.keep(db, mira, number, pictures.from_camera(40, 30), step="vent", ticket="p", at=NOW, now=NOW)
    observe.give_up(db, mira, number, "The gauge was taken away.", now=NOW)
    revision = publish.current_modules(db, SYSTEM)[0].revision
    transcribe.transcribe(
        db,
        enter(db, SOL),
        AMA.id,
        MODULE,
        "DN 80",
        evaluator_id=MIRA.id,
        filled_on=date(2027, 3, 15),
        revision=revision[:8],
        rows={"vent": transcribe.CardRow(StepMark.UNAIDED, note="both ends")},
        ticket="card",
        now=NOW,
    )


def _bring_papers(db: Database) -> None:
    ben, cleo, ama, mira = earlier_in.take_over(db, enter(db, KIT), _PAPERS.encode(), now=NOW)
    sol = enter(db, SOL)
    earlier.check(db, sol, [ben, ama, mira], password=SOL.password, now=NOW)
    earlier.turn_down(db, sol, [cleo], because="Unreadable.", password=SOL.password, now=NOW)
    earlier.withdraw(db, sol, ben, because="Of another make.", password=SOL.password, now=NOW)


def _keep_the_programme(db: Database) -> None:
    kit = enter(db, KIT)
    policy.change(db, kit, {"sitting_minutes": "30"}, because="Half an hour.", password=KIT.password, now=NOW)
    room = panel.room(db, kit, MODULE)
    panel.keep(db, kit, MODULE, room.revision, ["Una", "Rolf"], [["80"] * len(room.items)] * 2, now=NOW)
    sol = enter(db, SOL)
    asked = PlanAsk((TASK.id,), 13, None, any_one_away=False, refresher_weeks=2, new_weeks=8)
    line = PlanLine(BEN.id, TASK.id, Means.NEW, 8, MIRA.id, NOW.date() + timedelta(weeks=8))
    head = plan.keep(db, sol, CREW, asked, [line], now=NOW)
    plan.keep(db, sol, CREW, asked, [line], number=head.number, after=1, now=NOW)
    plan.keep(db, sol, CREW, asked, [line], now=NOW)


def _change_the_register(db: Database) -> None:
    covered_tasks.register(db, SYSTEM, [replace(TASK, needed=3)], now=NOW)
    bench.set_task(db, replace(TASK, needed=4))
    bench.set_task(db, replace(TASK, needed=5), significant=True)
    bench.set_task(db, replace(TASK, needed=6), significant=True, told_on=NOW.date())
    waits = next(line for line in covered_tasks.every(db, SYSTEM).changes if line.waits_to_be_told)
    covered_tasks.tell_agency(
        db, enter(db, KIT), waits.change.number, NOW.date(), password=KIT.password, now=NOW
    )
    register.add(db, SYSTEM, "una", "Una Gatewood", [Role.SUPERVISOR], "", password=UNA, now=NOW)
    gone = register.add(
        db,
        enter(db, KIT),
        "gil",
        "Gil Sedgeman",
        [Role.TECHNICIAN, Role.MENTOR],
        CREW,
        password="gil is here for a day",
        first_password=True,
        now=NOW,
    )
    register.change(db, enter(db, KIT), gone.person_id, grade="IV", roles=[Role.TECHNICIAN], now=NOW)
    register.set_password(db, SYSTEM, BEN.id, "another one for ben", first=True, now=NOW)
    register.set_password(db, SYSTEM, CLEO.id, "another one for cleo", first=True, now=NOW)
    cleo = accounts.sign_in(db, CLEO.sign_in_name, "another one for cleo", address="192.0.2.7", now=NOW).actor
    accounts.change_password(db, cleo, "another one for cleo", "cleo's own choice", now=NOW)
    for someone in (AMA, MIRA):
        provider_sign_in.link(
            db, SYSTEM, someone.id, "https://id.invalid", f"{someone.sign_in_name}-7", now=NOW
        )
    provider_sign_in.unlink(db, SYSTEM, AMA.id, "https://id.invalid", now=NOW)
    _work_for_a_day(db, gone.person_id)
    register.retire(db, SYSTEM, gone.person_id, now=NOW + timedelta(days=1))


def _work_for_a_day(db: Database, person_id: str) -> None:
    register.set_password(db, SYSTEM, person_id, "gil's own choice", now=NOW)
    gil = Someone(person_id, "gil", "Gil Sedgeman", (Role.TECHNICIAN,), CREW)
    bench.give_module(db, gil)
    bench.practise_once(db, enter(db, gil))


def _end_of_keeping(db: Database) -> None:
    """Five years after Gil left."""
    later = NOW.replace(year=NOW.year + 5) + timedelta(days=1)
    gil = next(
        one for one in register.list_people(db, SYSTEM, with_retired=True) if one.sign_in_name == "gil"
    )
    for someone, act in (
        (SOL, destruction.propose),
        (KIT, destruction.hold),
        (KIT, destruction.lift),
        (SOL, destruction.propose),
        (KIT, destruction.confirm),
    ):
        who, why = enter(db, someone, later), "So it was agreed."
        act(db, who, gil.person_id, TASK.id, reason=why, password=someone.password, now=later)


def _qualify(db: Database) -> None:
    bench.pass_every_class(db, AMA)
    bench.watch(db, AMA)
    with db.reading() as unit:
        closed = observations.closed_of(unit, AMA.id)[0].id
    bench.evaluate_by(
        db,
        enter(db, MIRA),
        AMA,
        methods=(Method.ORAL, Method.ON_THE_JOB),
        observation=closed,
    )
    bench.sign_by(db, enter(db, SOL), AMA)


def _sittings_that_end_otherwise(db: Database) -> None:
    register.set_password(db, SYSTEM, BEN.id, BEN.password, now=NOW)
    mira, ben = enter(db, MIRA), enter(db, BEN)
    broken = bench.release(db, BEN)
    sitting.begin(db, ben, broken, now=NOW)
    bench.answer_open(db, ben, broken, 1, right=False)
    sitting_release.break_off(db, mira, broken, because="The lights went out.", now=NOW)
    late = bench.release(db, BEN, drawn_with="late")
    sitting.begin(db, ben, late, now=NOW)
    sitting.settle(db, mira, late, now=NOW + timedelta(hours=1))
    bench.release(db, BEN, LATER, drawn_with="open")


def _after_the_signature(db: Database) -> None:
    _suspend(db, LATER)
    una = accounts.sign_in(db, "una", UNA, address="192.0.2.9", now=LATER).actor
    life.lift(db, una, AMA.id, TASK.id, reason="Unfounded.", password=UNA, now=LATER)
    again = LATER + timedelta(days=1)
    _suspend(db, again)
    bench.show_anew(db, AMA, again + timedelta(hours=1))
    bench.sign_by(db, enter(db, SOL, again), AMA, again + timedelta(hours=2))
    done = publish.publish(
        db, SYSTEM, SMALL_VALVE.replace("95 N·m", "110 N·m"), file="small-valve.yaml", now=again
    )
    notices.acknowledge(db, enter(db, AMA, again), MODULE, done.revision, now=again)
    _two_changes(db, again + timedelta(hours=3))
    late = again + timedelta(hours=8)
    sitting.begin(
        db,
        enter(db, AMA, late),
        bench.release(db, AMA, late, drawn_with="ends with the withdrawal"),
        now=late,
    )
    end = again + timedelta(days=1)
    sol = enter(db, SOL, end)
    life.withdraw(db, sol, AMA.id, TASK.id, reason="Of her own wish.", password=SOL.password, now=end)
    life.stop(db, sol, AMA.id, TASK.id, reason="Moved to the office.", password=SOL.password, now=end)


def _two_changes(db: Database, now: datetime) -> None:
    """Let Ama show one change and fail to show the next, which is taken back."""
    bench.sit_for_change(db, AMA, now)
    hour = timedelta(hours=1)
    sol = enter(db, SOL, now + hour)
    confirm_change.confirm(db, sol, AMA.id, MODULE, password=SOL.password, now=now + hour)
    for torque, at in (("100 N·m", now + 2 * hour), ("110 N·m", now + 4 * hour)):
        text = SMALL_VALVE.replace("95 N·m", torque)
        if publish.publish(db, SYSTEM, text, file="small-valve.yaml", now=at).asked:
            bench.sit_for_change(db, AMA, at + hour, wrong=True)


def _what_rests_on_paper(db: Database) -> None:
    now = LATER + timedelta(days=5)
    sol, una = enter(db, SOL, now), accounts.sign_in(db, "una", UNA, address="192.0.2.9", now=now).actor
    _suspend(db, now, MIRA)
    life.lift(db, una, MIRA.id, TASK.id, reason="It was another.", password=UNA, now=now)
    life.stop(db, sol, MIRA.id, TASK.id, reason="Watches only.", password=SOL.password, now=now)


def _suspend(db: Database, now: datetime, someone: Someone = AMA) -> None:
    life.suspend(
        db,
        enter(db, SOL, now),
        someone.id,
        TASK.id,
        cause=Cause.INCIDENT,
        from_day=now.date(),
        reason="Gas was let into an open body (invented).",
        password=SOL.password,
        now=now,
    )


_SHORT = {"people:add": ("first_password",), "practice:answer": ("mark", "ticket", "started")}


def shorten(db: Database) -> None:
    """Make the log what an earlier program would have written: rows as they are, entries that tell less, none destroyed."""
    with db.reading() as unit:
        every = list(events.since(unit))
        signed = bool(ledger.every_checkpoint(unit))
    told = [
        (event.at, event.person_id, event.action, event.payload) for event in every if not event.is_destroyed
    ]
    emptied = (
        *(["destroyed_entries"] if len(told) < len(every) else []),
        *(["checkpoints"] if signed else []),
        "ledger",
        "events",
    )
    databases.tampered(db, *(f"DELETE FROM {name}" for name in emptied))  # noqa: S608  # names of the schema
    with db.writing() as unit:
        for at, person_id, action, payload in told:
            less = {k: v for k, v in canonical.read(payload).items() if k not in _SHORT.get(action, ())}
            events.add(unit, at=at, person_id=person_id, action=action, payload=less)
