"""What the log tells of people's work: whose, when, and never a mark before its sitting has ended."""

from __future__ import annotations

import json
from collections import Counter
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CLEO, KIT, MIRA, SOL
from trainer import drills
from trainer.actions import accounts, activity, life, people, printing, sitting, sitting_release
from trainer.actions.actor import SYSTEM, NotFound
from trainer.actions.permissions import Role
from trainer.actions.unaided import SittingUnderWay
from trainer.exports.activity import shape
from trainer.exports.activity.done import (
    Answered,
    Decided,
    Evaluated,
    Halted,
    Qualified,
    Sat,
    Undone,
    Watched,
)
from trainer.exports.activity.statements import statement
from trainer.records.suspension import Cause

if TYPE_CHECKING:
    from trainer.actions.opening import Database
    from trainer.exports.activity.done import Done


def _done(db: Database, someone: str = AMA.id) -> tuple[Done, ...]:
    return activity.of_person(db, SYSTEM, someone).done


def test_practice_and_a_signature_are_told_as_they_were_kept(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    right = bench.practise_once(db, ama)
    wrong = bench.practise_once(db, ama, "order:dangerous", right=False)
    first, second = (done for done in _done(db) if isinstance(done, Answered))
    assert (first.right, second.right) == (True, False)
    assert first.item.question == right.question
    assert second.headline == wrong.mark.headline
    assert second.started_at is not None
    assert second.credit_thousandths < 1000
    assert (first.sitting, first.counts) == (None, True)


def test_a_signed_qualification_is_told_of_its_owner_and_its_signer(db: Database) -> None:
    bench.make_ready(db, AMA)
    number = bench.sign_by(db, bench.enter(db, SOL), AMA).number
    [signed] = [done for done in _done(db) if isinstance(done, Qualified)]
    assert (signed.person, signed.signer, signed.number, signed.task) == (AMA.id, SOL.id, number, "T-31")
    assert _done(db, SOL.id) == ()


def test_nothing_of_a_sitting_is_told_before_its_end(db: Database) -> None:
    bench.give_module(db, AMA)
    number = bench.release(db, AMA)
    ama = bench.enter(db, AMA)
    sitting.begin(db, ama, number, now=NOW)
    bench.answer_open(db, ama, number, 1, right=False)
    assert _done(db) == ()
    with pytest.raises(SittingUnderWay):
        activity.of_person(db, ama, AMA.id)
    sitting_release.break_off(db, bench.enter(db, MIRA), number, because="The alarm went.", now=NOW)
    [told] = [done for done in _done(db) if isinstance(done, Answered)]
    assert (told.sitting, told.right) == (number, False)


def test_a_sitting_tells_its_answers_and_the_classes_that_it_decided(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.pass_every_class(db, AMA)
    told = _done(db)
    assert [done.entry.number for done in told] == sorted(done.entry.number for done in told)
    passed = [done for done in told if isinstance(done, Decided)]
    assert passed
    assert all(done.passed for done in passed)
    statements = [statement(done) for done in told]
    assert [fault for made in statements for fault in shape.faults(made)] == []
    assert Counter(made["id"] for made in statements).most_common(1)[0][1] == 1
    with db.reading() as unit:
        everybody = [done for _, made in activity.since(unit, db.home) for done in made]
    assert {statement(done)["id"] for done in everybody} == {made["id"] for made in statements}


def test_a_kind_that_is_gone_hides_nothing(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    bench.give_module(db, AMA)
    bench.practise_once(db, bench.enter(db, AMA), "order:dangerous")
    # Not taken out of the register itself: put back, it would stand at the end.
    monkeypatch.setattr(drills, "KINDS", {n: kind for n, kind in drills.KINDS.items() if n != "order"})
    [told] = _done(db)
    assert isinstance(told, Answered)
    assert (told.item.question, told.item.kind, told.right) == (None, "order", True)
    assert shape.faults(statement(told)) == ()


def test_only_what_came_after_an_entry_is_told_again(db: Database) -> None:
    bench.give_module(db, AMA)
    ama = bench.enter(db, AMA)
    bench.practise_once(db, ama)
    with db.reading() as unit:
        [(number, _)] = activity.since(unit, db.home)
        assert list(activity.since(unit, db.home, number)) == []
    bench.practise_once(db, ama)
    with db.reading() as unit:
        assert [entry > number for entry, _ in activity.since(unit, db.home, number)] == [True]


def test_the_way_to_a_qualification_and_what_becomes_of_it_are_told(db: Database) -> None:
    bench.make_ready(db, AMA)
    sol = bench.enter(db, SOL)
    number = bench.sign_by(db, sol, AMA).number
    told = {type(done): done for done in _done(db)}
    sat, watched, evaluated = told[Sat], told[Watched], told[Evaluated]
    assert isinstance(sat, Sat)
    assert (sat.passed, sat.whole) == (True, True)
    assert isinstance(watched, Watched)
    assert (watched.right, watched.evaluator, watched.size) == (True, MIRA.id, "DN 80")
    assert isinstance(evaluated, Evaluated)
    assert (evaluated.passed, evaluated.abnormal_passed, evaluated.task) == (True, True, "T-31")
    _suspend(db, AMA.id)
    [suspended] = [done for done in _done(db) if isinstance(done, Halted)]
    assert (suspended.number, suspended.ended, suspended.by) == (number, False, SOL.id)
    assert "open body" not in json.dumps(statement(suspended))
    other = people.add(
        db, SYSTEM, "una", "Una", [Role.SUPERVISOR], "", password="the second supervisor", now=NOW
    )
    una = accounts.sign_in(db, "una", "the second supervisor", address="host", now=NOW).actor
    life.lift(db, una, AMA.id, "T-31", reason="It was not his.", password="the second supervisor", now=NOW)
    [undone] = [done for done in _done(db) if isinstance(done, Undone)]
    assert undone.by == other.person_id
    assert statement(undone)["object"]["id"] == statement(suspended)["id"]
    life.withdraw(db, sol, AMA.id, "T-31", reason="Asked for.", password=SOL.password, now=NOW)
    assert [done.ended for done in _done(db) if isinstance(done, Halted)] == [False, True]
    made = [statement(done) for done in _done(db)]
    assert [fault for one in made for fault in shape.faults(one)] == []
    assert len({one["id"] for one in made}) == len(made)


def _suspend(db: Database, person_id: str) -> None:
    life.suspend(
        db,
        bench.enter(db, SOL),
        person_id,
        "T-31",
        cause=Cause.INCIDENT,
        from_day=NOW.date(),
        reason="Gas was let into an open body.",
        password=SOL.password,
        now=NOW,
    )


def test_a_sitting_that_was_broken_off_is_told_as_that(db: Database) -> None:
    bench.give_module(db, AMA)
    number = bench.release(db, AMA)
    ama = bench.enter(db, AMA)
    sitting.begin(db, ama, number, now=NOW)
    bench.answer_open(db, ama, number, 1, right=False)
    sitting_release.break_off(db, bench.enter(db, MIRA), number, because="The alarm went.", now=NOW)
    [told] = [done for done in _done(db) if isinstance(done, Sat)]
    assert (told.sitting, told.passed, told.whole, told.broken_off) == (number, None, False, True)


def test_whose_statements_somebody_may_have(db: Database) -> None:
    bench.give_module(db, AMA)
    bench.practise_once(db, bench.enter(db, AMA))
    for someone in (AMA, MIRA, SOL):
        printed = printing.print_sheet(
            db, bench.enter(db, someone), "activity_statements", AMA.id, paper="a4", now=NOW
        )
        assert printed.name == f"activity-statements-{AMA.id.lower()}.json"
        assert len(json.loads(printed.data)) == 1
    for someone in (BEN, KIT, CLEO):
        with pytest.raises(NotFound):
            activity.of_person(db, bench.enter(db, someone), AMA.id)
    with pytest.raises(NotFound):
        activity.of_person(db, SYSTEM, "P-9999")
