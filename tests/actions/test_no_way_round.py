"""Whatever people do and in whatever order: nobody is signed for without what a sign-off stands on."""

from __future__ import annotations

import itertools
import math
import random
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench
from tests.actions.bench import FOUNDED, MODULE, NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, KIT, MIRA, SOL
from tests.snapshots import remembered
from trainer.actions import (
    covered_tasks,
    life,
    policy,
    publish,
    rebuilding,
    sitting,
    sitting_release,
)
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.evaluate import EvaluationUnfit
from trainer.actions.published import in_force, prepared
from trainer.actions.sign_off_queue import NotReady
from trainer.records.conditions import Conditions, Evaluators, Methods
from trainer.records.methods import Method
from trainer.records.observation import StepMark
from trainer.store import evaluations, life_events, observations, qualifications, sittings, tasks

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from trainer.actions.opening import Database
    from trainer.store.session import Unit

# Short series, so that many orders of doing things can be tried.
NUMBERS = {
    "critical_good": "0.02",
    "critical_poor": "0.5",
    "critical_false_fail": "0.1",
    "critical_false_pass": "0.2",
    "ordinary_false_fail": "0.1",
    "ordinary_poor": "0.6",
    "ordinary_false_pass": "0.3",
    "drills_per_sitting": "60",
    "right_per_skill": "0",
}


def _sit(db: Database, chance: random.Random, now: datetime, wrong: str) -> None:
    number = bench.release(db, AMA, now, drawn_with=str(chance.random()))
    bench.sit(db, AMA, number, now, wrong=lambda skill: bool(wrong) and skill.startswith(wrong))


def _sit_for_a_while(db: Database, chance: random.Random, now: datetime) -> None:
    """Go on with the sitting that is open to its end, or begin one and leave it open."""
    with db.reading() as unit:
        waits = sittings.open_of(unit, AMA.id)
    if waits is not None:
        bench.sit(db, AMA, waits.id, now)
        return
    number = bench.release(db, AMA, now, drawn_with=str(chance.random()))
    actor = bench.enter(db, AMA, now)
    position = sitting.begin(db, actor, number, now=now)
    for _ in range(chance.randrange(4)):
        if position is not None:
            position = bench.answer_open(db, actor, number, position, right=chance.random() < 0.8, now=now)


def _practise(db: Database, _chance: random.Random, now: datetime) -> None:
    with db.reading() as unit:
        skills = prepared(unit, in_force(unit, MODULE).revision).skills
    for skill in skills:
        for _ in range(3):
            bench.practise_once(db, bench.enter(db, AMA, now), skill.id, now=now)


def _suspend(db: Database, _chance: random.Random, now: datetime) -> None:
    bench.suspend(db, AMA, now)


def _lift(db: Database, _chance: random.Random, now: datetime) -> None:
    bench.lift(db, AMA, now)


def _withdraw(db: Database, _chance: random.Random, now: datetime) -> None:
    sol = bench.enter(db, SOL, now)
    life.withdraw(db, sol, AMA.id, TASK.id, reason="At her wish.", password=SOL.password, now=now)


def _revise(db: Database, chance: random.Random, now: datetime) -> None:
    text = SMALL_VALVE.replace("95 N·m", f"{chance.choice((95, 110))} N·m")
    publish.publish(db, SYSTEM, text, file="f.yaml", now=now)


ONE_WAY, OTHER_WAY = (Method.SIMULATION, Method.ORAL), (Method.WRITTEN, Method.ORAL)


def _set(db: Database, chance: random.Random, _now: datetime) -> None:
    """The keeper sets other methods, or asks for an evaluator of another crew, which the mentor is not."""
    wanted = Conditions(
        methods=chance.choice(
            (Methods(), Methods(always=(Method.WRITTEN,)), Methods(one_of=(Method.SIMULATION,)))
        ),
        evaluators=chance.choice((Evaluators(), Evaluators(), Evaluators(other_crew=True, because="So."))),
    )
    task = covered_tasks.sheet(db, SYSTEM, TASK.id).task
    if task.conditions != wanted:
        bench.set_task(db, replace(task, conditions=wanted))


def _fits(db: Database, methods: tuple[Method, ...]) -> bool:
    """Whether the methods fit what is set, worked out from the plain values that are kept."""
    with db.reading() as unit:
        kept = tasks.every(unit)[TASK.id].as_data()["conditions"]["methods"]
    named = {method.value for method in methods}
    one_of = set(kept["one_of"])
    return (
        named <= set(kept["allowed"])
        and set(kept["always"]) <= named
        and (not one_of or bool(one_of & named))
    )


