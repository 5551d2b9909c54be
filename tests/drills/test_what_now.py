"""What now: every pick is judged by the order and by the simulation, and moves the state on."""

from __future__ import annotations

import pytest

from tests.modules import SMALL_VALVE
from trainer import drills
from trainer.drills.answer_forms import AnswerUnreadable, NextStep
from trainer.drills.kind import Setting
from trainer.drills.kinds import what_now
from trainer.procedure import library
from trainer.procedure.shared_tables import SharedTables
from trainer.procedure.simulate import run
from trainer.procedure.window import prepare

KIND = "what-now"
VALVE = library.read_module(SMALL_VALVE, "small.yaml", SharedTables())
STEP_OF = {step.do: step.id for step in VALVE.steps.values()}
SEEDS = range(60)


def _options(seed: int, picked: list[str]) -> dict[str, str]:
    """Return option → step at a moment."""
    at = (
        drills.go_on(VALVE, KIND, "DN 50", seed, picked) if picked else drills.ask(VALVE, KIND, "DN 50", seed)
    )
    assert at is not None
    assert isinstance(at.form, NextStep)
    return {option.id: STEP_OF[option.text] for option in at.form.options}


def _done(seed: int) -> list[str]:
    """Return the steps done before the run begins, as the kind draws them."""
    skill = what_now.skills(prepare(VALVE))[0]
    return list(what_now._before(Setting(prepare(VALVE, "DN 50"), skill, "DN 50", seed)))


def test_what_is_taken_runs_clean_and_what_is_refused_does_not_end_well() -> None:
    """The second judge agrees: done so far and the pick run clean; a refused pick breaks the order of the rest."""
    procedure = prepare(VALVE)
    for seed in SEEDS:
        done, picked = _done(seed), list[str]()
        for _ in range(what_now.MOMENTS):
            right = {}
            for option, step in _options(seed, picked).items():
                at = [*picked, option]
                ahead = drills.go_on(VALVE, KIND, "DN 50", seed, at)
                if ahead is not None or drills.mark(VALVE, KIND, "DN 50", seed, at).right:
                    right[option] = step
                    assert run(procedure.plan, [*done, step]) is None
                else:
                    before = procedure.order.before[procedure.precedence.index[step]]
                    so_far = sum(1 << procedure.precedence.index[name] for name in done)
                    assert before & ~so_far
            option, step = max(right.items())
            picked, done = [*picked, option], [*done, step]
            if drills.go_on(VALVE, KIND, "DN 50", seed, picked) is None:
                break


def test_three_to_six_steps_are_offered_and_some_of_them_wrong() -> None:
    offered = set()
    for seed in SEEDS:
        options = _options(seed, [])
        offered.add(len(options))
        outcomes = {drills.go_on(VALVE, KIND, "DN 50", seed, [option]) is None for option in options}
        assert outcomes == {True, False}
    assert offered == {3, 4, 5, 6}


def test_a_wrong_pick_ends_the_run_and_tells_its_consequence() -> None:
    critical = set()
    for seed in SEEDS:
        for option in _options(seed, []):
            if drills.go_on(VALVE, KIND, "DN 50", seed, [option]) is None:
                mark = drills.mark(VALVE, KIND, "DN 50", seed, [option])
                assert (mark.right, mark.credit, mark.headline) == (False, 0, "Pick 1 comes too early.")
                assert mark.incident is not None
                assert mark.incident.text
                assert mark.critical is mark.incident.signal.is_critical
                assert mark.instead.startswith("What went at that moment: ")
                critical.add(mark.critical)
                with pytest.raises(AnswerUnreadable, match=r"over before the last pick"):
                    drills.mark(VALVE, KIND, "DN 50", seed, [option, "a"])
    assert critical == {True, False}


def test_a_run_that_is_not_over_is_no_answer() -> None:
    key = drills.key(VALVE, KIND, "DN 50", 4)
    assert isinstance(key, list)
    with pytest.raises(AnswerUnreadable, match=r"not over: pick what comes next"):
        drills.mark(VALVE, KIND, "DN 50", 4, key[:1])


def test_only_the_moment_reached_is_sent() -> None:
    """What is offered later depends on what is picked now, and is not there before."""
    key = drills.key(VALVE, KIND, "DN 50", 4)
    assert isinstance(key, list)
    ahead = drills.go_on(VALVE, KIND, "DN 50", 4, key[:1])
    assert ahead is not None
    assert isinstance(ahead.form, NextStep)
    assert len(ahead.form.done) == 1
    assert drills.ask(VALVE, KIND, "DN 50", 4).as_data()["done"] == []


def test_a_drill_answered_as_a_whole_has_no_moments() -> None:
    with pytest.raises(AnswerUnreadable, match=r"as a whole"):
        drills.go_on(VALVE, "order", "DN 50", 4, ["a"])


@pytest.mark.parametrize("name", library.shipped_procedures())
def test_three_to_six_are_offered_at_every_moment_of_the_shipped_procedures(name: str) -> None:
    module = library.load(name)
    at = module, KIND, module.sizes[0]
    for seed in range(20):
        key = drills.key(*at, seed)
        assert isinstance(key, list)
        moments = [drills.ask(*at, seed), *(drills.go_on(*at, seed, key[:n]) for n in range(1, len(key)))]
        for moment in moments:
            assert moment is not None
            assert isinstance(moment.form, NextStep)
            assert 3 <= len(moment.form.options) <= 6
