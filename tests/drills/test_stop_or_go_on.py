"""Stop or go on: doing too little can hurt somebody, doing too much only costs, and both are told."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from trainer import drills
from trainer.drills.answer_forms import Choose
from trainer.procedure import library
from trainer.procedure.model import Hazard
from trainer.procedure.shared_tables import SharedTables

if TYPE_CHECKING:
    from trainer.drills.mark import Mark
    from trainer.procedure.model import Module

# Invented.
RUN = """\
module: run
title: Work on an invented run
document: T-1
covered_task: T-31
sizes: [DN 50]
parts: {body: {fixed: true}}
sights:
  climbs:
    {during: prove, sight: The gauge climbs, do: make_safe, how: Leave it bolted, otherwise: The run fills, signal: danger}
  alarm: {during: prove, sight: The alarm sounds, do: stop, how: Get clear upwind, otherwise: The gas finds a spark}
  bag: {during: fit, sight: The wrong ring is in the bag, do: report, how: Fetch another, otherwise: It leaks, signal: notice}
  still: {during: prove, sight: The gauge stands at zero, do: go_on, how: That is the proof}
steps:
  - {id: prove, do: Watch the gauge}
  - {id: fit, do: Fit the ring}
"""
WORDS = {"go on": "Go on", "report": "Hold and", "make safe": "Make it", "stop": "Stop,"}


@pytest.fixture(scope="module")
def run() -> Module:
    return library.read_module(RUN, "run.yaml", SharedTables())


def _mark(module: Module, sight: str, word: str) -> tuple[Mark, str]:
    """Return the mark of an answer that is right but for one sight, and what is said of that one."""
    for seed in range(100):
        form = drills.ask(module, "stop-or-go-on", None, seed).form
        assert isinstance(form, Choose)
        row = next((row for row in form.rows if row.text == f"{sight}."), None)
        if row is None:
            continue
        option = next(option.id for option in row.options if option.text.startswith(WORDS[word]))
        key = drills.key(module, "stop-or-go-on", None, seed)
        assert isinstance(key, dict)
        mark = drills.mark(module, "stop-or-go-on", None, seed, {**key, row.id: option})
        return mark, next(remark.text for remark in mark.remarks if remark.about == row.id)
    raise AssertionError("not asked in 100 seeds")


def test_the_skill_is_counted_by_itself(run: Module) -> None:
    (skill,) = [skill for skill in drills.skills(run) if skill.kind == "stop-or-go-on"]
    assert (skill.abnormal, skill.critical) == (True, True)
    assert not any(skill.abnormal for skill in drills.skills(run) if skill.kind != "stop-or-go-on")


@pytest.mark.parametrize(
    ("sight", "word", "told"),
    [
        ("The gauge climbs", "go on", "If you go on: the run fills. Leave it bolted."),
        ("The gauge climbs", "report", "while you wait: the run fills."),
        ("The alarm sounds", "make safe", "Your hands stay where they must not be: the gas finds a spark."),
    ],
)
def test_too_little_is_critical_and_its_consequence_told(
    run: Module, sight: str, word: str, told: str
) -> None:
    mark, said = _mark(run, sight, word)
    assert (mark.right, mark.critical) == (False, True)
    assert told in said


def test_too_little_that_hurts_nobody_is_not_critical(run: Module) -> None:
    mark, _ = _mark(run, "The wrong ring is in the bag", "go on")
    assert (mark.right, mark.critical) == (False, False)
    assert [remark.signal for remark in mark.remarks if not remark.right] == [Hazard.NOTICE]


@pytest.mark.parametrize(
    ("sight", "word", "told"),
    [
        ("The gauge stands at zero", "stop", "is not believed the next time. That is the proof."),
        ("The gauge climbs", "stop", "it gets worse by itself. Leave it bolted."),
        ("The wrong ring is in the bag", "make safe", "what is missing is a decision. Fetch another."),
    ],
)
def test_too_much_costs_but_is_not_critical(run: Module, sight: str, word: str, told: str) -> None:
    mark, said = _mark(run, sight, word)
    assert (mark.right, mark.critical) == (False, False)
    assert mark.credit == 0.75
    assert told in said


def test_sights_come_in_the_order_of_the_job(run: Module) -> None:
    for seed in range(20):
        form = drills.ask(run, "stop-or-go-on", None, seed).form
        assert isinstance(form, Choose)
        assert form.rows[-1].text == "The wrong ring is in the bag."


def test_the_main_module_practises_every_abnormal_condition_of_its_task() -> None:
    module = library.load("piston-valve-overhaul")
    met = {sight.condition for sight in module.sights.values()} - {""}
    assert met == set(library.tables().tasks[module.covered_task].abnormal_conditions)
