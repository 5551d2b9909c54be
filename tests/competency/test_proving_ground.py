"""The proving ground: it decides as the plans do, keeps the stated risks, and notices rules that do not."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from scipy.stats import binom, binomtest

from trainer.competency import proving_ground
from trainer.competency.policy import Policy
from trainer.competency.proving_ground import (
    CrewUnfit,
    Share,
    decisions,
    fixed_length,
    in_a_row,
    run,
    simulate,
)
from trainer.competency.proving_refreshers import refresh
from trainer.competency.readiness import Counted, class_readiness
from trainer.competency.sequential import Decision, Plan, plan_for
from trainer.competency.skill_classes import ElementClass, SkillClass

PEOPLE = 10_000


@pytest.fixture(scope="module")
def report() -> proving_ground.Report:
    return simulate(Policy(), PEOPLE, 1)


def test_the_stated_risks_are_kept(report: proving_ground.Report) -> None:
    for found in report.classes:
        assert found.false_pass.of > PEOPLE / 3
        assert found.false_pass.times > 0
        assert found.false_pass.upper_95 <= found.beta
        assert found.false_fail.upper_95 <= found.alpha
    assert report.person.upper_95 <= max(found.beta for found in report.classes)


def test_it_is_at_least_a_third_shorter_than_a_fixed_length_of_the_same_risk(
    report: proving_ground.Report,
) -> None:
    for found in report.classes:
        assert found.mean_attempts <= found.fixed * 2 / 3
        assert found.first_series <= found.first_fixed.attempts * 2 / 3
        assert found.fixed_stopped < found.fixed


def test_so_many_in_a_row_keeps_no_risk(report: proving_ground.Report) -> None:
    for found in report.classes:
        for row in found.in_a_row:
            assert row.false_pass.rate > 5 * found.beta
    assert report.practice.released_below_standard.rate > 0.2


def test_the_same_seed_gives_the_same_crew(report: proving_ground.Report) -> None:
    assert simulate(Policy(), PEOPLE, 1) == report
    assert simulate(Policy(), PEOPLE, 2) != report


@pytest.mark.parametrize("skill_class", list(SkillClass))
@pytest.mark.parametrize("rate", [0.02, 0.1, 0.2, 0.35])
def test_many_at_once_end_as_one_by_one(skill_class: SkillClass, rate: float) -> None:
    plan = plan_for(Policy(), skill_class, 2)
    failed = np.random.default_rng(4).random((200, plan.truncated_at)) < rate
    passed, attempts = run(decisions(plan), failed)
    for row, ready, used in zip(failed, passed, attempts, strict=True):
        failures, number, said = 0, 0, Decision.GO_ON
        while said is Decision.GO_ON:
            failures += int(row[number])
            number += 1
            said = plan.decide(number, failures)
        assert (said is Decision.PASS, number) == (bool(ready), int(used))


def test_it_decides_as_readiness_decides_on_real_people() -> None:
    policy, skill = Policy(critical_observed=0), "one"
    element = ElementClass("class", "Class", SkillClass.CRITICAL, (skill,))
    plan = plan_for(policy, SkillClass.CRITICAL, 1)
    rows = np.random.default_rng(8).random((40, plan.truncated_at)) < 0.12
    passed, attempts = run(decisions(plan), rows)
    noon = datetime(2027, 3, 17, 12, 0, tzinfo=UTC)
    for row, ready, used in zip(rows, passed, attempts, strict=True):
        given = [Counted(skill, 1, not failed, False, noon) for failed in row[:used]]
        found = class_readiness(element, given, policy)
        assert (found.attempts, found.decision) == (used, Decision.PASS if ready else Decision.NOT_READY)
        before = class_readiness(element, given[:-1], policy)
        assert before.decision is Decision.GO_ON


def test_the_exact_probabilities_lie_within_what_is_simulated() -> None:
    plan = plan_for(Policy(), SkillClass.CRITICAL, 1)
    failed = np.random.default_rng(5).random((20_000, plan.truncated_at)) < plan.p1
    passed, attempts = run(decisions(plan), failed)
    exact = plan.operating(plan.p1)
    within = binomtest(int(passed.sum()), len(passed)).proportion_ci(0.999)
    assert within.low <= exact.passes <= within.high
    assert attempts.mean() == pytest.approx(exact.mean_attempts, rel=0.02)


def test_series_that_do_not_spend_risk_are_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every further series at the risk of the first: the very mistake that the rule is there to prevent."""

    def careless(policy: Policy, skill_class: SkillClass, _series: int) -> Plan:
        return plan_for(policy, skill_class, 1)

    monkeypatch.setattr(proving_ground, "plan_for", careless)
    made = proving_ground.MakeUp(at_the_line=1.0, improving=0.0)
    found = simulate(Policy(series_most=6), PEOPLE, 1, make_up=made).of(SkillClass.CRITICAL)
    assert found.false_pass.lower_95 > found.beta


