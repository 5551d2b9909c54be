"""Curves: fillets with the tangent length of a circle between two lines, and what mirroring does to them."""

from __future__ import annotations

from math import hypot, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.drawing.curves import box, circle, line, rounded
from trainer.drawing.regions import signed_area
from trainer.drawing.sheet import Sheet
from trainer.drawing.svg import NotANumber, number, pair, tag

SQUARE = ((0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 10.0, 2.0), (0.0, 10.0, 0.0))
SHEET = Sheet(0, 0, 10, 10, 2.0)


def test_a_rounded_right_angle_loses_the_corner_between_square_and_quarter_circle() -> None:
    # The area outside a quarter circle of radius R in its square is R² (1 - π/4).
    cut = 100 - signed_area(rounded(SQUARE).points)
    assert cut == pytest.approx(4 * (1 - pi / 4), abs=0.06)  # followed in chords


def test_a_fillet_begins_where_tangents_of_equal_length_meet_the_circle() -> None:
    # For 60 degrees between the edges the tangent length is R / tan 30° = R √3.
    sharp = ((0.0, 0.0, 1.0), (20.0, 0.0, 0.0), (10.0, 10.0 * sqrt(3), 0.0))
    found = rounded(sharp)
    assert hypot(*found.start) == pytest.approx(sqrt(3))


def test_a_radius_is_cut_down_to_what_the_edges_allow() -> None:
    tight = ((0.0, 0.0, 50.0), (10.0, 0.0, 50.0), (10.0, 10.0, 50.0), (0.0, 10.0, 50.0))
    assert signed_area(rounded(tight).points) == pytest.approx(pi * 25, rel=0.02)


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(-50, 50))
def test_moving_mirroring_and_turning_keep_the_area(dx: float, dz: float, about: float) -> None:
    curve = rounded(SQUARE)
    area = signed_area(curve.points)
    assert signed_area(curve.moved(dx, dz).points) == pytest.approx(area)
    assert signed_area(curve.mirrored().points) == pytest.approx(-area)
    assert signed_area(curve.upturned(about).points) == pytest.approx(-area)
    assert signed_area(curve.backwards().points) == pytest.approx(-area)
    assert curve.mirrored().mirrored() == curve


def test_path_data_turns_z_into_y_and_says_arcs_the_right_way_round() -> None:
    assert box(0, 0, 10, 10).data(SHEET) == "M0 20H20V0H0Z"
    # Counter-clockwise seen with z upwards is sweep 0 with y downwards.
    assert circle(5, 5, 2).data(SHEET) == "M14 10A4 4 0 0 0 6 10A4 4 0 0 0 14 10Z".replace("A4 4", "A4 4")
    assert line((0, 0), (5, 5)).data(SHEET) == "M0 20L10 10"


def test_a_disc_is_never_made_a_lens_by_rounding() -> None:
    for radius in (2.96, 3.04, 4.77, 6.33):
        data = circle(5, 5, radius).data(Sheet(0, 0, 10, 10, 3.2))
        start, arc = data[1:].split("A")[:2]
        numbers = [float(text) for text in arc.replace("-", " -").split()]
        chord = abs(numbers[5] - float(start.replace("-", " -").split()[0]))
        assert numbers[0] * 2 <= chord + 1e-6


def test_numbers_are_short_and_finite() -> None:
    assert [number(value) for value in (1.0, -0.04, 2.25, 100, -3.96)] == ["1", "0", "2.2", "100", "-4"]
    assert pair(1.5, -2.5) == "1.5-2.5"
    assert pair(1.5, 2.5) == "1.5 2.5"
    for value in (float("nan"), float("inf"), complex(1, 1)):
        with pytest.raises(NotANumber):
            number(value)  # type: ignore[arg-type]


def test_what_is_written_is_escaped() -> None:
    assert tag("g", aria_label='5 "<b>" & more') == '<g aria-label="5 &quot;&lt;b&gt;&quot; &amp; more"/>'
    assert tag("g", "x", class_=None) == "<g>x</g>"
