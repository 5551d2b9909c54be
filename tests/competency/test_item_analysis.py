"""Items: published tables, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from tests.competency.answers import LSAT6, LSAT7, people
from trainer.competency import decision_consistency, item_analysis
from trainer.competency.item_analysis import NotMarks, TooFewPeople

# R ltm, descript(LSAT): Rizopoulos 2006, J. Stat. Softw. 17(5) pp. 8-9 (from memory; check value CTT-01), and R mirt,
# itemstats(LSAT7) (from memory; CTT-02); both recomputed with pingouin 0.7.0 and girth 0.8.0.
PUBLISHED = [
    (
        LSAT6, 0.294997, 3.819, 1.035,
        [0.2754, 0.2376, 0.2168, 0.2459, 0.2663],
        [0.362, 0.5668, 0.6184, 0.5344, 0.4354],
        [0.1128, 0.1532, 0.1728, 0.1444, 0.1216],
    ),
    (
        LSAT7, 0.453409, 3.707, 1.1986,
        [0.396, 0.3938, 0.3454, 0.4146, 0.4385],
        [0.53, 0.5997, 0.6112, 0.592, 0.4612],
        [0.2457, 0.2467, 0.3132, 0.2228, 0.1748],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("data", "alpha", "mean", "deviation", "without", "whole", "rest"), PUBLISHED)
def test_published_items(
    data: dict[str, int],
    alpha: float,
    mean: float,
    deviation: float,
    without: list[float],
    whole: list[float],
    rest: list[float],
) -> None:
    found = item_analysis.analyse(people(data))
    assert found.reliability == pytest.approx(alpha, abs=1e-6)
    assert found.mean == pytest.approx(mean, abs=1e-4)
    assert found.deviation == pytest.approx(deviation, abs=1e-4)
    assert [item.reliability_without for item in found.items] == pytest.approx(without, abs=1e-4)
    assert [item.with_whole for item in found.items] == pytest.approx(whole, abs=1e-4)
    assert [item.with_rest for item in found.items] == pytest.approx(rest, abs=1e-4)


def test_the_simpler_reliability() -> None:
    # Check value CTT-01.
    sums = people(LSAT6).sum(axis=1).astype(int).tolist()
    assert decision_consistency.kr_21(sums, 5, of_sample=True) == pytest.approx(0.197495, abs=1e-6)


# The vignette of the R package rcrtan 0.1.1; formulas Brown and Hudson 2002, Brennan 1984 (check value CTT-04).
ROWS = [
    "1111111111", "1111100111", "1111100111", "1111010111", "1010011111", "1111010111", "1111110111",
    "1011111111", "0011010101", "1111100111", "1111111111", "1111111111", "1111111111", "1011111111",
    "1111010111", "0111111110", "1001100011", "0111001111", "1111010111",
]  # fmt: skip
CRITERION = [[int(mark) for mark in row] for row in ROWS]


def test_items_against_a_cut() -> None:
    assert item_analysis.kr_20(CRITERION) == pytest.approx(0.425015, abs=1e-6)
    found = item_analysis.analyse(CRITERION, fewest=19)
    assert found.mean == pytest.approx(8.157895, abs=1e-6)
    assert found.deviation == pytest.approx(1.463001, abs=1e-4)
    assert (8 - 0.5 - found.mean) / found.deviation == pytest.approx(-0.449691, abs=1e-4)
    assert sum(sum(row) >= 8 for row in CRITERION) == 15
    expected = [0.4333, 0.6167, 0.25, 0.25, 0.4833, 0.3, -0.0333, 0.25, 0.25, -0.0667]
    assert item_analysis.b_index(CRITERION, 8) == pytest.approx(expected, abs=1e-4)
    assert item_analysis.phi_lambda(CRITERION, 0.8) == pytest.approx(0.296296, abs=1e-6)


def test_what_does_not_vary_gives_no_number() -> None:
    alike = np.ones((25, 3))
    found = item_analysis.analyse(alike)
    assert found.reliability is None
    assert {item.with_rest for item in found.items} == {None}
    assert item_analysis.b_index(alike, 2) == (None, None, None)
    assert item_analysis.phi_lambda(np.ones((3, 1)), 0.5) is None


def test_few_people_and_odd_tables_are_refused_in_a_sentence() -> None:
    with pytest.raises(TooFewPeople, match="below 20 people who answered all of them; so far 19"):
        item_analysis.analyse(CRITERION)
    with pytest.raises(NotMarks, match="neither right nor wrong"):
        item_analysis.analyse([[0, 2]] * 30)
    with pytest.raises(NotMarks, match="no answers"):
        item_analysis.analyse([])


def test_choices() -> None:
    # By hand: nine people in the order of their sums; thirds are the first and the last three.
    chosen = ["b", "c", "a", "a", "b", "a", "b", "a", "a"]
    offered = {"a": True, "b": False, "c": False, "d": False}
    right, wrong, weak, idle = item_analysis.distractors(chosen, range(9), offered)
    assert (right.times, right.share, right.of_better, right.of_weaker) == pytest.approx(
        (5, 5 / 9, 2 / 3, 1 / 3)
    )
    assert (wrong.times, wrong.of_better, wrong.of_weaker) == pytest.approx((3, 1 / 3, 1 / 3))
    assert not wrong.misleads
    assert (weak.of_better, weak.of_weaker) == pytest.approx((0, 1 / 3))
    # Nine people are too few to say so.
    assert not idle.is_idle
    assert (weak.of_better, weak.of_weaker) == pytest.approx((0, 1 / 3))
    with pytest.raises(NotMarks, match="not offered"):
        item_analysis.distractors(["x"], [1], offered)
    with pytest.raises(NotMarks, match="one sum"):
        item_analysis.distractors(["a"], [1, 2], offered)


def test_what_misleads_and_what_is_idle_takes_people_enough() -> None:
    offered = {"a": True, "b": False, "c": False}
    # Ten people in each third: eight of the better ones and two of the weaker take b, which is 2.7 errors apart.
    chosen = ["b"] * 2 + ["a"] * 8 + ["a"] * 10 + ["b"] * 8 + ["a"] * 2
    right, drawn_to, idle = item_analysis.distractors(chosen, range(30), offered)
    assert not right.misleads
    assert drawn_to.misleads
    assert idle.is_idle
    few = item_analysis.distractors(["a", "a", "b"], [1, 2, 3], {"a": True, "b": False})[1]
    assert not few.misleads
    assert not few.is_idle
