"""The one table of steps is what decides: a row of it changed, and something else is allowed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy.exc import IntegrityError

from tests import databases
from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK, enter
from tests.people import AMA, BEN, MIRA, SOL, Someone
from trainer.actions import assign, life, life_steps, observe, qualify
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM
from trainer.actions.permissions import ALLOWED, Permission, Role
from trainer.errors import TrainerError
from trainer.records.life_cycle import STEPS, Act, Condition, Shown, State
from trainer.records.methods import Method
from trainer.records.observation import StepMark, StepSeen
from trainer.store import events
from trainer.store.observations import Entry

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.opening import Database

ACTS = (Act.EVALUATE, Act.OBSERVE, Act.SIGN)
ASKED = [(act, condition) for act in ACTS for condition in Condition if condition in STEPS[act].conditions]
DONE = {
    Act.EVALUATE: "evaluation:record",
    Act.OBSERVE: "observation:close",
    Act.SIGN: "qualification:sign",
}
# Who takes the step when nothing is left out: somebody who may, and who did not evaluate.
WHO = {Act.EVALUATE: MIRA, Act.OBSERVE: MIRA, Act.SIGN: SOL}
PERMISSIONS = {
    Act.EVALUATE: Permission.EVALUATION_RECORD,
    Act.OBSERVE: Permission.OBSERVATION_RECORD,
    Act.SIGN: Permission.QUALIFICATION_SIGN,
}


def _fill(db: Database) -> None:
    bench.found(db)
    for someone in (AMA, MIRA, SOL):
        register.change(db, SYSTEM, someone.id, evaluator=True, now=NOW)
    bench.make_ready(db, AMA)


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Iterator[sqlite3.Connection]:
    """Ama waits for a signature; Mira evaluated her."""
    with databases.prepared_sqlite(tmp_path_factory.mktemp("steps"), _fill) as memory:
        yield memory


def _take(db: Database, act: Act, who: Someone, left_out: Condition | None = None) -> None:
    password = who.password if left_out is not Condition.PASSWORD else "not that"
    if act is Act.EVALUATE:
        methods = (Method.WORK_HISTORY,) if left_out is Condition.METHODS_CARRY else (Method.ORAL,)
        bench.evaluate_by(db, enter(db, who), AMA, methods=methods, password=password)
    elif act is Act.OBSERVE and who is AMA:
        # Nobody comes as far as signing for a look at their own work: the same row stands before the beginning.
        _begin_to_watch(db, who)
    elif act is Act.OBSERVE:
        told: dict[str, Any] = {"order": (), "result": "Seen.", "password": password, "now": NOW}
        observe.close(db, enter(db, who), _open[who.id], **told)
    else:
        qualify.sign(db, enter(db, who), AMA.id, TASK.id, password=password, now=NOW)


_open: dict[str, int] = {}
TODAY = NOW.date()


def _begin_to_watch(db: Database, who: Someone) -> None:
    number = observe.begin(db, enter(db, who), AMA.id, MODULE, "DN 80", ticket=f"of {who.id}", now=NOW)
    seen = StepSeen("vent", StepMark.UNAIDED, "", NOW)
    observe.mark(db, enter(db, who), number, [Entry("m", seen)], now=NOW)
    _open[who.id] = number


def _leave_out(db: Database, act: Act, condition: Condition) -> Someone:
    """Bring about that one condition is not true, and return who tries."""
    who = WHO[act]
    if condition is Condition.NOT_ONESELF:
        who = AMA
        roles = [Role.TECHNICIAN, *(Role(role) for role in STEPS[act].roles)]
        register.change(db, SYSTEM, AMA.id, roles=roles, now=NOW)
    if condition is Condition.ANOTHER_PERSON:
        who = MIRA
        register.change(db, SYSTEM, MIRA.id, roles=[Role.SUPERVISOR], now=NOW)
    if act is Act.OBSERVE and condition is not Condition.NOT_ONESELF:
        _begin_to_watch(db, who)
    if condition is Condition.RIGHT_TO_EVALUATE:
        register.change(db, SYSTEM, who.id, evaluator=False, now=NOW)
    return who


def _without(act: Act, condition: Condition, monkeypatch: pytest.MonkeyPatch) -> None:
    row = STEPS[act]
    monkeypatch.setitem(STEPS, act, replace(row, conditions=row.conditions - {condition}))


def _times(db: Database, act: Act) -> int:
    with db.reading() as unit:
        return sum(event.action == DONE[act] for event in events.since(unit))


def _refused(db: Database, act: Act, who: Someone, left_out: Condition | None = None) -> str:
    before = _times(db, act)
    with pytest.raises(TrainerError) as refused:
        _take(db, act, who, left_out)
    assert _times(db, act) == before
    return str(refused.value)


def _goes_through(db: Database, act: Act, who: Someone, left_out: Condition | None = None) -> None:
    before = _times(db, act)
    _take(db, act, who, left_out)
    assert _times(db, act) == before + 1


@pytest.mark.parametrize("state", State)
@pytest.mark.parametrize("act", ACTS)
def test_each_state_and_role_is_let_through_as_the_table_says(
    ready: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: Act, state: State
) -> None:
    for role in Role:
        with databases.copy_of(ready, tmp_path / f"{role}.sqlite3") as db, monkeypatch.context() as patched:
            who = WHO[act]
            if act is Act.OBSERVE:
                _begin_to_watch(db, who)
            register.change(db, SYSTEM, who.id, roles=[role], now=NOW)
            patched.setattr(life_steps, "state_of", lambda *_: state)
            if state in STEPS[act].of and role.value in STEPS[act].roles:
                _goes_through(db, act, who)
            else:
                _refused(db, act, who)


@pytest.mark.parametrize(("act", "condition"), ASKED)
def test_a_step_is_refused_without_each_condition_of_its_row(
    ready: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: Act, condition: Condition
) -> None:
    with databases.copy_of(ready, tmp_path / "db.sqlite3") as db:
        who = _leave_out(db, act, condition)
        _refused(db, act, who, condition)
        if condition is Condition.PASSWORD:
            return
        # The row alone stood in the way; where it is about oneself, the database guards what it keeps as well.
        _without(act, condition, monkeypatch)
        if condition is Condition.NOT_ONESELF:
            with pytest.raises(IntegrityError, match=r"not_(by|of)_oneself"):
                _take(db, act, who, condition)
        else:
            _goes_through(db, act, who, condition)


@pytest.mark.parametrize("act", ACTS)
def test_what_a_row_asks_and_nobody_looked_at_is_missing(
    ready: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, act: Act
) -> None:
    with databases.copy_of(ready, tmp_path / "db.sqlite3") as db:
        if act is Act.OBSERVE:
            _begin_to_watch(db, WHO[act])
        row = STEPS[act]
        asked = replace(row, conditions=row.conditions | {Condition.REASON})
        monkeypatch.setitem(STEPS, act, asked)
        assert "the reason in writing is missing" in _refused(db, act, WHO[act])


@pytest.mark.parametrize("act", ACTS)
def test_the_rows_name_the_roles_that_have_the_permission(act: Act) -> None:
    assert STEPS[act].roles == {role.value for role in Role if PERMISSIONS[act] in ALLOWED[role]}


def test_what_a_signature_stands_on_is_what_the_row_says(
    ready: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with databases.copy_of(ready, tmp_path / "db.sqlite3") as db:
        bench.give_module(db, BEN)
        bench.evaluate_by(db, enter(db, MIRA), BEN)
        with pytest.raises(qualify.NotReady):
            bench.sign_by(db, enter(db, SOL), BEN)
        row = replace(STEPS[Act.SIGN], shown=frozenset({Shown.EVALUATED}))
        monkeypatch.setitem(STEPS, Act.SIGN, row)
        assert bench.sign_by(db, enter(db, SOL), BEN).person_id == BEN.id


def test_where_somebody_is(ready: sqlite3.Connection, tmp_path: Path) -> None:
    with databases.copy_of(ready, tmp_path / "db.sqlite3") as db:

        def where(someone: Someone, day: date = TODAY) -> State:
            with db.reading() as unit:
                return life_steps.state_of(unit, someone.id, TASK.id, day)

        assert where(BEN) is State.NOT_ASSIGNED
        bench.give_module(db, BEN)
        assert where(BEN) is State.ASSIGNED
        bench.practise_once(db, enter(db, BEN))
        assert where(BEN) is State.PRACTISING
        bench.release(db, BEN)
        assert where(BEN) is State.RELEASED
        assign.withdraw(db, enter(db, SOL), BEN.id, MODULE, now=NOW)
        assert where(BEN) is State.NOT_ASSIGNED

        until = bench.sign_by(db, enter(db, SOL), AMA).valid_until
        assert where(AMA) is State.QUALIFIED
        assert where(AMA, until - timedelta(days=61)) is State.QUALIFIED
        assert where(AMA, until - timedelta(days=60)) is State.DUE
        assert where(AMA, until + timedelta(days=400)) is State.LAPSED
        stopped = NOW + timedelta(hours=1)
        sol = enter(db, SOL, stopped)
        life.stop(db, sol, AMA.id, TASK.id, reason="Moved.", password=SOL.password, now=stopped)
        assert where(AMA) is State.STOPPED
        bench.give_module(db, AMA, stopped)
        assert where(AMA) is not State.STOPPED
