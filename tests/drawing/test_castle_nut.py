"""The castle nut: the picture alone tells whether a slot lines up, and so does the hole from the side."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from tests.drawing.shipped import SVG, numbers, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.views.castle_nut import NoCastleNut
from trainer.procedure import library

DRAW = VIEWS["castle_nut"].draw


def hexagon_turn(svg: str) -> float:
    """By how many degrees the first corner stands round, seen from the middle of the hexagon."""
    data = next(p.get("d", "") for p in root(svg).iter(f"{SVG}path") if p.get("d", "").count("L") == 5)
    points = list(zip(*[iter(numbers(data))] * 2, strict=True))
    x0, y0 = (sum(p[k] for p in points) / 6 for k in (0, 1))
    return math.degrees(math.atan2(points[0][1] - y0, points[0][0] - x0))


@pytest.mark.parametrize("past", [5.0, 20.0, 45.0])
def test_the_nut_stands_as_far_round_as_it_is_said(past: float) -> None:
    turned = hexagon_turn(DRAW(valve(), "DN 80", 900, past=past)) - hexagon_turn(
        DRAW(valve(), "DN 80", 900, past=0)
    )
    assert abs((turned - past + 180) % 360 - 180) < 0.2


# Six slots, one hole through the stud: 60° from slot to slot (TM 55-1520-240-23-1, para 1-13 note 5; geometry).
@pytest.mark.parametrize(("past", "left"), [(20, "40"), (30, "30"), (59, "1"), (80, "40")])
def test_the_next_slot_is_told(past: float, left: str) -> None:
    svg = DRAW(valve(), "DN 80", 360, past=past)
    assert f"to the next {left}°" in svg
    assert "slot to slot 60°" in svg
    assert "No slot lines up" in svg


def test_without_figures_no_angle_is_told() -> None:
    svg = DRAW(valve(), "DN 80", 360, past=20, figures=False)
    assert "°" not in svg
    assert "slot-line" not in svg


def test_the_hole_is_open_where_a_slot_meets_it_and_hidden_where_none_does() -> None:
    met, off = (DRAW(valve(), "DN 80", 360, past=past) for past in (0, 25))
    assert "open-hole" in met
    assert "open-hole" not in off
    assert "A slot lines up" in met
    pinned = DRAW(valve(), "DN 80", 360, pinned=True)
    assert "pin-face" in pinned
    assert "pin-face" not in met


def test_all_slots_are_cut() -> None:
    svg = DRAW(valve(), "DN 80", 360)
    crown = next(p.get("d", "") for p in root(svg).iter(f"{SVG}path") if p.get("d", "").count("Z") == 6)
    assert crown.count("A") == 12


def test_a_nut_without_a_shape_is_drawn_and_one_without_slots_refused() -> None:
    plain = library.read_module(
        "module: m\ntitle: A nut\nsizes: [S]\nparts: {p: {}}\n"
        "fasteners: {n: {clamp: p, torque: 60 N·m, castle: {slots: 8, rule: back_off_to_slot}}}\n",
        "m.yaml",
    )
    assert "slot to slot 45°" not in DRAW(plain, "S", 360, pinned=True)
    # Eight slots meet a hole that can be entered from both ends every 45°.
    assert "slot to slot 45°" in DRAW(plain, "S", 360)
    with pytest.raises(NoCastleNut, match="castle"):
        DRAW(valve(), "DN 80", 360, part="nuts")


def test_it_is_small_finite_and_the_same_again() -> None:
    for width in (360, 1200):
        tried: tuple[dict[str, Any], ...] = ({"past": 20}, {"past": 0}, {"pinned": True})
        for options in tried:
            svg = DRAW(valve(), "DN 50", width, **options)
            assert svg == DRAW(valve(), "DN 50", width, **options)
            assert len(svg.encode()) < 8 * 1024
            assert not re.search(r"nan|inf", svg)
            assert float(root(svg).get("width", "")) == width
