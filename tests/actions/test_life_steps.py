"""The one table of steps is what decides: a row of it changed, and something else is allowed.

Here is every step that a person takes. The others are the calendar's, the keeper's with a publication, and what a sitting or
an observation comes to.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy.exc import IntegrityError

from tests import databases
from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK, enter
from tests.modules import SMALL_VALVE
from tests.people import AMA, BEN, CREW, KIT, MIRA, SOL, Someone
from trainer.actions import (
    assign,
    confirm_change,
    life,
    life_steps,
    observe,
    publish,
    qualify,
    sign_off_queue,
    sitting,
    sitting_release,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM
from trainer.actions.permissions import ALLOWED, Permission, Role
from trainer.errors import TrainerError
from trainer.records.life_cycle import STEPS, Act, Condition, Life, Shown, State
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.records.suspension import Cause
from trainer.store import events, sittings
from trainer.store.observations import Entry

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from trainer.actions.opening import Database

UNA = Someone("P-0008", "una", "Una Gatewood", (Role.SUPERVISOR,), CREW)
TODAY = NOW.date()


def _fill(db: Database) -> None:
    """Ama waits for a signature, Mira evaluated her; Ben has the module."""
    bench.found(db)
    register.add(
        db, SYSTEM, UNA.sign_in_name, UNA.display_name, UNA.roles, CREW, password=UNA.password, now=NOW
    )
    for someone in (AMA, MIRA, SOL):
        register.change(db, SYSTEM, someone.id, evaluator=True, now=NOW)
    bench.make_ready(db, AMA)
    bench.give_module(db, BEN)


def _fill_more(db: Database) -> None:
    """Ama is qualified and has shown what a change touches; only the confirmation is missing."""
    _fill(db)
    bench.sign_by(db, enter(db, SOL), AMA)
    _publish(db, "110 N·m")
    bench.sit_for_change(db, AMA, NOW + timedelta(hours=1))


def _publish(db: Database, torque: str) -> None:
    done = publish.publish(
        db, enter(db, KIT), SMALL_VALVE.replace("95 N·m", torque), file="small-valve.yaml", now=NOW
    )
    assert done.asked == 1


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with databases.prepared_sqlite(tmp_path_factory.mktemp("steps"), _fill) as memory:
        yield memory


@pytest.fixture(scope="module")
def held(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    with databases.prepared_sqlite(tmp_path_factory.mktemp("held"), _fill_more) as memory:
        yield memory


# Each step: who takes it when nothing is left out, by which permission, and what stands in the log then.
TAKEN = {
    Act.ASSIGN: (MIRA, Permission.MODULE_ASSIGN, "module:assign"),
    Act.PRACTISE: (AMA, Permission.PRACTICE_DO, "practice:answer"),
    Act.RELEASE: (MIRA, Permission.SITTING_RELEASE, "sitting:release"),
    Act.ASSESS: (BEN, Permission.SITTING_TAKE, "sitting:begin"),
    Act.OBSERVE: (MIRA, Permission.OBSERVATION_RECORD, "observation:close"),
    Act.EVALUATE: (MIRA, Permission.EVALUATION_RECORD, "evaluation:record"),
    Act.SIGN: (SOL, Permission.QUALIFICATION_SIGN, "qualification:sign"),
    Act.CONFIRM: (SOL, Permission.QUALIFICATION_SIGN, "qualification:change_shown"),
    Act.SUSPEND: (SOL, Permission.QUALIFICATION_SUSPEND, "qualification:suspend"),
    Act.LIFT: (UNA, Permission.QUALIFICATION_SUSPEND, "qualification:lift"),
    Act.WITHDRAW: (SOL, Permission.QUALIFICATION_SUSPEND, "qualification:withdraw"),
    Act.STOP: (SOL, Permission.QUALIFICATION_SUSPEND, "qualification:stop"),
}
# Steps after a signature; they look at what Ama holds.
AFTER = (Act.CONFIRM, Act.SUSPEND, Act.LIFT, Act.WITHDRAW, Act.STOP)
# Without a change there is nothing that a confirmation could name.
ASKED = [
    (act, condition)
    for act in TAKEN
    for condition in Condition
    if condition in STEPS[act].conditions - {Condition.CHANGE_OPEN}
]
# What the database refuses by itself, whatever the table says.
GUARDED = {
    (Act.RELEASE, Condition.REASON): "reason_is_written",
    (Act.SUSPEND, Condition.REASON): "reason_is_written",
    (Act.LIFT, Condition.REASON): "reason_is_written",
    (Act.WITHDRAW, Condition.REASON): "reason_is_written",
    (Act.STOP, Condition.REASON): "reason_is_written",
    (Act.LIFT, Condition.ANOTHER_PERSON): "lifted_by_another",
    (Act.RELEASE, Condition.NOT_ONESELF): "not_by_oneself",
    (Act.OBSERVE, Condition.NOT_ONESELF): "not_of_oneself",
    (Act.EVALUATE, Condition.NOT_ONESELF): "not_(by|of)_oneself",
    (Act.SIGN, Condition.NOT_ONESELF): "not_(by|of)_oneself",
    (Act.CONFIRM, Condition.NOT_ONESELF): "not_by_oneself",
    (Act.SUSPEND, Condition.NOT_ONESELF): "not_by_oneself",
}


class Steps:
    """One database in which a step is about to be taken."""

    def __init__(self, db: Database, act: Act, monkeypatch: pytest.MonkeyPatch) -> None:
        self.db, self.act, self.monkeypatch = db, act, monkeypatch
        self.who, _, self.told = TAKEN[act]
        self.observation = self.sitting = 0

    def get_ready(self) -> None:
        """Do what has to be done before the step."""
        if self.act is Act.OBSERVE:
            self._begin_to_watch()
        if self.act is Act.ASSESS:
            self.sitting = bench.release(self.db, BEN)
        if self.act is Act.LIFT:
            _suspend(self.db, SOL, "Doubt.", SOL.password)

    def _begin_to_watch(self) -> None:
        number = observe.begin(
            self.db, enter(self.db, self.who), AMA.id, MODULE, "DN 80", ticket=f"of {self.who.id}", now=NOW
        )
        seen = StepSeen("vent", StepMark.UNAIDED, "", NOW)
        observe.mark(self.db, enter(self.db, self.who), number, [Entry("m", seen)], now=NOW)
        self.observation = number

    def leave_out(self, condition: Condition) -> None:
        """Bring about that one condition is not true."""
        if condition is Condition.NOT_ONESELF:
            self.who = BEN if self.act is Act.RELEASE else AMA
            roles = [Role.TECHNICIAN, *(Role(role) for role in STEPS[self.act].roles)]
            register.change(self.db, SYSTEM, self.who.id, roles=roles, now=NOW)
        if condition is Condition.ANOTHER_PERSON:
            # Mira evaluated and released, Sol suspended.
            self.who = SOL if self.act is Act.LIFT else MIRA
            register.change(self.db, SYSTEM, self.who.id, roles=[Role.SUPERVISOR], now=NOW)
        if not (self.act is Act.OBSERVE and condition is Condition.NOT_ONESELF):
            self.get_ready()
        if condition is Condition.RIGHT_TO_EVALUATE:
            register.change(self.db, SYSTEM, self.who.id, evaluator=False, now=NOW)
        if condition is Condition.TOUCHED_PASSED:
            _publish(self.db, "120 N·m")
        if condition is Condition.MODULE_GIVEN:
            # A module is taken back from somebody who is on with the task all the same.
            self.be_in(State.LAPSED)
            assign.withdraw(self.db, enter(self.db, SOL), BEN.id, MODULE, now=NOW)

    def be_in(self, state: State) -> None:
        """Let the person be in a state, whatever the rows say."""
        for room, name in (
            (life_steps, "state_of"),
            (life, "state_of_terms"),
            (confirm_change, "state_of_terms"),
        ):
            self.monkeypatch.setattr(room, name, lambda *_: state)

    def take(self, left_out: Condition | None = None) -> None:
        """Take the step."""
        db, who = self.db, self.who
        password = who.password if left_out is not Condition.PASSWORD else "not that"
        reason = "So it was seen." if left_out is not Condition.REASON else ""
        methods = (Method.WORK_HISTORY,) if left_out is Condition.METHODS_CARRY else (Method.ORAL,)
        why: dict[str, Any] = {"reason": reason, "password": password, "now": NOW}
        of_ama = (db, enter(db, who), AMA.id, TASK.id)
        steps: dict[Act, Callable[[], Any]] = {
            Act.ASSIGN: lambda: assign.assign(db, enter(db, who), AMA.id, MODULE, None, now=NOW),
            Act.PRACTISE: lambda: bench.practise_once(db, enter(db, who)),
            Act.RELEASE: lambda: sitting_release.release(
                db, enter(db, who), BEN.id, MODULE, because=reason, drawn_with="chance", now=NOW
            ),
            Act.ASSESS: lambda: sitting.begin(db, enter(db, who), self.sitting, now=NOW),
            Act.OBSERVE: lambda: self._sign_for_what_was_seen(password),
            Act.EVALUATE: lambda: bench.evaluate_by(
                db, enter(db, who), AMA, methods=methods, password=password
            ),
            Act.SIGN: lambda: qualify.sign(*of_ama, password=password, now=NOW),
            Act.CONFIRM: lambda: confirm_change.confirm(
                db, enter(db, who), AMA.id, MODULE, password=password, now=NOW
            ),
            Act.SUSPEND: lambda: _suspend(db, who, reason, password),
            Act.LIFT: lambda: life.lift(*of_ama, **why),
            Act.WITHDRAW: lambda: life.withdraw(*of_ama, **why),
            Act.STOP: lambda: life.stop(*of_ama, **why),
        }
        steps[self.act]()

    def _sign_for_what_was_seen(self, password: str) -> None:
        # Nobody comes as far as signing for a look at their own work: the same row stands before the beginning.
        if self.who is AMA:
            self._begin_to_watch()
        told: dict[str, Any] = {"order": (), "result": "Seen.", "password": password, "now": NOW}
        observe.close(self.db, enter(self.db, self.who), self.observation, **told)

    def _times(self) -> int:
        with self.db.reading() as unit:
            return sum(event.action == self.told for event in events.since(unit))

    def is_refused(self, left_out: Condition | None = None) -> str:
        """Take the step in vain, and return what was said."""
        before = self._times()
        with pytest.raises(TrainerError) as refused:
            self.take(left_out)
        assert self._times() == before
        return str(refused.value)

    def goes_through(self, left_out: Condition | None = None) -> None:
        """Take the step, and see it in the log."""
        before = self._times()
        self.take(left_out)
        assert self._times() == before + 1


def _suspend(db: Database, who: Someone, reason: str, password: str) -> None:
    told: dict[str, Any] = {"cause": Cause.INCIDENT, "from_day": TODAY, "reason": reason}
    life.suspend(db, enter(db, who), AMA.id, TASK.id, **told, password=password, now=NOW)


@pytest.fixture
def about(
    ready: sqlite3.Connection,
    request: pytest.FixtureRequest,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> Callable[[Act], Steps]:
    """Gives a database of its own for a step."""
    opened: list[Steps] = []

    def new(act: Act) -> Steps:
        filled = request.getfixturevalue("held") if act in AFTER else ready
        copied = databases.copy_of(filled, tmp_path / f"{len(opened)}.sqlite3")
        db = copied.__enter__()
        request.addfinalizer(lambda: copied.__exit__(None, None, None))
        opened.append(Steps(db, act, monkeypatch))
        return opened[-1]

    return new


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize("act", TAKEN)
def test_each_state_and_role_is_let_through_as_the_table_says(
    about: Callable[[Act], Steps], monkeypatch: pytest.MonkeyPatch, act: Act, state: State
) -> None:
    for role in Role:
        with monkeypatch.context() as patched:
            steps = about(act)
            steps.monkeypatch = patched
            steps.get_ready()
            register.change(steps.db, SYSTEM, steps.who.id, roles=[role], now=NOW)
            steps.be_in(state)
            if state in STEPS[act].of and role.value in STEPS[act].roles:
                steps.goes_through()
            else:
                steps.is_refused()


@pytest.mark.parametrize(("act", "condition"), ASKED)
def test_a_step_is_refused_without_each_condition_of_its_row(
    about: Callable[[Act], Steps], monkeypatch: pytest.MonkeyPatch, act: Act, condition: Condition
) -> None:
    steps = about(act)
    steps.leave_out(condition)
    steps.is_refused(condition)
    if condition is Condition.PASSWORD:
        return
    # The row alone stood in the way, and here and there the database as well.
    row = STEPS[act]
    monkeypatch.setitem(STEPS, act, replace(row, conditions=row.conditions - {condition}))
    if (act, condition) in GUARDED:
        with pytest.raises(IntegrityError, match=GUARDED[act, condition]):
            steps.take(condition)
    else:
        steps.goes_through(condition)


@pytest.mark.parametrize("act", TAKEN)
def test_what_a_row_asks_and_nobody_looked_at_is_missing(
    about: Callable[[Act], Steps], monkeypatch: pytest.MonkeyPatch, act: Act
) -> None:
    steps = about(act)
    steps.get_ready()
    row = STEPS[act]
    asked = replace(row, conditions=row.conditions | {Condition.DAY_REACHED})
    monkeypatch.setitem(STEPS, act, asked)
    assert "the day itself is missing" in steps.is_refused()


@pytest.mark.parametrize("act", TAKEN)
def test_a_state_struck_out_of_a_row_is_refused_there(
    about: Callable[[Act], Steps], monkeypatch: pytest.MonkeyPatch, act: Act
) -> None:
    """With where the person really is, nothing patched but the row."""
    steps = about(act)
    steps.get_ready()
    person = BEN if act in (Act.RELEASE, Act.ASSESS) else AMA
    here = _where(steps.db, person)
    row = STEPS[act]
    monkeypatch.setitem(STEPS, act, replace(row, of=row.of - {here}))
    assert f"not possible here: {here.words}" in steps.is_refused()
    monkeypatch.setitem(STEPS, act, row)
    steps.goes_through()


@pytest.mark.parametrize("act", TAKEN)
def test_the_rows_name_the_roles_that_have_the_permission(act: Act) -> None:
    assert STEPS[act].roles == {role.value for role in Role if TAKEN[act][1] in ALLOWED[role]}


@pytest.mark.parametrize("act", TAKEN)
def test_whoever_may_not_is_told_so_before_anything_else(about: Callable[[Act], Steps], act: Act) -> None:
    steps = about(act)
    steps.get_ready()
    steps.be_in(State.NOT_ASSIGNED)
    register.change(steps.db, SYSTEM, steps.who.id, roles=[Role.KEEPER], now=NOW)
    assert f"({TAKEN[act][1]})" in steps.is_refused()


def test_what_a_signature_stands_on_is_what_the_row_says(
    about: Callable[[Act], Steps], monkeypatch: pytest.MonkeyPatch
) -> None:
    db = about(Act.SIGN).db
    bench.evaluate_by(db, enter(db, MIRA), BEN)
    with pytest.raises(sign_off_queue.NotReady):
        bench.sign_by(db, enter(db, SOL), BEN)
    row = replace(STEPS[Act.SIGN], shown=frozenset({Shown.EVALUATED}))
    monkeypatch.setitem(STEPS, Act.SIGN, row)
    assert bench.sign_by(db, enter(db, SOL), BEN).person_id == BEN.id


def _where(db: Database, someone: Someone, day: date = TODAY) -> State:
    with db.reading() as unit:
        return life_steps.state_of(unit, someone.id, TASK.id, day)


def test_where_somebody_is(about: Callable[[Act], Steps]) -> None:
    db = about(Act.SIGN).db
    assert _where(db, MIRA) is State.NOT_ASSIGNED
    until = bench.sign_by(db, enter(db, SOL), AMA).valid_until
    assert _where(db, AMA) is State.QUALIFIED
    assert _where(db, AMA, until - timedelta(days=61)) is State.QUALIFIED
    assert _where(db, AMA, until - timedelta(days=60)) is State.DUE
    assert _where(db, AMA, until + timedelta(days=400)) is State.LAPSED


def test_each_real_step_leads_where_the_table_says(about: Callable[[Act], Steps]) -> None:
    """A life in full: what the rows of the database say after each step is what the table says of it."""
    db = about(Act.SIGN).db
    assign.withdraw(db, enter(db, SOL), BEN.id, MODULE, now=NOW)
    now = NOW

    def takes(act: Act, step: Callable[[], Any]) -> State:
        before = Life(_where(db, BEN, now.date()), frozenset(Shown))
        step()
        after = _where(db, BEN, now.date())
        assert after is before.after(act, [*Role, "calendar"], Condition).state, act
        return after

    def drill() -> None:
        bench.practise_once(db, enter(db, BEN, now), now=now)

    def give() -> None:
        bench.give_module(db, BEN, now)

    def publishes(torque: str) -> Callable[[], Any]:
        text = SMALL_VALVE.replace("95 N·m", torque)
        return lambda: publish.publish(db, SYSTEM, text, file="small-valve.yaml", now=now)

    assert takes(Act.PRACTISE, drill) is State.NOT_ASSIGNED
    now += timedelta(hours=1)
    # What was practised before it was given is no practice of what was given.
    assert takes(Act.ASSIGN, give) is State.ASSIGNED
    assert takes(Act.ASSIGN, give) is State.ASSIGNED
    assert takes(Act.PRACTISE, drill) is State.PRACTISING
    assert takes(Act.REVISE, publishes("110 N·m")) is State.PRACTISING
    assert takes(Act.ASSIGN, give) is State.PRACTISING
    assert takes(Act.RELEASE, lambda: bench.release(db, BEN, now)) is State.RELEASED
    assert takes(Act.PRACTISE, drill) is State.RELEASED
    number = _open_of(db, BEN)
    assert takes(Act.ASSESS, lambda: bench.sit(db, BEN, number, now)) is State.RELEASED
    assert takes(Act.REVISE, publishes("95 N·m")) is State.RELEASED
    bench.show_anew(db, BEN, now)
    sign = lambda: bench.sign_by(db, enter(db, SOL, now), BEN, now)  # noqa: E731  # as the steps around it
    assert takes(Act.SIGN, sign) is State.QUALIFIED
    assert takes(Act.ASSIGN, give) is State.QUALIFIED
    now += timedelta(days=1)
    sol: dict[str, Any] = {"password": SOL.password, "now": now, "reason": "Of his own wish."}
    assert (
        takes(Act.WITHDRAW, lambda: life.withdraw(db, enter(db, SOL, now), BEN.id, TASK.id, **sol))
        is State.WITHDRAWN
    )
    assert takes(Act.PRACTISE, drill) is State.WITHDRAWN
    assert takes(Act.RELEASE, lambda: bench.release(db, BEN, now)) is State.WITHDRAWN
    assert (
        takes(Act.STOP, lambda: life.stop(db, enter(db, SOL, now), BEN.id, TASK.id, **sol)) is State.STOPPED
    )
    assert takes(Act.PRACTISE, drill) is State.STOPPED
    now += timedelta(hours=1)
    assert takes(Act.ASSIGN, give) is State.ASSIGNED
    assert takes(Act.RELEASE, lambda: bench.release(db, BEN, now)) is State.RELEASED


def _open_of(db: Database, someone: Someone) -> int:
    with db.reading() as unit:
        found = sittings.open_of(unit, someone.id)
    assert found is not None
    return found.id


def test_a_module_taken_back_keeps_a_released_sitting_from_beginning(about: Callable[[Act], Steps]) -> None:
    steps = about(Act.ASSESS)
    steps.get_ready()
    sol = enter(steps.db, SOL)
    assign.withdraw(steps.db, sol, BEN.id, MODULE, now=NOW)
    assert steps.is_refused().endswith("not assigned; assign the module first.")
    # It can be given back, or the sitting broken off and released anew.
    bench.give_module(steps.db, BEN)
    steps.goes_through()
    assign.withdraw(steps.db, sol, BEN.id, MODULE, now=NOW)
    # Whoever has begun goes on.
    assert bench.answer_open(steps.db, enter(steps.db, BEN), steps.sitting, 1) == 2


def test_the_command_line_on_the_host_assigns_for_whoever_may(about: Callable[[Act], Steps]) -> None:
    db = about(Act.ASSIGN).db
    assign.assign(db, SYSTEM, MIRA.id, MODULE, None, now=NOW)
    assert _where(db, MIRA) is State.ASSIGNED
