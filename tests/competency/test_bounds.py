"""Bounds of a share against published tables and against scipy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from trainer.competency import bounds
from trainer.competency.bounds import NoSuchCounts

SHARES = (0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 0.96, 0.97, 0.98, 0.99, 0.995, 0.999)


@pytest.mark.parametrize(
    ("confidence", "runs"),
    [
        (0.80, (3, 4, 5, 6, 8, 10, 16, 32, 40, 53, 80, 161, 322, 1609)),
        (0.90, (4, 5, 7, 9, 11, 15, 22, 45, 57, 76, 114, 230, 460, 2302)),
        (0.95, (5, 6, 9, 11, 14, 19, 29, 59, 74, 99, 149, 299, 598, 2995)),
        (0.99, (7, 10, 13, 17, 21, 29, 44, 90, 113, 152, 228, 459, 919, 4603)),
    ],
)
def test_success_runs(confidence: float, runs: tuple[int, ...]) -> None:
    """29 (90/95), 59 (95/95), 90 (95/99), 2995 (99.9/95): public validation notes and calculators; the others by the formula."""
    assert tuple(bounds.success_run(share, confidence) for share in SHARES) == runs
    for share, run in zip(SHARES, runs, strict=True):
        assert share**run <= 1 - confidence + 1e-12 < share ** (run - 1) + 1e-9


@pytest.mark.parametrize(
    ("share", "confidence", "attempts"),
    [
        (0.95, 0.95, (59, 93, 124, 153, 181)),
        (0.90, 0.95, (29, 46, 61, 76, 89)),
        (0.90, 0.90, (22, 38, 52, 65, 78)),
        (0.80, 0.90, (11, 18, 25, 32, 38)),
        (0.95, 0.90, (45, 77, 105, 132, 158)),
        (0.99, 0.95, (299, 473, 628, 773, 913)),
    ],
)
def test_attempts_with_failures_allowed(share: float, confidence: float, attempts: tuple[int, ...]) -> None:
    """The 95/95 series 59, 93, 124, 153, 181 is S. S. Wilks 1941 (from memory); the others by the same definition."""
    assert tuple(bounds.allowing(failures, share, confidence) for failures in range(5)) == attempts


def test_the_exact_interval_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook, sect. 7.2.4.1: 4 defectives of 20, 90 %: .071354 and .401029."""
    found = bounds.clopper_pearson(4, 20, 0.90)
    assert found.lower == pytest.approx(0.071354, abs=2e-6)
    assert found.upper == pytest.approx(0.401029, abs=2e-6)


@pytest.mark.parametrize(
    ("hits", "trials", "lower", "upper"),
    [
        (81, 263, 0.252737, 0.367622),
        (15, 148, 0.057844, 0.161650),
        (0, 20, 0.0, 0.168433),
        (1, 29, 0.000873, 0.177644),
        (0, 29, 0.0, 0.119445),
        (2, 20, 0.012349, 0.316983),
    ],
)
def test_exact_intervals(hits: int, trials: int, lower: float, upper: float) -> None:
    """First four: R. G. Newcombe, Statistics in Medicine 17, 1998, Table I (4 places, from memory)."""
    found = bounds.clopper_pearson(hits, trials, 0.95)
    assert found.lower == pytest.approx(lower, abs=1e-6)
    assert found.upper == pytest.approx(upper, abs=1e-6)


@pytest.mark.parametrize(
    ("hits", "trials", "lower", "upper"),
    [
        (81, 263, 0.255289, 0.366210),
        (15, 148, 0.062386, 0.160487),
        (0, 20, 0.0, 0.161125),
        (1, 29, 0.006113, 0.171755),
    ],
)
def test_wilson_intervals(hits: int, trials: int, lower: float, upper: float) -> None:
    """R. G. Newcombe 1998, Table I, method 3: .2553-.3662, .0624-.1605, .0000-.1611, .0061-.1718."""
    found = bounds.wilson(hits, trials, 1.959963985)
    assert found.lower == pytest.approx(lower, abs=1e-6)
    assert found.upper == pytest.approx(upper, abs=1e-6)


def test_the_one_sided_limit_of_the_handbook() -> None:
    """NIST/SEMATECH e-Handbook, sect. 7.2.4.1: 26 of 200, one-sided 95 %: .09577 (z = 1.645)."""
    assert bounds.wilson(26, 200, 1.6448536).lower == pytest.approx(0.095773, abs=1e-6)


