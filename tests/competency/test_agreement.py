"""Agreement of evaluators: published tables."""

from __future__ import annotations

import pytest

from trainer.competency.agreement import NoDisagreementPossible, NotATableOfMarks, cohen, fleiss

# Cohen 1960, Educ. Psychol. Meas. 20:37-46 and Cohen 1968, Psychol. Bull. 70:213-220, 200 cases; the help of
# R psych::cohen.kappa: "cohen reports .492 and .348"; error and interval: statsmodels 0.15.0 cohens_kappa (AGR-01).
COHEN = [[88, 14, 18], [10, 40, 10], [2, 6, 12]]
WEIGHTS = [[0, 1, 3], [1, 0, 6], [3, 6, 0]]


def test_two_evaluators() -> None:
    found = cohen(COHEN)
    assert found.cases == 200
    assert found.value == pytest.approx(0.49152542, abs=1e-8)
    assert found.error == pytest.approx(0.051002, abs=1e-6)
    assert (found.low, found.high) == pytest.approx((0.391564, 0.591487), abs=1e-6)
    weighted = cohen(COHEN, disagreement=WEIGHTS)
    assert weighted.value == pytest.approx(0.34782609, abs=1e-8)


def test_two_evaluators_with_an_error_under_chance() -> None:
    # Fleiss, Levin, Paik 2003, Statistical Methods for Rates and Proportions, ch. 18 (.68, from memory); digits by
    # statsmodels (AGR-03).
    found = cohen([[75, 1, 4], [5, 4, 1], [0, 0, 10]])
    assert found.value == pytest.approx(0.676471, abs=1e-6)
    assert found.error == pytest.approx(0.087703, abs=1e-6)
    assert found.error_by_chance == pytest.approx(0.076187, abs=1e-6)
    assert found.value / found.error_by_chance == pytest.approx(8.879, abs=1e-3)


# Fleiss 1971, Psychol. Bull. 76:378-382 (.430): six evaluators on 30 cases; z by R irr::kappam.fleiss as quoted in the
# tests of statsmodels (AGR-04).
FLEISS = [
    "444444", "222555", "233335", "555555", "222444", "113333", "333355", "113334", "114444", "555555",
    "144444", "124444", "222333", "144444", "224445", "333335", "111455", "111112", "224444", "133555",
    "555555", "244444", "224555", "114444", "144445", "222224", "111155", "224444", "133333", "555555",
]  # fmt: skip


def test_many_evaluators() -> None:
    found = fleiss([[row.count(mark) for mark in "12345"] for row in FLEISS])
    assert found.cases == 30
    assert found.value == pytest.approx(0.4302445, abs=1e-6)
    assert found.z == pytest.approx(17.65183, abs=1e-5)


def test_many_evaluators_again() -> None:
    # A textbook example (.210), also in the tests of statsmodels (AGR-05).
    counts = [
        [0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0], [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7],
    ]  # fmt: skip
    assert fleiss(counts).value == pytest.approx(0.20993, abs=1e-5)


def test_no_agreement_beyond_chance_is_zero_and_full_agreement_is_one() -> None:
    assert cohen([[25, 25], [25, 25]]).value == pytest.approx(0)
    full = cohen([[7, 0], [0, 3]])
    assert (full.value, full.low, full.high) == pytest.approx((1, 1, 1))


def test_what_gives_no_kappa_is_told() -> None:
    with pytest.raises(NoDisagreementPossible, match="All marks are the same"):
        cohen([[9, 0], [0, 0]])
    with pytest.raises(NoDisagreementPossible):
        fleiss([[3, 0], [3, 0]])
    for table, why in (([[1, 2]], "square"), ([[0, 0], [0, 0]], "no cases"), ([[1, -1], [0, 1]], "negative")):
        with pytest.raises(NotATableOfMarks, match=why):
            cohen(table)
    with pytest.raises(NotATableOfMarks, match="weights"):
        cohen(COHEN, disagreement=[[0, 1], [1, 0]])
    for counts in ([], [[1, 0]], [[2, 0], [1, 2]]):
        with pytest.raises(NotATableOfMarks, match="same two or more"):
            fleiss(counts)
