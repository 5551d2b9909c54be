"""Item response models against published fits; the data stand in `answers.py`."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.competency.answers import LSAT6, LSAT7, people, with_margins
from trainer.competency import conditional_rasch, item_analysis, item_response
from trainer.competency.item_response import Fit, Link, Model, NothingToScale, TooFewAnswers

CLOSE = 1e-6


@pytest.fixture(scope="module")
def six() -> np.ndarray:
    return people(LSAT6)


@pytest.fixture(scope="module")
def seven() -> np.ndarray:
    return people(LSAT7)


def near(found: object, expected: object, tolerance: float) -> None:
    assert np.asarray(found) == pytest.approx(np.asarray(expected), abs=tolerance)


def test_the_data_are_the_published_ones(six: np.ndarray, seven: np.ndarray) -> None:
    # Bock and Lieberman 1970 (check values IRT-01, IRT-02).
    assert len(six) == len(seven) == 1000
    near(six.mean(axis=0), [0.924, 0.709, 0.553, 0.763, 0.87], 1e-12)
    near(seven.mean(axis=0), [0.828, 0.658, 0.772, 0.606, 0.843], 1e-12)
    assert sum(times > 0 for times in LSAT6.values()) == 30


def test_a_slope_for_each_item(six: np.ndarray) -> None:
    # R ltm, ltm(LSAT ~ z1), as quoted with its pattern scores in a public notebook; its optimiser stops a little early,
    # so the third decimal is what is compared. -2466.653: Rizopoulos 2006, J. Stat. Softw. 17(5).
    found = item_response.fit(six, tolerance=CLOSE)
    near(found.difficulties, [-3.3597341, -1.3696497, -0.2798983, -1.8659189, -3.1235725], 3e-3)
    near(found.slopes, [0.8253715, 0.7229499, 0.8904748, 0.6885502, 0.6574516], 1e-3)
    assert found.log_likelihood == pytest.approx(-2466.653, abs=5e-4)
    # girth 0.8.0 twopl_mml reaches the optimum more closely.
    near(found.difficulties, [-3.3587, -1.3701, -0.2797, -1.8664, -3.1259], 2e-4)


def test_one_slope_for_all(six: np.ndarray) -> None:
    # Rizopoulos 2006, pp. 10-11; R ltm rasch(LSAT); G2 21.8 in the documentation of M2 in R mirt (check value IRT-04).
    found = item_response.fit(six, Model.COMMON, tolerance=CLOSE)
    near(found.difficulties, [-3.6153, -1.3224, -0.3176, -1.7301, -2.7802], 2e-4)
    near(found.slopes, [0.7551] * 5, 2e-4)
    assert found.log_likelihood == pytest.approx(-2466.938, abs=5e-4)
    assert found.aic == pytest.approx(4945.875, abs=5e-4)
    assert found.bic == pytest.approx(4975.322, abs=5e-4)
    errors = item_response.standard_errors(found, six)
    near(errors.difficulties, [0.3266, 0.1422, 0.0977, 0.1691, 0.251], 2e-4)
    near(errors.slopes, [0.0694] * 5, 2e-4)
    assert item_response.patterns(found, six).g2 == pytest.approx(21.798, abs=1e-3)


def test_a_fixed_slope(six: np.ndarray, seven: np.ndarray) -> None:
    # Rizopoulos 2006 (constraint a = 1); PyPI mirt 1.2.0 "1PL" gives the same (check values IRT-05, IRT-11).
    found = item_response.fit(six, Model.FIXED, tolerance=CLOSE)
    near(found.difficulties, [-2.872, -1.063, -0.2576, -1.3881, -2.2188], 2e-4)
    assert found.log_likelihood == pytest.approx(-2473.054, abs=5e-4)
    assert item_response.fit(seven, Model.FIXED).log_likelihood == pytest.approx(-2664.916, abs=3e-4)
    assert not item_response.standard_errors(found, six).slopes.any()


def test_one_slope_for_the_other_data(seven: np.ndarray) -> None:
    # Own fit; girth 0.8.0 onepl_mml 1.0113, -1.84752 -.78244 -1.44488 -.51597 -1.97081 (check value IRT-11).
    found = item_response.fit(seven, Model.COMMON, tolerance=CLOSE)
    near(found.difficulties, [-1.84745, -0.78219, -1.4447, -0.5157, -1.97077], 3e-4)
    assert found.slopes[0] == pytest.approx(1.01127, abs=3e-4)
    assert found.log_likelihood == pytest.approx(-2664.9009, abs=3e-4)


def test_a_slope_for_each_item_of_the_other_data(seven: np.ndarray) -> None:
    # R mirt, mirt(expand.table(LSAT7), 1): log-likelihood -2658.805, slopes .988 1.081 1.706 .765 .736 (from memory).
    found = item_response.fit(seven, tolerance=CLOSE)
    assert found.log_likelihood == pytest.approx(-2658.805, abs=5e-4)
    near(found.slopes, [0.988, 1.081, 1.706, 0.765, 0.736], 2e-3)


def test_the_wider_model_is_not_needed(six: np.ndarray) -> None:
    # Rizopoulos 2006, p. 11 (check value IRT-06).
    found = item_response.compare(item_response.fit(six, Model.COMMON), item_response.fit(six))
    assert found.ratio == pytest.approx(0.57, abs=2e-3)
    assert found.freedom == 4
    assert found.p == pytest.approx(0.967, abs=2e-3)


# R ltm, factor.scores(ltm(LSAT ~ z1)): pattern, observed, expected, mode of the skill, its standard error (IRT-07).
SCORES = [
    ("00000", 3, 2.277, -1.895, 0.795),
    ("00001", 6, 5.861, -1.479, 0.796),
    ("00010", 2, 2.596, -1.46, 0.796),
    ("00011", 11, 8.942, -1.041, 0.8),
    ("00100", 1, 0.696, -1.331, 0.797),
    ("00101", 1, 2.614, -0.911, 0.802),
    ("00110", 3, 1.179, -0.891, 0.803),
    ("00111", 4, 5.955, -0.463, 0.812),
    ("01000", 1, 1.84, -1.438, 0.796),
    ("01001", 8, 6.431, -1.019, 0.801),
    ("01011", 16, 13.577, -0.573, 0.809),
    ("01101", 3, 4.37, -0.441, 0.813),
    ("01110", 2, 2.0, -0.42, 0.813),
    ("01111", 15, 13.92, 0.023, 0.828),
    ("10000", 10, 9.48, -1.373, 0.797),
    ("10001", 29, 34.616, -0.953, 0.802),
    ("10010", 14, 15.59, -0.933, 0.802),
    ("10011", 81, 76.562, -0.506, 0.811),
    ("10100", 3, 4.659, -0.803, 0.804),
    ("10101", 28, 24.989, -0.373, 0.815),
    ("10110", 15, 11.463, -0.352, 0.815),
    ("10111", 80, 83.541, 0.093, 0.831),
    ("11000", 16, 11.254, -0.911, 0.802),
    ("11001", 56, 56.105, -0.483, 0.812),
    ("11010", 21, 25.646, -0.463, 0.812),
    ("11011", 173, 173.31, -0.022, 0.827),
    ("11100", 11, 8.445, -0.329, 0.816),
    ("11101", 61, 62.52, 0.117, 0.832),
    ("11110", 28, 29.127, 0.139, 0.833),
    ("11111", 298, 296.693, 0.606, 0.855),
]


def test_patterns_and_skills(six: np.ndarray) -> None:
    published = Fit(
        Model.FREE,
        Link.LOGISTIC,
        slopes=np.array([0.8253715, 0.7229499, 0.8904748, 0.6885502, 0.6574516]),
        difficulties=np.array([-3.3597341, -1.3696497, -0.2798983, -1.8659189, -3.1235725]),
        log_likelihood=0.0,
        people=1000,
        rounds=0,
    )
    found = item_response.patterns(published, six)
    skills = item_response.likeliest_skills(published, found.answers)
    of_pattern = {"".join(str(int(mark)) for mark in row): number for number, row in enumerate(found.answers)}
    assert len(of_pattern) == len(SCORES) == 30
    for pattern, observed, expected, skill, error in SCORES:
        number = of_pattern[pattern]
        assert found.observed[number] == observed
        assert found.expected[number] == pytest.approx(expected, abs=2e-3)
        assert skills.values[number] == pytest.approx(skill, abs=2e-3)
        assert skills.errors[number] == pytest.approx(error, abs=2e-3)


def test_the_normal_curve(six: np.ndarray) -> None:
    # Thresholds: Bock and Lieberman 1970 (-1.433 -.550 -.133 -.716 -1.126, from memory); own fit with another rule of
    # nodes (check value IRT-08).
    found = item_response.fit(six, link=Link.NORMAL, tolerance=CLOSE)
    assert found.log_likelihood == pytest.approx(-2466.6851, abs=2e-4)
    near(found.thresholds, [-1.4325, -0.5505, -0.1332, -0.7159, -1.1264], 2e-4)
    near(found.loadings, [0.3848, 0.3976, 0.4733, 0.3749, 0.3377], 2e-4)
    assert item_response.patterns(found, six).g2 == pytest.approx(21.293, abs=2e-3)
    assert 32 - 1 - found.parameters == 21


def test_conditional_difficulties(six: np.ndarray, seven: np.ndarray) -> None:
    # Andersen 1972 (method); girth 0.8.0 rasch_conditional -1.25622 .47496 1.23601 .16842 -.62316 and
    # -.54151 .53657 -.13357 .80517 -.66666 (check value IRT-10).
    found = conditional_rasch.fit(six)
    near(found.difficulties, [-1.25613, 0.47491, 1.23598, 0.16841, -0.62317], 3e-4)
    assert found.log_likelihood == pytest.approx(-1091.5697, abs=3e-4)
    other = conditional_rasch.fit(seven)
    near(other.difficulties, [-0.54147, 0.53655, -0.13358, 0.80517, -0.66666], 3e-4)
    assert other.log_likelihood == pytest.approx(-1182.6999, abs=3e-4)


def test_symmetric_functions() -> None:
    # Of 1, 1, 1, 1 they are binomial coefficients.
    near(conditional_rasch.symmetric(np.ones(4)), [math.comb(4, k) for k in range(5)], 0)


# Verbal aggression, 316 people and 24 items (Vansteelandt 2000 in De Boeck and Wilson 2004, Explanatory Item Response
# Models): right answers of each item, and how many people have each sum. The fit depends on nothing else (IRT-13).
OF_ITEM = [
    225, 190, 162, 249, 198, 158, 188, 118, 76, 218, 137, 99, 225, 180, 108, 207, 154, 78, 145, 77, 29, 198, 135, 57,
]  # fmt: skip
OF_SUM = [4, 4, 10, 7, 18, 13, 11, 17, 21, 20, 19, 15, 19, 15, 25, 23, 16, 9, 12, 10, 6, 9, 5, 3, 5]


def test_a_longer_set_of_real_answers() -> None:
    answers = with_margins(OF_ITEM, OF_SUM)
    assert (answers.shape, answers.sum()) == ((316, 24), 3611)
    found = item_response.fit(answers, Model.COMMON, tolerance=CLOSE)
    assert found.log_likelihood == pytest.approx(-4036.9049, abs=2e-3)
    assert found.slopes[0] == pytest.approx(1.38523, abs=2e-3)
    assert found.slopes[0] ** 2 == pytest.approx(1.91888, abs=2e-3)
    assert item_analysis.kr_20(answers) == pytest.approx(0.876121, abs=1e-6)


def simulated(items: int, number: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    chance = np.random.default_rng(seed)
    slopes, difficulties = np.exp(chance.normal(0, 0.3, items)), chance.normal(0, 1, items)
    skill = chance.normal(size=(number, 1))
    right = chance.random((number, items)) < 1 / (1 + np.exp(-slopes * (skill - difficulties)))
    return right.astype(float), slopes, difficulties


def test_too_few_nodes_spoil_the_slopes_of_a_long_set() -> None:
    """The reason for 61 nodes: with 15 the same data give slopes further off."""
    answers, slopes, _ = simulated(120, 3000, 3)
    error = {
        nodes: float(
            np.sqrt(np.mean((item_response.fit(answers, nodes=nodes, tolerance=1e-3).slopes - slopes) ** 2))
        )
        for nodes in (15, 61)
    }
    assert error[61] < 0.08
    assert error[15] > 1.5 * error[61]


def test_answers_that_were_not_asked_for_are_left_out() -> None:
    answers, slopes, difficulties = simulated(12, 4000, 5)
    answers[np.random.default_rng(6).random(answers.shape) < 0.3] = np.nan
    found = item_response.fit(answers)
    assert np.abs(found.slopes - slopes).max() < 0.25
    assert np.abs(found.difficulties - difficulties).max() < 0.25
    assert len(item_response.likeliest_skills(found, answers).values) == 4000


def test_a_scale_without_chance_stays_finite() -> None:
    scale = np.array([[float(place < person % 9) for place in range(8)] for person in range(450)])
    found = item_response.fit(scale)
    assert np.isfinite(found.difficulties).all()
    assert list(found.difficulties) == sorted(found.difficulties)


def test_information_at_a_cut() -> None:
    one = Fit(Model.FREE, Link.LOGISTIC, np.array([1.0, 2.0]), np.array([0.0, 0.0]), 0.0, 200, 1)
    # a²PQ with P = 1/2 at the difficulty (Birnbaum 1968, from memory).
    near(item_response.information(one, 0.0), [0.25, 1.0], 1e-12)
    normal = Fit(Model.FREE, Link.NORMAL, np.array([1.0]), np.array([0.0]), 0.0, 200, 1)
    near(item_response.information(normal, 0.0), [2 / math.pi], 1e-12)


def test_too_little_is_refused_in_a_sentence(six: np.ndarray) -> None:
    with pytest.raises(TooFewAnswers, match="needs the answers of 200 people; there are 199 so far"):
        item_response.fit(six[:199])
    with pytest.raises(TooFewAnswers, match="199"):
        conditional_rasch.fit(six[:199])
    alike = six.copy()
    alike[:, 2] = 1
    with pytest.raises(NothingToScale, match="Item 3 was answered alike"):
        item_response.fit(alike)
    with pytest.raises(NothingToScale, match="Item 3"):
        conditional_rasch.fit(alike)
