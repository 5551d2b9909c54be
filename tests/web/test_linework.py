"""Hatches and curves as path data."""

from __future__ import annotations

import itertools
import re

import pytest

from trainer.drills.mark import PlacedLine
from trainer.records.qualification import Standing
from trainer.web import linework


def ends(path: str) -> list[tuple[float, float]]:
    """Walk a path of relative moves and lines; return where each line starts and ends."""
    x = y = 0.0
    points: list[tuple[float, float]] = []
    for command, across, down in re.findall(r"([Mml])(-?[\d.]+) ?(-?[\d.]+)", path):
        dx, dy = float(across), float(down)
        x, y = (dx, dy) if command == "M" else (x + dx, y + dy)
        if command == "l":
            points.append((x - dx, y - dy))
            points.append((x, y))
    return points


def test_rising_lines_run_from_bottom_to_top_at_45_degrees_and_cover_the_field() -> None:
    points = ends(linework.rising(100, 50, 10))
    starts, tops = points[::2], points[1::2]
    assert all(y == 50 for _, y in starts)
    assert all(y == 0 for _, y in tops)
    assert all(top[0] - start[0] == 50 for start, top in zip(starts, tops, strict=True))
    assert [b[0] - a[0] for a, b in itertools.pairwise(starts)] == [10] * (len(starts) - 1)
    assert starts[0][0] <= -50 + 10
    assert starts[-1][0] >= 100 - 10


def test_falling_lines_run_the_other_way() -> None:
    points = ends(linework.falling(100, 50, 10))
    assert points[0][1] == 0
    assert points[1][1] == 50


def test_each_standing_that_means_something_has_a_hatch_of_its_own() -> None:
    letters = {standing.letter for standing in Standing} - {Standing.NOT_ASSIGNED.letter}
    assert set(linework.HATCHES) == letters
    assert len(set(linework.HATCHES.values())) == len(letters)


@pytest.mark.parametrize(
    ("position", "place", "moved", "drawn"),
    [
        (1, 1, False, ("stays", "M0 0.5H100")),
        (2, 4, True, ("moved", "M0 1.5C60 1.5 40 3.5 100 3.5")),
        (3, 2, False, ("room", "M0 2.5C60 2.5 40 1.5 100 1.5")),
    ],
)
def test_a_curve_runs_from_a_line_to_its_place(
    position: int, place: int, moved: bool, drawn: tuple[str, str]
) -> None:
    assert linework.curves([PlacedLine("a", "A", position, place, moved)]) == (drawn,)


def test_heavy_curves_lie_on_top() -> None:
    lines = [PlacedLine("a", "A", 1, 2, True), PlacedLine("b", "B", 2, 1, False)]
    assert [kind for kind, _ in linework.curves(lines)] == ["room", "moved"]
