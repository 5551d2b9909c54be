"""Sequential plans against published lines, the exact probabilities by another way, and the bound of all series."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.competency.policy import Policy
from trainer.competency.sequential import (
    CountsImpossible,
    Decision,
    Plan,
    PlanImpossible,
    SeriesUncounted,
    plan_for,
)
from trainer.competency.skill_classes import SkillClass


def test_the_lines_of_the_handbooks_plan() -> None:
    """NIST/SEMATECH e-Handbook, sect. 6.2.6 (h .939 and 1.205, s .0397, first pass after 24: from memory)."""
    plan = Plan(0.01, 0.10, 0.05, 0.10)
    assert plan.k == pytest.approx(2.397895, abs=1e-6)
    assert plan.slope == pytest.approx(0.039747, abs=1e-6)
    assert plan.pass_at == pytest.approx(-0.938862, abs=1e-6)
    assert plan.stop_at == pytest.approx(1.205379, abs=1e-6)
    assert (plan.passes_after(0), plan.passes_after(1), plan.shortest, plan.truncated_at) == (24, 49, 24, 72)
    for attempts, failures in ((2, 2), (23, 3), (50, 4)):
        assert plan.decide(attempts, failures) is Decision.NOT_READY
        assert plan.decide(attempts, failures - 1) is not Decision.NOT_READY
    assert plan.decide(22, 2) is Decision.GO_ON


def test_the_lines_of_walds_example() -> None:
    """A. Wald, Sequential Analysis 1947, ch. 5 uses these four numbers (from memory); lines by his formulas."""
    plan = Plan(0.1, 0.3, 0.02, 0.03)
    assert plan.slope == pytest.approx(0.186169, abs=1e-5)
    assert plan.pass_at == pytest.approx(-2.582626, abs=1e-5)
    assert plan.stop_at == pytest.approx(2.875389, abs=1e-5)
    assert plan.shortest == 14


@pytest.mark.parametrize(
    ("numbers", "rate", "passes", "not_ready", "mean"),
    [
        ((0.01, 0.10, 0.05, 0.10), 0.01, 0.97795, 0.02205, 30.21273),
        ((0.01, 0.10, 0.05, 0.10), 0.10, 0.09958, 0.90042, 22.36915),
        ((0.05, 0.20, 0.05, 0.05), 0.05, 0.96777, 0.03223, 30.55588),
        ((0.05, 0.20, 0.05, 0.05), 0.20, 0.04462, 0.95538, 22.59063),
        ((0.10, 0.30, 0.05, 0.10), 0.10, 0.96705, 0.03295, 18.52687),
        ((0.10, 0.30, 0.05, 0.10), 0.30, 0.09343, 0.90657, 18.37822),
        ((0.10, 0.30, 0.02, 0.03), 0.10, 0.98631, 0.01369, 29.90181),
        ((0.10, 0.30, 0.02, 0.03), 0.30, 0.02742, 0.97258, 26.60221),
    ],
)
def test_exact_probabilities_without_truncation(
    numbers: tuple[float, float, float, float], rate: float, passes: float, not_ready: float, mean: float
) -> None:
    """From a separate program that also went through all (attempts, failures); no published table."""
    found = Plan(*numbers, truncated=False).operating(rate)
    assert found.passes == pytest.approx(passes, abs=2e-5)
    assert found.not_ready == pytest.approx(not_ready, abs=2e-5)
    assert found.mean_attempts == pytest.approx(mean, abs=2e-3)


@pytest.mark.parametrize(
    ("numbers", "after", "at_poor", "at_good", "mean_good", "mean_poor"),
    [
        ((0.02, 0.20, 0.10, 0.10), (11, 24, 36), 0.098, 0.926, 13.0, 8.7),
        ((0.02, 0.20, 0.10, 0.05), (15, 27, 39), 0.046, 0.941, 17.8, 9.7),
        ((0.02, 0.20, 0.10, 0.025), (18, 31, 43), 0.0235, 0.931, 21.9, 10.1),
        ((0.05, 0.20, 0.10, 0.05), (17, 26, 35), 0.046, 0.848, 26.0, 16.7),
        ((0.10, 0.30, 0.10, 0.10), (9, 15, 20), 0.081, 0.809, 15.4, 12.7),
    ],
)
def test_truncated_plans(
    numbers: tuple[float, float, float, float],
    after: tuple[int, int, int],
    at_poor: float,
    at_good: float,
    mean_good: float,
    mean_poor: float,
) -> None:
    """From a separate program, to the places given; no published table."""
    plan = Plan(*numbers)
    whole = Plan(*numbers, truncated=False)
    assert tuple(whole.passes_after(failures) for failures in range(3)) == after
    poor, good = plan.operating(numbers[1]), plan.operating(numbers[0])
    assert poor.passes == pytest.approx(at_poor, abs=6e-4)
    assert good.passes == pytest.approx(at_good, abs=6e-4)
    assert good.mean_attempts == pytest.approx(mean_good, abs=0.06)
    assert poor.mean_attempts == pytest.approx(mean_poor, abs=0.06)
    assert poor.passes + poor.not_ready == pytest.approx(1, abs=1e-9)


def test_the_exact_probability_agrees_with_playing_it_out() -> None:
    plan = Plan(0.1, 0.3, 0.1, 0.1)
    chance = random.Random(7)  # noqa: S311  # a simulation, no secret
    runs = 4000
    passed = 0
    for _ in range(runs):
        attempts = failures = 0
        while plan.decide(attempts, failures) is Decision.GO_ON:
            attempts += 1
            failures += chance.random() < 0.3
        passed += plan.decide(attempts, failures) is Decision.PASS
    assert passed / runs == pytest.approx(plan.operating(0.3).passes, abs=0.015)


@given(
    good=st.floats(0.005, 0.15),
    gap=st.floats(0.05, 0.35),
    alpha=st.floats(0.01, 0.3),
    beta=st.floats(0.005, 0.3),
)
def test_truncation_never_raises_the_risk_of_a_wrong_pass(
    good: float, gap: float, alpha: float, beta: float
) -> None:
    plan = Plan(good, good + gap, alpha, beta)
    assert plan.operating(good + gap).passes <= beta / (1 - alpha) + 1e-9
    open_end = Plan(good, good + gap, alpha, beta, truncated=False)
    assert plan.operating(good + gap).passes <= open_end.operating(good + gap, most=2000).passes + 1e-9


@pytest.mark.parametrize("skill_class", SkillClass)
def test_however_many_series_are_run_the_risk_stays_below_what_the_owner_set(skill_class: SkillClass) -> None:
    policy = Policy()
    numbers = policy.of(skill_class)
    ever = 0.0
    for series in range(1, 21):
        ever += (1 - ever) * plan_for(policy, skill_class, series).operating(float(numbers.poor)).passes
    assert ever <= float(numbers.false_pass)


def test_a_rule_of_so_many_in_a_row_with_retries_is_not_bounded() -> None:
    """Somebody who fails every other time gets 5 in a row within 50 attempts more often than not."""
    within = [1.0, *[0.0] * 5]
    for _ in range(50):
        moved = [0.0] * 6
        moved[5] = within[5]
        for row in range(5):
            moved[row + 1] += within[row] / 2
            moved[0] += within[row] / 2
        within = moved
    assert within[5] == pytest.approx(0.55, abs=0.005)


def test_what_makes_no_plan_is_refused() -> None:
    for numbers in ((0.2, 0.2, 0.1, 0.1), (0.3, 0.2, 0.1, 0.1), (0.0, 0.2, 0.1, 0.1), (0.1, 0.2, 0.5, 0.5)):
        with pytest.raises(PlanImpossible, match="good failure rate below the poor one"):
            Plan(*numbers)
    plan = Plan(0.1, 0.3, 0.1, 0.1)
    with pytest.raises(CountsImpossible, match="3 failures in 2 attempts cannot be"):
        plan.decide(2, 3)
    with pytest.raises(CountsImpossible):
        plan.decide(2, -1)
    with pytest.raises(SeriesUncounted, match="counted from 1"):
        plan_for(Policy(), SkillClass.CRITICAL, 0)


def test_no_series_begins_decided_and_none_goes_on_for_ever() -> None:
    plan = plan_for(Policy(), SkillClass.CRITICAL, 1)
    assert plan.decide(0, 0) is Decision.GO_ON
    assert plan.decide(plan.truncated_at, 4) is Decision.NOT_READY
    assert plan.passes_after(9) is None
