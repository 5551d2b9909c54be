"""Would the same decision fall again: published examples and tables."""

from __future__ import annotations

import pytest

from trainer.competency.decision_consistency import (
    ConsistencyUnknown,
    criterion_reliability,
    expected_share,
    from_halves,
    from_one_sitting,
    from_reliability,
    kr_21,
    passing,
)

# Subkoviak 1976, J. Educ. Meas. 13:265-276 (ERIC ED120229), Table 1 (check value DEC-01).
SCORES = [0, 4, 2, 0, 2, 2, 1, 3, 4, 5]


def test_from_a_single_sitting() -> None:
    first = expected_share(SCORES[0], SCORES, 5, 0.58)
    assert first == pytest.approx(0.1932, abs=1e-6)
    assert passing(first, 5, 4) ** 2 + (1 - passing(first, 5, 4)) ** 2 == pytest.approx(0.98829, abs=1e-5)
    second = passing(expected_share(SCORES[1], SCORES, 5, 0.58), 5, 4)
    assert second**2 + (1 - second) ** 2 == pytest.approx(0.506649, abs=1e-6)
    found = from_one_sitting(SCORES, 5, 4, 0.58)
    assert found.agreement == pytest.approx(0.754404, abs=1e-6)
    assert found.chance == pytest.approx(0.659131, abs=1e-6)
    assert found.kappa == pytest.approx(0.279502, abs=1e-6)


def test_with_the_reliability_of_the_scores_themselves() -> None:
    # The printed .58 does not follow from the printed variance; this is what the scores give (DEC-01, note).
    assert kr_21(SCORES, 5) == pytest.approx(19 / 29)
    found = from_one_sitting(SCORES, 5, 4)
    assert found.agreement == pytest.approx(0.763499, abs=1e-6)
    assert found.kappa == pytest.approx(0.343091, abs=1e-6)


RELIABILITIES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
# Subkoviak 1988, J. Educ. Meas. 25:47-55, Tables 1 and 2, five rows of each as read in the R package rcrtan (DEC-02).
AGREEMENT = {
    0.0: [0.53, 0.56, 0.6, 0.63, 0.67, 0.7, 0.75, 0.8, 0.86],
    0.5: [0.6, 0.62, 0.65, 0.68, 0.71, 0.74, 0.78, 0.82, 0.87],
    1.0: [0.75, 0.76, 0.77, 0.77, 0.81, 0.83, 0.85, 0.88, 0.91],
    1.5: [0.88, 0.88, 0.89, 0.9, 0.9, 0.91, 0.92, 0.94, 0.95],
    2.0: [0.96, 0.96, 0.96, 0.96, 0.96, 0.97, 0.97, 0.97, 0.98],
}
KAPPA = {
    0.0: [0.06, 0.13, 0.19, 0.26, 0.33, 0.41, 0.49, 0.59, 0.71],
    0.5: [0.06, 0.12, 0.18, 0.25, 0.32, 0.4, 0.48, 0.58, 0.7],
    1.0: [0.05, 0.1, 0.15, 0.21, 0.28, 0.35, 0.44, 0.54, 0.68],
    1.5: [0.03, 0.07, 0.11, 0.16, 0.22, 0.29, 0.38, 0.49, 0.63],
    2.0: [0.02, 0.04, 0.07, 0.11, 0.16, 0.22, 0.31, 0.42, 0.58],
}
# Agreement at z = 1.0, r = .4 reads .77 and computes to .790: taken for a slip of the print or of its copy.
SLIPS = {(1.0, 0.4)}


@pytest.mark.parametrize("z", AGREEMENT)
def test_the_published_tables(z: float) -> None:
    for r, agreement, kappa in zip(RELIABILITIES, AGREEMENT[z], KAPPA[z], strict=True):
        for side in (z, -z):
            found = from_reliability(side, r)
            if (z, r) not in SLIPS:
                assert found.agreement == pytest.approx(agreement, abs=0.0051)
            assert found.kappa == pytest.approx(kappa, abs=0.0051)


def test_no_reliability_is_chance() -> None:
    found = from_reliability(0.7, 0)
    assert found.agreement == pytest.approx(found.chance)
    assert found.kappa == pytest.approx(0, abs=1e-12)


# Woodruff and Sawyer 1988 (ERIC ED292877), Table 4, the first two; the third from exact numbers of people (DEC-04).
HALVES = [
    ((0.078, 0.0265, 0.0265, 0.870), 0.72, 0.84, 0.97),
    ((0.030, 0.019, 0.019, 0.931), 0.592, 0.74, 0.98),
    ((2, 1, 3, 10), 0.333333, 0.5, 0.8125),
]


@pytest.mark.parametrize(("shares", "half", "whole", "agreement"), HALVES)
def test_from_two_halves(shares: tuple[float, ...], half: float, whole: float, agreement: float) -> None:
    found = from_halves(*shares)
    assert found.half == pytest.approx(half, abs=0.0105)
    assert found.whole == pytest.approx(whole, abs=0.0105)
    assert found.agreement == pytest.approx(agreement, abs=0.0105)


def test_reliability_about_a_cut() -> None:
    # Livingston 1972, J. Educ. Meas. 9:13-26 (ERIC ED069624): the formula, and that it equals r at the mean (DEC-05).
    assert criterion_reliability([2, 4, 4, 6], 2, 0.5) == pytest.approx(0.833333, abs=1e-6)
    assert criterion_reliability([2, 4, 4, 6], 4, 0.5) == pytest.approx(0.5)


def test_what_cannot_be_told_is_said() -> None:
    with pytest.raises(ConsistencyUnknown, match="between 0 and 5"):
        from_one_sitting([6], 5, 4)
    with pytest.raises(ConsistencyUnknown, match="below 1"):
        from_reliability(0, 1)
    with pytest.raises(ConsistencyUnknown, match="nobody does"):
        from_halves(0, 0, 0, 9)
    with pytest.raises(ConsistencyUnknown, match="exactly the cut"):
        criterion_reliability([3, 3], 3, 0.5)
