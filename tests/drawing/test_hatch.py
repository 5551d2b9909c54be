"""Hatch lines: in the faces only, evenly spaced; neighbours differ."""

from __future__ import annotations

import re

import pytest

from tests.drawing.shipped import modules
from trainer.drawing.curves import box
from trainer.drawing.hatch import Hatching, choose, contacts_of, scan_lines
from trainer.drawing.regions import inside
from trainer.drawing.scene import scene

SQUARE = box(0, 0, 100, 100).points
HOLE = box(30, 30, 70, 70).points


def strokes(data: str) -> list[tuple[float, float, float, float]]:
    found = []
    for piece in data.split("M")[1:]:
        x, y, dx, dy = (float(text) for text in re.findall(r"-?[\d.]+", piece))
        found.append((x, y, x + dx, y + dy))
    return found


@pytest.mark.parametrize("angle", [45, 135])
def test_lines_lie_in_the_face_and_not_in_its_hole(angle: int) -> None:
    found = strokes(scan_lines([SQUARE, HOLE], angle, 9.0, (0.0, 0.0)))
    assert len(found) > 15
    for x0, y0, x1, y1 in found:
        for share in (0.02, 0.5, 0.98):
            assert inside([SQUARE, HOLE], x0 + share * (x1 - x0), y0 + share * (y1 - y0))
        # Counter-clockwise as seen: y points down.
        assert (y1 - y0) / (x1 - x0) == pytest.approx(-1 if angle == 45 else 1, abs=0.05)


def test_the_spacing_is_kept_and_both_halves_of_a_part_line_up() -> None:
    left, right = box(-50, 0, -20, 40).points, box(20, 0, 50, 40).points
    levels = sorted(
        {
            round((x0 + y0) / 2**0.5 / 9, 2)
            for x0, y0, *_ in strokes(scan_lines([left, right], 45, 9.0, (0, 0)))
        }
    )
    assert all(abs(level - round(level)) < 0.03 for level in levels)


def test_two_that_touch_run_opposite_ways_and_a_third_differs_in_spacing() -> None:
    loops = {
        "a": [box(0, 0, 10, 10).points],
        "b": [box(10, 0, 20, 10).points],
        "c": [box(0, 10, 20, 14).points],
    }
    contacts = contacts_of(loops)
    assert contacts["a", "b"] > 0
    chosen = choose({"a": 100.0, "b": 100.0, "c": 80.0}, contacts)
    assert len(set(chosen.values())) == 3
    assert chosen["a"].angle != chosen["b"].angle


def test_parts_across_a_thin_gasket_count_as_neighbours() -> None:
    loops = {
        "a": [box(0, 0, 10, 10).points],
        "b": [box(0, 11.5, 10, 20).points],
        "far": [box(0, 40, 10, 50).points],
    }
    contacts = contacts_of(loops)
    assert ("a", "b") in contacts
    assert not [both for both in contacts if "far" in both]


def test_a_single_part_is_hatched_the_usual_way() -> None:
    assert choose({"a": 1.0}, {}) == {"a": Hatching(45, 1.0)}


def test_in_what_is_shipped_no_two_that_touch_are_hatched_alike() -> None:
    for module in modules():
        for size in module.sizes:
            machine = scene(module, size)
            loops = {name: machine.pieces[name].face_loops for name in machine.hatching}
            for (one, other), weight in contacts_of(loops).items():
                same_look = machine.pieces[one].look == machine.pieces[other].look
                if weight > 6 and same_look:
                    assert machine.hatching[one] != machine.hatching[other], (one, other)
