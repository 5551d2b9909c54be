"""Forgetting: published half-lives, curves of published data, due days, and what refreshers say of the pace."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from trainer.competency.policy import Policy
from trainer.competency.retention import (
    DAYS_PER_MONTH,
    HALF_LIFE_MONTHS,
    Forgetting,
    HalfLife,
    NoSuchForgetting,
    Refresher,
    due_on,
    half_life,
    half_lives,
    interval_days,
    refreshers,
)
from trainer.competency.skill_classes import SkillClass

# H. Ebbinghaus, Memory, 1885, transl. Ruger and Bussenius 1913, ch. VII sect. 29: minutes, saving in per cent.
EBBINGHAUS = ((20, 58.2), (64, 44.2), (526, 35.8), (1440, 33.7), (2880, 27.8), (8640, 25.4), (44640, 21.1))
# Carpenter, Pashler, Wixted and Vul 2008, experiment 1, as in Lewandowsky and Farrell 2011, ch. 3: days, share recalled.
CARPENTER = ((0.0035, 0.93), (1, 0.88), (2, 0.86), (7, 0.66), (14, 0.47), (42, 0.34))


def test_the_published_half_lives_in_days() -> None:
    """Tatel and Ackerman 2025, abstract: half of the gain is lost after 6.5, 13 and 11 months."""
    days = {name: months * DAYS_PER_MONTH for name, months in HALF_LIFE_MONTHS.items()}
    assert days == pytest.approx({"accuracy": 197.84, "speed": 395.69, "mixed": 334.81}, abs=0.01)
    assert Policy().half_life_days == round(days["accuracy"])
    kept = [Forgetting(1, days["accuracy"]).share(t) for t in (30, 90, 180, 365)]
    assert kept == pytest.approx([0.9002, 0.7296, 0.5323, 0.2784], abs=1e-4)


@pytest.mark.parametrize(
    ("measure", "days"),
    [
        ("accuracy", (15.4, 31.7, 49.1, 33.6)),
        ("speed", (30.9, 63.5, 98.1, 67.2)),
        ("mixed", (26.1, 53.7, 83.0, 56.9)),
    ],
)
def test_days_until_a_threshold(measure: str, days: tuple[float, ...]) -> None:
    """H log2(p0 / threshold) of the published half-lives, to a tenth of a day."""
    half = HALF_LIFE_MONTHS[measure] * DAYS_PER_MONTH
    pairs = ((0.95, 0.90), (0.95, 0.85), (0.95, 0.80), (0.90, 0.80))
    for (start, threshold), expected in zip(pairs, days, strict=True):
        assert Forgetting(start, half).days_until(threshold) == pytest.approx(expected, abs=0.06)


def test_the_rule_fitted_to_published_recall() -> None:
    """Carpenter et al. 2008: a exp(-c t): .88968, .031539, RMSE .066514; with a floor .320421, .622134, .092128, .015225."""

    def off(start: float, rate: float, floor: float) -> np.ndarray:
        forgetting = Forgetting(start, math.log(2) / rate, floor)
        return np.array([forgetting.share(day) - seen for day, seen in CARPENTER])

    plain = optimize.least_squares(lambda x: off(x[0], x[1], 0.0), [0.9, 0.05])
    assert plain.x == pytest.approx([0.88968, 0.031539], abs=2e-5)
    assert math.sqrt(np.mean(plain.fun**2)) == pytest.approx(0.066514, abs=2e-5)
    floored = optimize.least_squares(lambda x: off(x[0], x[1], x[2]), [0.9, 0.05, 0.2])
    start, rate, floor = floored.x
    assert [floor, start - floor, rate] == pytest.approx([0.320421, 0.622134, 0.092128], abs=2e-5)
    assert math.sqrt(np.mean(floored.fun**2)) == pytest.approx(0.015225, abs=2e-5)


def test_why_the_rule_is_not_drawn_out_beyond_what_was_observed() -> None:
    """Ebbinghaus' savings: the exponential rule has R2 .397 where a power of time has .973 (.82467 t**-.131104)."""
    minutes, saving = (np.array(column) for column in zip(*EBBINGHAUS, strict=True))
    saving = saving / 100
    spread = float(np.sum((saving - saving.mean()) ** 2))

    def exponential(x: np.ndarray) -> np.ndarray:
        forgetting = Forgetting(min(x[0], 1.0), 2 ** x[1])
        return np.array([forgetting.share(t) for t in minutes]) - saving

    rule = optimize.least_squares(exponential, [0.4, 15.0])
    power = optimize.least_squares(lambda x: x[0] * minutes ** -x[1] - saving, [0.8, 0.1])
    assert power.x == pytest.approx([0.82467, 0.131104], abs=2e-5)
    assert 1 - float(np.sum(power.fun**2)) / spread == pytest.approx(0.97349, abs=2e-5)
    assert 1 - float(np.sum(rule.fun**2)) / spread == pytest.approx(0.397, abs=2e-3)


def test_how_far_a_year_without_practice_takes_people_down() -> None:
    """Arthur, Bennett, Stanush and McNelly 1998: d = -1.4 after more than 365 days, so below 92 % of those before."""
    assert float(stats.norm.cdf(1.4)) == pytest.approx(0.9192, abs=1e-4)
    assert Forgetting(0.95, Policy().half_life_days).share(366) < 0.3


def test_critical_skills_are_due_in_32_days_and_ordinary_ones_in_49() -> None:
    assert interval_days(Policy(), SkillClass.CRITICAL) == 32
    assert interval_days(Policy(), SkillClass.ABNORMAL) == 32
    assert interval_days(Policy(), SkillClass.ORDINARY) == 49
    assert due_on(date(2026, 11, 2), 32) == date(2026, 12, 4)