def test_even_a_crew_at_the_line_that_never_improves_is_kept_within_the_risk() -> None:
    made = proving_ground.MakeUp(good=0.1, poor=0.9, at_the_line=1.0, improving=0.0)
    for found in simulate(Policy(), PEOPLE, 3, make_up=made).classes:
        assert found.false_pass.upper_95 <= found.beta


def test_the_fixed_length_is_the_shortest_that_keeps_both_risks() -> None:
    plan = Plan(0.02, 0.2, 0.1, 0.05)
    found = fixed_length(plan)

    def keeps(attempts: int) -> bool:
        return any(
            binom.cdf(failures, attempts, plan.p1) <= plan.beta
            and binom.sf(failures, attempts, plan.p0) <= plan.alpha
            for failures in range(attempts)
        )

    assert keeps(found.attempts)
    assert not any(keeps(shorter) for shorter in range(1, found.attempts))


def test_five_in_a_row_within_fifty_tries() -> None:
    # Exactly .55 for somebody who fails every second time (runs of coin tosses; own exact count, check value MAS-14).
    passed, used = in_a_row(np.full(40_000, 0.5), 5, 50, np.random.default_rng(6))
    assert passed.mean() == pytest.approx(0.55, abs=0.01)
    assert used.max() == 50


def test_limits_are_those_of_clopper_and_pearson() -> None:
    # No event in 59: 95 % below .05, the success-run rule (59 for 95/95).
    assert Share(0, 59).upper_95 == pytest.approx(1 - 0.05 ** (1 / 59))
    assert Share(3, 3).upper_95 == 1
    assert Share(0, 0).rate == 0
    within = binomtest(4, 60).proportion_ci(0.9)
    assert Share(4, 60).upper_95 == pytest.approx(within.high)
    assert Share(4, 60).lower_95 == pytest.approx(within.low)


def test_a_crew_of_five_is_refused_in_a_sentence() -> None:
    with pytest.raises(CrewUnfit, match="100 to 1000000 people, not 5"):
        simulate(Policy(), 5, 1)


def test_progress_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(proving_ground, "AT_ONCE", 150)
    told: list[int] = []
    simulate(Policy(), 400, 1, progress=told.append)
    assert told == [150, 300, 400]


@pytest.mark.parametrize("skill_class", [SkillClass.CRITICAL, SkillClass.ORDINARY])
def test_refreshers_come_out_as_predicted_and_never_late(skill_class: SkillClass) -> None:
    policy = Policy()
    found = refresh(policy, skill_class, PEOPLE, 1)
    assert found.agrees
    assert found.high - found.low < 0.1
    assert found.longest_days <= found.cap_days == policy.of(skill_class).longest_days
    assert found.right > 0.7


def test_the_cap_holds_for_people_who_hardly_forget() -> None:
    policy = Policy(half_life_days=3650, critical_longest_days=30)
    assert refresh(policy, SkillClass.CRITICAL, 100, 1, rounds=2).longest_days == 30


def test_a_wrong_forecast_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("trainer.competency.retention.Forgetting.share", lambda _self, _days: 0.95)
    assert not refresh(Policy(), SkillClass.ORDINARY, 200, 1, rounds=2).agrees