def test_the_share_shown_by_runs_without_a_failure() -> None:
    """The inverse of the success run."""
    assert bounds.shown_share(29, 0.95) == pytest.approx(0.9018, abs=1e-4)
    assert bounds.shown_share(29, 0.95) == pytest.approx(bounds.lower_bound(29, 29, 0.95), abs=1e-12)


@pytest.mark.parametrize(
    ("hits", "trials", "probability"),
    [
        (8, 10, 0.382598),
        (9, 10, 0.677877),
        (10, 10, 0.914101),
        (13, 13, 0.956020),
        (14, 14, 0.964816),
        (18, 20, 0.821297),
        (19, 20, 0.942354),
        (20, 20, 0.990777),
    ],
)
def test_posteriors_with_a_uniform_prior(hits: int, trials: int, probability: float) -> None:
    """Method: Novick and Lewis 1974; without a failure it is 1 - .8 ** (n + 1)."""
    assert bounds.posterior(hits, trials, 0.8) == pytest.approx(probability, abs=1e-6)
    if hits == trials:
        assert bounds.posterior(hits, trials, 0.8) == pytest.approx(1 - 0.8 ** (trials + 1), abs=1e-12)


@pytest.mark.parametrize(
    ("most_failures", "trials", "passing"),
    [
        (0, 5, (0.0312, 0.1681, 0.3277, 0.5905, 0.7738)),
        (0, 8, (0.0039, 0.0576, 0.1678, 0.4305, 0.6634)),
        (1, 10, (0.0107, 0.1493, 0.3758, 0.7361, 0.9139)),
        (0, 10, (0.0010, 0.0282, 0.1074, 0.3487, 0.5987)),
        (0, 14, (0.0001, 0.0068, 0.0440, 0.2288, 0.4877)),
        (0, 22, (0.0000, 0.0004, 0.0074, 0.0985, 0.3235)),
    ],
)
def test_how_often_fixed_rules_pass(most_failures: int, trials: int, passing: tuple[float, ...]) -> None:
    """The binomial distribution, to four places."""
    for share, probability in zip((0.5, 0.7, 0.8, 0.9, 0.95), passing, strict=True):
        assert bounds.binomial_at_most(most_failures, trials, 1 - share) == pytest.approx(
            probability, abs=6e-5
        )


@given(trials=st.integers(1, 300), data=st.data(), confidence=st.floats(0.5, 0.999))
def test_against_scipy(trials: int, data: st.DataObject, confidence: float) -> None:
    hits = data.draw(st.integers(0, trials))
    share = data.draw(st.floats(0.01, 0.99))
    assert bounds.binomial_at_most(hits, trials, share) == pytest.approx(
        float(stats.binom.cdf(hits, trials, share)), abs=1e-9
    )
    exact = float(stats.beta.ppf(1 - confidence, hits, trials - hits + 1)) if hits else 0.0
    assert bounds.lower_bound(hits, trials, confidence) == pytest.approx(exact, abs=1e-7)
    tail = float(stats.beta.sf(share, 1 + hits, 1 + trials - hits))
    assert bounds.posterior(hits, trials, share) == pytest.approx(tail, abs=1e-9)


def test_a_lower_bound_errs_no_more_often_than_promised() -> None:
    trials, confidence, share = 18, 0.95, 0.8
    wrong = math.fsum(
        float(stats.binom.pmf(hits, trials, share))
        for hits in range(trials + 1)
        if bounds.lower_bound(hits, trials, confidence) > share
    )
    assert wrong <= 1 - confidence


def test_what_cannot_be_counted_is_refused() -> None:
    for ask in (
        lambda: bounds.lower_bound(3, 2, 0.9),
        lambda: bounds.lower_bound(0, 0, 0.9),
        lambda: bounds.lower_bound(1, 2, 1.0),
        lambda: bounds.wilson(-1, 2, 1.96),
        lambda: bounds.success_run(1.0, 0.9),
        lambda: bounds.allowing(-1, 0.9, 0.9),
        lambda: bounds.shown_share(0, 0.9),
        lambda: bounds.posterior(3, 2, 0.5),
    ):
        with pytest.raises(NoSuchCounts, match="Nothing can be said"):
            ask()