def _evaluate(db: Database, now: datetime, methods: tuple[Method, ...], **changed: Any) -> None:
    """Let the mentor evaluate; it is kept if and only if what is set for the task lets them, by these methods."""
    with db.reading() as unit:
        asks_other_crew = tasks.every(unit)[TASK.id].conditions.evaluators.other_crew
        before = len(evaluations.of_person(unit, AMA.id))
    may = _fits(db, methods) and not asks_other_crew
    with suppress(EvaluationUnfit, NotAllowed):
        bench.evaluate_by(db, bench.enter(db, MIRA, now), AMA, now, methods=methods, **changed)
    with db.reading() as unit:
        assert (len(evaluations.of_person(unit, AMA.id)) == before + 1) is may


DEEDS: tuple[Callable[[Database, random.Random, datetime], object], ...] = (
    lambda db, chance, now: _sit(db, chance, now, ""),
    lambda db, chance, now: _sit(db, chance, now, ""),
    lambda db, chance, now: _sit(db, chance, now, "torque"),
    lambda db, _, now: bench.watch(db, AMA, now),
    lambda db, _, now: bench.watch(db, AMA, now, studs_tight=StepMark.WRONG),
    lambda db, _, now: _evaluate(db, now, ONE_WAY),
    lambda db, _, now: _evaluate(db, now, OTHER_WAY),
    lambda db, _, now: _evaluate(db, now, ONE_WAY, aoc_passed=False),
    lambda db, _, now: _evaluate(db, now, ONE_WAY, passed=False),
    _practise,
    _revise,
    _set,
)
# What is done to somebody who is signed for; they begin their renewal in between.
AFTER = (*DEEDS[:-3], *DEEDS[:2], DEEDS[3], DEEDS[5], _suspend, _suspend, _lift, _withdraw)
# What leaves a sitting open when a round ends, and what goes on with one.
ACROSS = (*[_sit_for_a_while] * 3, _suspend, _lift, _suspend, _withdraw, DEEDS[3], DEEDS[5])


@pytest.mark.parametrize("seed", range(8))
def test_no_sequence_of_actions_gets_past_the_conditions(db: Database, seed: int) -> None:
    _begin(db)
    _signed_after(db, random.Random(seed))  # noqa: S311  # nothing here is secret


def test_the_straight_way_ends_in_a_signature(db: Database) -> None:
    """Else the sequences above might prove nothing."""
    _go_the_straight_way(db)


@remembered
def _go_the_straight_way(db: Database) -> None:
    _begin(db)
    for hour, deed in enumerate((DEEDS[0], DEEDS[3], DEEDS[5])):
        assert not _sign(db, _hour(hour))
        deed(db, random.Random(1), _hour(hour))  # noqa: S311
    assert _sign(db, _hour(4))
    assert not _sign(db, _hour(5))


@pytest.mark.parametrize("seed", range(8))
def test_no_renewal_stands_on_what_was_used_up_before(db: Database, seed: int) -> None:
    """What a signature stood on, and what lies before a suspension or withdrawal, carries no other signature."""
    _go_the_straight_way(db)
    _signed_after(db, random.Random(seed), AFTER, begin=6)  # noqa: S311


@pytest.mark.parametrize("seed", range(6))
def test_no_sitting_goes_on_from_one_round_into_the_next(db: Database, seed: int) -> None:
    _go_the_straight_way(db)
    _signed_after(db, random.Random(seed), ACROSS, begin=6)  # noqa: S311


def _begin(db: Database) -> None:
    policy.change(db, bench.enter(db, KIT), NUMBERS, because="For this test.", password=KIT.password, now=NOW)
    bench.give_module(db, AMA)
    bench.hire_second_supervisor(db)


def _hour(number: int) -> datetime:
    """Return the hour of a deed: what comes first is what a signature stands on, so no two may be at one time."""
    return NOW + timedelta(hours=number)


def _signed_after(db: Database, chance: random.Random, deeds: Sequence[Any] = DEEDS, begin: int = 0) -> None:
    for number in range(9):
        now = _hour(begin + 2 * number)
        try:
            chance.choice(deeds)(db, chance, now)
        except (sitting_release.NotReleased, NotAllowed, life.LifeStepRefused):
            continue
        with db.reading() as unit:
            may, newest = _may_be_signed(unit), evaluations.of_person(unit, AMA.id)[:1]
        assert _sign(db, now + timedelta(hours=1)) is (may and _fits(db, newest[0].methods))
    with db.reading() as unit:
        _no_sitting_lies_on_two_sides(unit)
    # Whatever was done, and in whatever order: the rows follow from the log alone.
    assert not any(held.differences for held in rebuilding.compare(db, SYSTEM))


