"""Knowing from answers: worked sequences, and the guess of a drill."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from trainer.competency.mastery import (
    Answered,
    after_answer,
    chance_of_right,
    given_answer,
    guess_of_order,
    trace,
)
from trainer.competency.policy import Policy


def test_a_sequence_of_ten_answers() -> None:
    """Equations: Corbett and Anderson 1995. Start .5, learn .4, slip .2, guess .2: a set of a public calculator page.

    The six places are those of an independent implementation (PyPI mirt 1.2.0, BKTModel.online_step).
    """
    expected = [
        (0, 0.5, 0.5, 0.2, 0.52),
        (0, 0.52, 0.512, 0.213115, 0.527869),
        (1, 0.527869, 0.516721, 0.817259, 0.890355),
        (1, 0.890355, 0.734213, 0.970133, 0.98208),
        (1, 0.98208, 0.789248, 0.995459, 0.997275),
        (0, 0.997275, 0.798365, 0.98919, 0.993514),
        (1, 0.993514, 0.796108, 0.998371, 0.999022),
        (1, 0.999022, 0.799413, 0.999755, 0.999853),
        (0, 0.999853, 0.799912, 0.999413, 0.999648),
        (1, 0.999648, 0.799789, 0.999912, 0.999947),
    ]
    known = 0.5
    for answer, before, chance, seen, after in expected:
        right = bool(answer)
        assert known == pytest.approx(before, abs=2e-6)
        assert chance_of_right(known, guess=0.2, slip=0.2) == pytest.approx(chance, abs=2e-6)
        assert given_answer(known, right=right, guess=0.2, slip=0.2) == pytest.approx(seen, abs=2e-6)
        known = after_answer(known, right=right, guess=0.2, slip=0.2, learn=0.4)
        assert known == pytest.approx(after, abs=2e-6)


def test_six_right_answers_with_the_default_numbers() -> None:
    """Corbett and Anderson 1995: start .3, learn .1, slip .1, guess .2."""
    for number, known in enumerate((0.692683, 0.919231, 0.982763, 0.996506, 0.999299, 0.99986), start=1):
        assert trace([Answered(right=True, guess=0.2)] * number, Policy()) == pytest.approx(known, abs=2e-6)


def test_the_guess_is_never_taken_for_less_than_the_policy_says() -> None:
    certain = trace([Answered(right=True, guess=0.0)], Policy())
    assert certain == trace([Answered(right=True, guess=0.05)], Policy())
    assert certain < 1


def test_a_drill_of_two_choices_says_much_less_than_an_order() -> None:
    order = trace([Answered(right=True, guess=guess_of_order(1, 6))], Policy())
    coin = trace([Answered(right=True, guess=0.5)], Policy())
    assert order > 0.85
    assert coin < 0.5


def test_the_guess_of_an_order() -> None:
    """Twelve steps with 294 legal orders (a worked example counted by hand of its down-sets): 6.137766554433221e-07."""
    assert guess_of_order(294, 12) == pytest.approx(6.137766554433221e-07, rel=1e-12)
    assert guess_of_order(math.factorial(5), 5) == 1


def test_an_answer_that_could_not_be_tells_nothing() -> None:
    assert given_answer(0.0, right=True, guess=0.0, slip=0.1) == 0.0


@given(
    known=st.floats(0.01, 0.99),
    guess=st.floats(0.001, 0.5),
    slip=st.floats(0.001, 0.1),
    learn=st.floats(0, 0.5),
)
def test_right_raises_wrong_lowers_and_the_mean_is_kept(
    known: float, guess: float, slip: float, learn: float
) -> None:
    right = given_answer(known, right=True, guess=guess, slip=slip)
    wrong = given_answer(known, right=False, guess=guess, slip=slip)
    chance = chance_of_right(known, guess=guess, slip=slip)
    assert wrong < known < right
    assert chance * right + (1 - chance) * wrong == pytest.approx(known, abs=1e-9)
    assert 0 <= after_answer(known, right=False, guess=guess, slip=slip, learn=learn) <= 1


def _simulated() -> Counter[tuple[bool, ...]]:
    """Return 500 people's twelve answers each, by how many answered so: start .3, learn .15, slip .08, guess .2."""
    rng = np.random.default_rng(0)
    answered: Counter[tuple[bool, ...]] = Counter()
    for _ in range(500):
        known = rng.random() < 0.3
        answers = []
        for _ in range(12):
            answers.append(bool(rng.random() < (0.92 if known else 0.2)))
            if not known:
                known = rng.random() < 0.15
        answered[tuple(answers)] += 1
    return answered


def _log_likelihood(
    answered: Counter[tuple[bool, ...]], start: float, learn: float, slip: float, guess: float
) -> float:
    total = 0.0
    for answers, people in answered.items():
        known = start
        for right in answers:
            chance = chance_of_right(known, guess=guess, slip=slip)
            total += people * math.log(chance if right else 1 - chance)
            known = after_answer(known, right=right, guess=guess, slip=slip, learn=learn)
    return total


def test_what_people_were_made_of_is_found_again_from_their_answers() -> None:
    """Two public implementations fitted the same simulated answers (PyPI mirt 1.2.0; pyBKT 1.4.3 agrees to 4e-4)."""
    published = np.array([0.31709, 0.15942, 0.07773, 0.19385])
    answered = _simulated()
    assert _log_likelihood(answered, *published) == pytest.approx(-2773.46279, abs=1e-4)

    def worse(inner: np.ndarray) -> float:
        return -_log_likelihood(answered, *(1 / (1 + np.exp(-inner))))

    begin = np.array([0.3, 0.15, 0.08, 0.2])
    found = minimize(worse, np.log(begin / (1 - begin)), method="Nelder-Mead", options={"fatol": 1e-7})
    assert 1 / (1 + np.exp(-found.x)) == pytest.approx(published, abs=2e-3)
