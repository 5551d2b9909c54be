"""Whatever people do and in whatever order: nobody is signed for without what a sign-off stands on."""

from __future__ import annotations

import math
import random
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW, TASK
from tests.modules import SMALL_VALVE
from tests.people import AMA, KIT, MIRA, SOL
from trainer.actions import covered_tasks, policy, publish, rebuilding, sitting_release
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.actions.evaluate import EvaluationUnfit
from trainer.actions.published import in_force, prepared
from trainer.actions.qualify import NotReady
from trainer.records.conditions import Conditions, Evaluators, Methods
from trainer.records.methods import Method
from trainer.records.observation import StepMark
from trainer.store import evaluations, observations, qualifications, sittings, tasks

if TYPE_CHECKING:
    from collections.abc import Callable

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


def _sit(db: Database, chance: random.Random, wrong: str) -> None:
    number = bench.release(db, AMA, drawn_with=str(chance.random()))
    bench.sit(db, AMA, number, wrong=lambda skill: bool(wrong) and skill.startswith(wrong))


def _practise(db: Database, _chance: random.Random) -> None:
    with db.reading() as unit:
        skills = prepared(unit, in_force(unit, MODULE).revision).skills
    for skill in skills:
        for _ in range(3):
            bench.practise_once(db, bench.enter(db, AMA), skill.id)


def _revise(db: Database, chance: random.Random) -> None:
    text = SMALL_VALVE.replace("95 N·m", f"{chance.choice((95, 110))} N·m")
    publish.publish(db, SYSTEM, text, file="f.yaml", now=NOW)


ONE_WAY, OTHER_WAY = (Method.SIMULATION, Method.ORAL), (Method.WRITTEN, Method.ORAL)


def _set(db: Database, chance: random.Random) -> None:
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


def _evaluate(db: Database, _chance: random.Random, methods: tuple[Method, ...], **changed: Any) -> None:
    """Let the mentor evaluate; it is kept if and only if what is set for the task lets them, by these methods."""
    with db.reading() as unit:
        asks_other_crew = tasks.every(unit)[TASK.id].conditions.evaluators.other_crew
        before = len(evaluations.of_person(unit, AMA.id))
    may = _fits(db, methods) and not asks_other_crew
    with suppress(EvaluationUnfit, NotAllowed):
        bench.evaluate_by(db, bench.enter(db, MIRA), AMA, methods=methods, **changed)
    with db.reading() as unit:
        assert (len(evaluations.of_person(unit, AMA.id)) == before + 1) is may


DEEDS: tuple[Callable[[Database, random.Random], object], ...] = (
    lambda db, chance: _sit(db, chance, ""),
    lambda db, chance: _sit(db, chance, ""),
    lambda db, chance: _sit(db, chance, "torque"),
    lambda db, _: bench.watch(db, AMA),
    lambda db, _: bench.watch(db, AMA, studs_tight=StepMark.WRONG),
    lambda db, chance: _evaluate(db, chance, ONE_WAY),
    lambda db, chance: _evaluate(db, chance, OTHER_WAY),
    lambda db, chance: _evaluate(db, chance, ONE_WAY, aoc_passed=False),
    lambda db, chance: _evaluate(db, chance, ONE_WAY, passed=False),
    _practise,
    _revise,
    _set,
)


@pytest.mark.parametrize("seed", range(8))
def test_no_sequence_of_actions_gets_past_the_conditions(db: Database, seed: int) -> None:
    _signed_after(db, random.Random(seed))  # noqa: S311  # nothing here is secret


def test_the_straight_way_ends_in_a_signature(db: Database) -> None:
    """Else the sequences above might prove nothing."""
    _begin(db)
    for deed in (DEEDS[0], DEEDS[3], DEEDS[5]):
        assert not _sign(db)
        deed(db, random.Random(1))  # noqa: S311
    assert _sign(db)


def _begin(db: Database) -> None:
    policy.change(db, bench.enter(db, KIT), NUMBERS, because="For this test.", password=KIT.password, now=NOW)
    bench.give_module(db, AMA)


def _signed_after(db: Database, chance: random.Random) -> None:
    _begin(db)
    for _ in range(9):
        try:
            chance.choice(DEEDS)(db, chance)
        except (sitting_release.NotReleased, NotAllowed):
            continue
        with db.reading() as unit:
            may, newest = _may_be_signed(unit), evaluations.of_person(unit, AMA.id)[:1]
        assert _sign(db) is (may and _fits(db, newest[0].methods))
    # Whatever was done, and in whatever order: the rows follow from the log alone.
    assert not any(held.differences for held in rebuilding.compare(db, SYSTEM))


def _sign(db: Database) -> bool:
    try:
        bench.sign_by(db, bench.enter(db, SOL), AMA)
    except NotReady:
        return False
    return True


def _may_be_signed(unit: Unit) -> bool:
    """The conditions, worked out from the rows alone and by formulas written down here."""
    revision = in_force(unit, MODULE).revision
    newest = evaluations.of_person(unit, AMA.id)[:1]
    if not newest or not (newest[0].passed and newest[0].abnormal_passed and newest[0].revision == revision):
        return False
    if any(q.evaluation_id == newest[0].id for q in qualifications.of_person(unit, AMA.id)):
        return False
    assert all(text in newest[0].abnormal_conditions for text in TASK.abnormal_conditions)
    return all(_decided(unit, revision, element) for element in prepared(unit, revision).elements)


def _decided(unit: Unit, revision: str, element: object) -> bool:
    skills, critical = element.skills, element.skill_class.value == "critical"  # type: ignore[attr-defined]
    p0, p1, risk = (0.02, 0.5, 0.2) if critical else (0.05, 0.6, 0.3)
    asked = [mark for mark in sittings.marks(unit, AMA.id, revision) if mark.skill in skills]
    series = max((mark.series for mark in asked), default=1)
    told = [(mark.at, mark.right and not mark.critical, False) for mark in asked if mark.series == series]
    for kept in reversed(observations.closed_of(unit, AMA.id, MODULE)):
        begun = max(
            (mark.series for mark in asked if kept.closed_at and mark.at <= kept.closed_at), default=1
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
            return False
    return passed and (witnessed > 0 or not critical)