def _no_sitting_lies_on_two_sides(unit: Unit) -> None:
    """From its release to its last answer nobody is signed for, suspended or withdrawn, not even without reason."""
    borders = [q.signed_at for q in qualifications.of_person(unit, AMA.id)]
    happened = life_events.of_person(unit, AMA.id)
    borders += [event.at for event in happened if event.act.value in ("suspended", "withdrawn")]
    for sat in sittings.of_person(unit, AMA.id):
        answered = [one.answer.at for one in sittings.questions(unit, sat.id) if one.answer is not None]
        for border in borders:
            assert len({at > border for at in (sat.released_at, *answered)}) == 1


def _sign(db: Database, now: datetime) -> bool:
    try:
        bench.sign_by(db, bench.enter(db, SOL, now), AMA, now)
    except NotReady:
        return False
    return True


def _may_be_signed(unit: Unit) -> bool:
    """The conditions, worked out from the rows alone and by formulas written down here."""
    revision = in_force(unit, MODULE).revision
    newest = evaluations.of_person(unit, AMA.id)[:1]
    if not newest or not (newest[0].passed and newest[0].abnormal_passed and newest[0].revision == revision):
        return False
    borders = _borders(unit)
    if newest[0].at <= borders[-1]:
        return False
    assert all(text in newest[0].abnormal_conditions for text in TASK.abnormal_conditions)
    return all(_decided(unit, revision, element, borders) for element in prepared(unit, revision).elements)


def _borders(unit: Unit) -> list[datetime]:
    """The last signature, or the beginning of all time, and what took evidence away after it."""
    signed = max((q.signed_at for q in qualifications.of_person(unit, AMA.id)), default=FOUNDED)
    happened = life_events.of_person(unit, AMA.id)
    lifted = {event.about for event in happened if event.act.value == "lifted"}
    gone = [e.at for e in happened if e.act.value in ("suspended", "withdrawn") and e.id not in lifted]
    return [signed, *sorted(at for at in gone if at > signed)]


def _decided(unit: Unit, revision: str, element: object, borders: list[datetime]) -> bool:
    """Every series begun since the last signature is spent; the one that counts began after the newest border."""
    spent = 0
    for begin, end in itertools.pairwise([*borders, borders[-1] + timedelta(days=900)]):
        decided, series = _in_stretch(unit, revision, element, begin, end, spent)
        spent = max(spent, series)
    return decided


def _in_stretch(
    unit: Unit, revision: str, element: object, begin: datetime, end: datetime, spent: int
) -> tuple[bool, int]:
    """Return whether the newest series of a stretch came to a pass, and its number; 0 when nothing was tried."""
    skills, critical = element.skills, element.skill_class.value == "critical"  # type: ignore[attr-defined]
    p0, p1, risk = (0.02, 0.5, 0.2) if critical else (0.05, 0.6, 0.3)
    marks = sittings.marks(unit, AMA.id, revision)
    asked = [mark for mark in marks if mark.skill in skills and begin < mark.at <= end]
    series = max((mark.series for mark in asked), default=spent + 1)
    told = [(mark.at, mark.right and not mark.critical, False) for mark in asked if mark.series == series]
    for kept in reversed(observations.closed_of(unit, AMA.id, MODULE)):
        if not begin < kept.begun_at <= end:
            continue
        begun = max(
            (mark.series for mark in asked if kept.closed_at and mark.at <= kept.closed_at), default=spent + 1
        )
        if kept.revision == revision and begun == series and kept.closed_at:
            told += [
                (kept.closed_at, item["right"] and not item["critical"], True)
                for item in kept.record["witnessed"]
                if item["skill"] in skills
            ]
    # Wald 1947: passed where x <= s n + h0, stopped where x >= s n + h1; the first series spends half the risk.
    alpha, beta = 0.1, risk / 2**series
    k = math.log(p1 * (1 - p0) / (p0 * (1 - p1)))
    slope = math.log((1 - p0) / (1 - p1)) / k
    n = x = witnessed = 0
    passed = False
    for _, right, seen in sorted(told, key=lambda one: one[0]):
        n, x, witnessed = n + 1, x + (not right), witnessed + (seen and right)
        passed = x <= slope * n + math.log(beta / (1 - alpha)) / k + 1e-9
        if not passed and x >= slope * n + math.log((1 - beta) / alpha) / k - 1e-9:
            return False, series
    return passed and (witnessed > 0 or not critical), series if told else 0
