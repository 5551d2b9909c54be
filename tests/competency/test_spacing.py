"""Memory of several sessions: published equations, and that spacing lasts."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from trainer.competency.spacing import (
    NotAfter,
    Session,
    Spacing,
    TooFewSessions,
    activation,
    even_activation,
    fitted,
    recalled,
    sessions,
)


@pytest.mark.parametrize(
    ("decay", "expected"),
    [(0.5, -0.21835206181294495), (0.3, 0.30628951420610945), (0.8, -0.9999024443343716)],
)
def test_the_base_level_of_three_times(decay: float, expected: float) -> None:
    """Anderson and Lebiere 1998; that of .5 is also what PyPI pyactup 2.2.5 gives (noise 0, decay .5)."""
    assert activation([0, 4, 9], 19, decay) == pytest.approx(expected, abs=1e-12)


def test_the_base_level_of_even_practice() -> None:
    """Anderson and Lebiere 1998; the same as pyactup 2.2.5 with optimized_learning."""
    assert even_activation(3, 19) == pytest.approx(0.3195399796448348, abs=1e-12)


def test_the_probability_of_recall() -> None:
    """Anderson and Lebiere 1998, threshold -1, noise .3, at the base level of the first test."""
    assert recalled(-0.21835206181294495, -1, 0.3) == pytest.approx(0.9312142723542054, abs=1e-12)
    assert recalled(-1e6, 1, 0.1) == pytest.approx(0)


def test_the_strength_by_hand() -> None:
    """The equation of Walsh et al. 2018 written out for two sessions a day apart, asked a day later."""
    day = 86_400.0
    weights = ((2 * day) ** -0.6, day**-0.6)
    age = (weights[0] * 2 * day + weights[1] * day) / sum(weights)
    decay = 0.04 + 0.08 / math.log(day + math.e)
    assert Spacing().strength([0, 1], 2) == pytest.approx(2**0.1 * age**-decay, rel=1e-12)


def test_sessions_spread_out_last_longer_than_crowded_ones() -> None:
    model = Spacing()
    crowded, spread = [0, 0.01, 0.02, 0.03], [0, 10, 20, 30]
    assert model.strength(spread, 30 + 60) > model.strength(crowded, 0.03 + 60)
    assert model.strength(crowded, 0.04) > model.strength(crowded, 5)


def test_fitting_finds_what_made_the_sessions() -> None:
    true = Spacing(tau=0.7, noise=0.1)
    days = [0.0, 2, 9, 30, 31, 80]
    seen = [Session(0, 0.5)] + [
        Session(day, true.share(days[:number], day)) for number, day in enumerate(days) if number
    ]
    found = fitted(seen)
    assert (found.tau, found.noise) == pytest.approx((0.7, 0.1), abs=1e-9)
    assert found.share(days, 120) == pytest.approx(true.share(days, 120), abs=1e-9)


def test_each_day_is_a_session() -> None:
    start = datetime(2026, 11, 2, 8, tzinfo=UTC)
    hours = ((0, True), (1, False), (26, True), (27, True))
    found = sessions((start + timedelta(hours=hour), right) for hour, right in hours)
    day = float(start.date().toordinal())
    assert found == (Session(day, 0.5), Session(day + 1, 1.0))


def test_three_sessions_are_too_few_and_memory_looks_forward() -> None:
    with pytest.raises(TooFewSessions, match="needs 4 sessions; there are 3"):
        fitted([Session(day, 1.0) for day in range(3)])
    for days, now in (([0.0, 1], 1.0), ([1.0, 0], 5.0), ([], 1.0)):
        with pytest.raises(NotAfter, match="after the sessions"):
            Spacing().strength(days, now)
    with pytest.raises(NotAfter):
        activation([3], 3)
