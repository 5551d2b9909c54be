"""Pieces against what can be reckoned by hand: squeezed rings, coils, openings, whole and cut."""

from __future__ import annotations

from math import pi

import pytest

from tests.drawing.shipped import valve
from trainer.drawing.pieces import piece_of
from trainer.drawing.pieces.wound import heights
from trainer.drawing.regions import inside
from trainer.drawing.scene import scene
from trainer.procedure.shapes import Coil, Cut, Look, Ring, Shape, Side


def test_a_squeezed_ring_keeps_the_area_of_its_cord() -> None:
    free = piece_of(Shape("a", Look.RUBBER, ring=Ring(40, 6)))
    pressed = piece_of(Shape("b", Look.RUBBER, ring=Ring(40, 6, (37.5, 42.5))))
    assert free is not None
    assert pressed is not None
    # Two sections of a cord of 6 mm.
    assert free.area == pytest.approx(2 * pi * 9, rel=0.03)
    assert pressed.area == pytest.approx(2 * pi * 9, rel=0.03)
    assert pressed.box[2] == pytest.approx(42.5)


def test_a_spring_is_as_long_as_said_and_closed_at_both_ends() -> None:
    coil = Coil(26, 6, 134, 7)
    levels = heights(coil)
    assert len(levels) == 2 * 7 + 1
    assert (levels[0] - 3, levels[-1] + 3) == pytest.approx((0, 134))
    assert levels[2] - levels[0] == pytest.approx(6)
    assert levels[-1] - levels[-3] == pytest.approx(6)


def test_an_opening_is_taken_out_of_the_face_on_its_side() -> None:
    shape = Shape(
        "a",
        Look.STEEL,
        profile=((10, 0, 0), (30, 0, 0), (30, 20, 0), (10, 20, 0)),
        cuts=(Cut(z=(5, 10), r=(10, 20), side=Side.LEFT),),
    )
    piece = piece_of(shape)
    assert piece is not None
    assert piece.area == pytest.approx(2 * 20 * 20 - 10 * 5)
    assert inside(piece.face_loops, 15, 7)
    assert not inside(piece.face_loops, -15, 7)


def test_a_bore_hides_nothing_of_the_outline_but_what_lies_behind() -> None:
    piece = piece_of(Shape("a", Look.STEEL, profile=((10, 0, 0), (30, 0, 0), (30, 20, 0), (10, 20, 0))))
    assert piece is not None
    assert piece.reach(10) == pytest.approx(30)
    assert piece.reach(30) == 0
    # The two edges of the bore, at its ends.
    assert sorted(curve.points for curve in piece.edges) == [((-10, 0), (10, 0)), ((-10, 20), (10, 20))]


def test_an_outline_that_touches_the_axis_is_one_face() -> None:
    piece = piece_of(Shape("a", Look.STEEL, profile=((0, 0, 0), (5, 0, 0), (5, 9, 0), (0, 9, 0)), whole=True))
    assert piece is not None
    assert len(piece.faces) == 1
    assert piece.area == pytest.approx(90)


def test_a_shape_without_form_is_no_piece() -> None:
    assert piece_of(Shape("a", Look.STEEL)) is None


def test_what_lies_inside_is_painted_after_what_surrounds_it() -> None:
    machine = scene(valve(), "DN 80")
    order = machine.painted
    for outer, inner in (
        ("body", "cover"),
        ("body", "guide_sleeve"),
        ("guide_sleeve", "piston"),
        ("piston", "piston_stud"),
        ("cover", "return_spring"),
        ("cover", "sight_rod"),
        ("piston_stud", "castle_nut"),
        ("cotter_pin", "castle_nut"),
        ("studs", "nuts"),
        ("sight_cap", "gland_nut"),
        ("loading_line", "tube_nut"),
    ):
        assert order.index(outer) < order.index(inner), (outer, inner)


def test_a_balloon_points_to_what_can_be_seen() -> None:
    machine = scene(valve(), "DN 80")
    for thing in machine.pieces:
        for side in machine.sides(thing):
            assert machine.shows(thing, machine.anchor(thing, side)), thing
