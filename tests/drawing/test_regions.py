"""Areas and overlaps against shapes whose values are known."""

from __future__ import annotations

from math import pi

import pytest

from trainer.drawing.curves import box, circle
from trainer.drawing.regions import clipped, column_spans, deepest, distance, inside, overlap, signed_area

SQUARE = box(0, 0, 10, 10).points
HOLE = box(3, 3, 7, 7).points


def test_areas() -> None:
    assert signed_area(SQUARE) == 100
    assert signed_area(circle(0, 0, 3).points) == pytest.approx(pi * 9, rel=0.03)


def test_overlap_of_squares_and_holes() -> None:
    assert overlap([SQUARE], [box(5, 5, 20, 20).points]) == pytest.approx(25)
    assert overlap([SQUARE, HOLE], [HOLE]) == pytest.approx(0)
    assert overlap([SQUARE, HOLE], [SQUARE]) == pytest.approx(84, rel=0.02)
    assert overlap([SQUARE], [box(10, 0, 20, 10).points]) == 0
    assert overlap([], [SQUARE]) == 0


def test_what_is_clipped_is_the_shared_part() -> None:
    assert signed_area(clipped(SQUARE, 8, -5, 30, 5)) == pytest.approx(10)
    assert clipped(SQUARE, 20, 20, 30, 30) == ()


def test_inside_counts_holes_out() -> None:
    assert inside([SQUARE, HOLE], 1, 5)
    assert not inside([SQUARE, HOLE], 5, 5)
    assert column_spans([SQUARE, HOLE], 5) == [(0, 3), (7, 10)]


def test_the_deepest_spot_is_in_the_middle_and_on_the_side_asked_for() -> None:
    spot = deepest([box(-10, 0, 10, 8).points])
    assert spot is not None
    assert spot[1] == pytest.approx(4, abs=0.5)
    for side in (1, -1):
        found = deepest([box(-10, 0, 10, 8).points], side)
        assert found is not None
        assert found[0] * side > 0
    ring = deepest([SQUARE, HOLE])
    assert ring is not None
    assert inside([SQUARE, HOLE], *ring)
    assert distance([SQUARE, HOLE], *ring) > 1.3
    assert deepest([SQUARE], 0, lambda _x, _z: False) is None
