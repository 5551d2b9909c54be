"""What one more drill tells: worked values and two laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.competency.information import entropy, information, variance, variance_gain
from trainer.competency.mastery import chance_of_right, given_answer


@pytest.mark.parametrize(("guess", "bits"), [(0.5, 0.147), (0.2, 0.397), (1 / 120, 0.725)])
def test_bits_told_by_the_chance_of_a_guess(guess: float, bits: float) -> None:
    """By the formula of mutual information, half known, slip .1, to three places."""
    assert information(0.5, guess=guess, slip=0.1) == pytest.approx(bits, abs=6e-4)


@given(known=st.floats(0, 1), guess=st.floats(0, 1), slip=st.floats(0, 1))
def test_what_is_told_is_what_uncertainty_is_expected_to_lose(
    known: float, guess: float, slip: float
) -> None:
    right = chance_of_right(known, guess=guess, slip=slip)
    left = right * entropy(given_answer(known, right=True, guess=guess, slip=slip)) + (1 - right) * entropy(
        given_answer(known, right=False, guess=guess, slip=slip)
    )
    assert information(known, guess=guess, slip=slip) == pytest.approx(entropy(known) - left, abs=1e-9)


def test_the_expected_narrowing_of_a_share() -> None:
    """By the law of total variance: Beta(1, 1) and Beta(9, 2)."""
    assert variance_gain(0, 0) == pytest.approx(0.0277778, abs=1e-7)
    assert variance_gain(8, 1) == pytest.approx(0.00103306, abs=1e-7)


@given(right=st.integers(0, 60), failed=st.integers(0, 60))
def test_the_law_of_total_variance(right: int, failed: int) -> None:
    a, b = 1 + right, 1 + failed
    assert variance(a, b) == pytest.approx(float(stats.beta.var(a, b)), rel=1e-9)
    chance = a / (a + b)
    after = chance * variance(a + 1, b) + (1 - chance) * variance(a, b + 1)
    assert variance_gain(right, failed) == pytest.approx(variance(a, b) - after, abs=1e-12)