def test_the_longest_interval_holds_whatever_the_model_says() -> None:
    policy = Policy(half_life_days=3650, critical_longest_days=92)
    assert interval_days(policy, SkillClass.CRITICAL) == 92
    assert interval_days(Policy(), SkillClass.ORDINARY, floor=0.85) == Policy().ordinary_longest_days


def test_own_refreshers_lengthen_the_interval_no_further_than_was_observed() -> None:
    slow = HalfLife(3000, refreshers=5, longest_observed=60)
    assert interval_days(Policy(), SkillClass.CRITICAL, pace=slow) == 60
    assert interval_days(Policy(), SkillClass.CRITICAL, pace=HalfLife(3000, 5, 20)) == 32
    assert interval_days(Policy(), SkillClass.CRITICAL, pace=HalfLife(3000, 5, 400)) == 92
    fast = HalfLife(60, refreshers=5, longest_observed=60)
    assert interval_days(Policy(), SkillClass.CRITICAL, pace=fast) == 10
    assert interval_days(Policy(), SkillClass.CRITICAL, pace=HalfLife(0.5, 3, 60)) == 1


def _pace(refreshers: list[Refresher], spread: float = 0.7, expected: float = 198) -> HalfLife:
    return half_life(refreshers, start=0.95, floor=0.1, expected_days=expected, spread=spread)


def test_what_counts_as_a_refresher() -> None:
    start = datetime(2026, 11, 2, tzinfo=UTC)
    shown = [
        (start + timedelta(days=day), right)
        for day, right in ((0, 1), (3, 1), (13, 1), (53, 0), (83, 1), (113.5, 0))
    ]
    found = refreshers(((at, bool(right)) for at, right in shown), least_days=7, floor=0.2)
    # Three days apart is one practice; after an error there was nothing to forget.
    assert found == [Refresher(10, True, 0.2), Refresher(40, False, 0.2), Refresher(30.5, False, 0.2)]
    assert refreshers([], least_days=7) == []


def test_a_refresher_that_can_be_guessed_tells_less() -> None:
    sure = half_life([Refresher(60, True, 0.0)] * 4, start=0.95, floor=0, expected_days=198, spread=0.7)
    guessed = half_life([Refresher(60, True, 0.5)] * 4, start=0.95, floor=0, expected_days=198, spread=0.7)
    assert sure.days > guessed.days > 198


def test_without_refreshers_the_expected_pace_stands() -> None:
    assert _pace([]) == HalfLife(198)
    assert _pace([Refresher(0, right=True)]) == HalfLife(198)


def test_failures_shorten_and_successes_lengthen_the_half_life() -> None:
    right, wrong = [Refresher(60, right=True)] * 4, [Refresher(60, right=False)] * 4
    assert _pace(wrong).days < 198 < _pace(right).days
    assert _pace(wrong * 3).days < _pace(wrong).days
    assert _pace(right).longest_observed == 60
    assert abs(math.log(_pace(wrong, spread=0.05).days / 198)) < 0.05


@given(
    refreshers=st.lists(st.builds(Refresher, st.floats(1, 700), st.booleans()), min_size=1, max_size=12),
    spread=st.floats(0.2, 1.5),
)
def test_the_most_probable_half_life_against_scipy(refreshers: list[Refresher], spread: float) -> None:
    def minus_log(log_days: float) -> float:
        total = stats.norm.logpdf(log_days, math.log(198), spread)
        for item in refreshers:
            share = 0.1 + 0.85 * 2 ** (-item.days / math.exp(log_days))
            total += math.log(share) if item.right else math.log(1 - share)
        return -float(total)

    found = math.log(_pace(refreshers, spread).days)
    grid = np.linspace(math.log(198) - 6 * spread, math.log(198) + 6 * spread, 2001)
    assert minus_log(found) <= min(minus_log(float(x)) for x in grid) + 1e-6


def test_a_person_stands_around_the_task_and_the_task_around_the_default() -> None:
    people = {
        "quick to forget": [Refresher(40, right=False)] * 4,
        "sure": [Refresher(90, right=True)] * 8,
        "new": [],
    }
    task, each = half_lives(people.items(), Policy())
    assert task.refreshers == 12
    assert each["new"].days == pytest.approx(task.days)
    assert each["quick to forget"].days < task.days < each["sure"].days
    strict = Policy(half_life_spread=Decimal("0.05"))
    assert abs(math.log(half_lives(people.items(), strict)[0].days / strict.half_life_days)) < 0.1


def test_what_is_no_forgetting_is_refused() -> None:
    for start, half, floor in ((0.5, 100, 0.5), (1.2, 100, 0), (0.9, 0, 0), (0.9, 10, -0.1)):
        with pytest.raises(NoSuchForgetting, match="half-life above zero"):
            Forgetting(start, half, floor)
    with pytest.raises(NoSuchForgetting):
        Forgetting(0.95, 100, 0.3).days_until(0.3)
    assert Forgetting(0.95, 100).days_until(0.96) == 0


@given(start=st.floats(0.5, 1), half=st.floats(1, 4000), floor=st.floats(0, 0.4), part=st.floats(0.05, 0.95))
def test_the_days_until_are_those_at_which_the_share_has_fallen(
    start: float, half: float, floor: float, part: float
) -> None:
    forgetting = Forgetting(start, half, floor)
    threshold = floor + (start - floor) * part
    assert forgetting.share(forgetting.days_until(threshold)) == pytest.approx(threshold, abs=1e-9)
