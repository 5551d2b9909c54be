"""Rankings with ties: published definitions, values computed by hand and by another library."""

from __future__ import annotations

from itertools import permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.competency.rank_agreement import (
    NothingRanked,
    RankingsDiffer,
    footrule,
    hausdorff,
    kendall,
    tau_b,
)

# Definitions: Fagin, Kumar, Mahdian, Sivakumar, Vee 2006, SIAM J. Discrete Math. 20(3):628-648; the examples are
# own ones, KHaus checked there against brute force over all refinements (check value SEQ-17).
FAGIN = [
    ((1, 2, 2, 3), (3, 2, 1, 1), 5.0, 4, 7.0, 5),
    ((1, 1, 2, 2), (1, 2, 1, 2), 3.0, 1, 4.0, 3),
    ((1, 2, 3, 4), (1, 1, 2, 2), 1.0, 0, 2.0, 2),
    ((1, 1, 1, 2), (2, 1, 1, 1), 3.0, 1, 4.0, 3),
]


@pytest.mark.parametrize(("first", "second", "profile", "no_cost", "places", "worst"), FAGIN)
def test_the_four_distances(
    first: tuple[int, ...], second: tuple[int, ...], profile: float, no_cost: int, places: float, worst: int
) -> None:
    assert kendall(first, second) == profile
    assert kendall(first, second, tie_cost=0) == no_cost
    assert footrule(first, second) == places
    assert hausdorff(first, second) == worst


def test_tau_with_ties_agrees_with_the_worked_example() -> None:
    # SciPy documentation, scipy.stats.kendalltau, Examples (scipy 1.17.1; check value SEQ-18).
    found = tau_b([12, 2, 1, 12, 2], [1, 4, 7, 1, 0])
    assert found.tau == pytest.approx(-0.47140452079103173, abs=1e-12)
    assert found.p == pytest.approx(0.2827454599327748, abs=1e-12)


ranks = st.integers(1, 4)
two = st.integers(1, 5).flatmap(
    lambda n: st.tuples(st.lists(ranks, min_size=n, max_size=n), st.lists(ranks, min_size=n, max_size=n))
)


def _refinements(ranking: list[int]) -> list[tuple[int, ...]]:
    things = range(len(ranking))
    return [order for order in permutations(things) if [ranking[t] for t in order] == sorted(ranking)]


def _inversions(first: tuple[int, ...], second: tuple[int, ...]) -> int:
    place = {thing: number for number, thing in enumerate(second)}
    moved = [place[thing] for thing in first]
    return sum(moved[a] > moved[b] for a in range(len(moved)) for b in range(a + 1, len(moved)))


@given(two)
def test_hausdorff_is_the_distance_of_the_refinements(rankings: tuple[list[int], list[int]]) -> None:
    """The definition itself, by brute force over all ways to break the ties."""
    ours, theirs = (_refinements(ranking) for ranking in rankings)
    there = max(min(_inversions(a, b) for b in theirs) for a in ours)
    back = max(min(_inversions(a, b) for a in ours) for b in theirs)
    assert hausdorff(*rankings) == max(there, back)


@given(two)
def test_the_profiles_stay_within_twice_each_other(rankings: tuple[list[int], list[int]]) -> None:
    """Kprof <= Fprof <= 2 Kprof, theorem of the same article."""
    assert kendall(*rankings) <= footrule(*rankings) <= 2 * kendall(*rankings)


@given(two)
def test_they_are_distances(rankings: tuple[list[int], list[int]]) -> None:
    first, second = rankings
    for distance in (kendall, footrule, hausdorff):
        assert distance(first, second) == distance(second, first) >= 0
        assert distance(first, first) == 0


def test_what_cannot_be_compared_is_told() -> None:
    with pytest.raises(RankingsDiffer, match="2 things and the other 3"):
        kendall([1, 2], [1, 2, 3])
    for first, second in product(([1, 1], [1, 2]), repeat=2):
        if first == second == [1, 2]:
            continue
        with pytest.raises(NothingRanked, match="ties everything"):
            tau_b(first, second)
