"""Columns of balloons: nearest heights with a gap, no crossings, whatever the spots are."""

from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from trainer.drawing.labels import Label, column, crossing, spread

spots = st.lists(st.tuples(st.integers(0, 300), st.integers(0, 400)), min_size=1, max_size=14, unique=True)


def test_heights_that_leave_room_stay_as_they_are() -> None:
    assert spread([10, 50, 90], 20, 0, 100) == [10, 50, 90]


def test_two_at_the_same_height_part_evenly() -> None:
    assert spread([50, 50], 20, 0, 100) == [40, 60]


def test_what_would_hang_out_is_pushed_in() -> None:
    assert spread([2, 3], 20, 10, 100) == [10, 30]
    assert spread([99, 100], 20, 10, 100) == [80, 100]


@given(st.lists(st.floats(0, 500), min_size=1, max_size=20))
def test_the_gap_is_kept_and_the_column_is_held(wanted: list[float]) -> None:
    found = spread(sorted(wanted), 20, 10, 490)
    assert all(b - a >= 20 - 1e-6 for a, b in pairwise(found))
    assert found[0] >= 10 - 1e-6
    assert found[-1] <= 490 + 1e-6


@given(spots, st.sampled_from([-1, 1]))
def test_no_two_leaders_cross(points: list[tuple[int, int]], side: int) -> None:
    labels = [Label(f"t{n}", str(n), f"name {n}", (float(x), float(y))) for n, (x, y) in enumerate(points)]
    found = column(labels, -40.0 if side < 0 else 340.0, side, 9.5, 21.0, 10.0, 500.0)
    assert sorted(balloon.label.thing for balloon in found) == sorted(label.thing for label in labels)
    for one, other in combinations(found, 2):
        (a, b), (c, d) = one.leader, other.leader
        # Spots in one line with the column can only touch.
        assert not crossing((a, b), (c, d)) or b == d or touching(a, b, c, d)


def touching(*points: tuple[float, float]) -> bool:
    a, b, c, d = points

    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return min(abs(turn(a, b, d)), abs(turn(c, d, b)), abs(turn(a, b, c)), abs(turn(c, d, a))) < 1e-6


def test_a_crossing_is_seen() -> None:
    assert crossing(((0, 0), (10, 10)), ((0, 10), (10, 0)))
    assert not crossing(((0, 0), (10, 0)), ((0, 5), (10, 5)))
