"""Parts that lie on their side, springs that are cones, sets of screws from the side, bodies that fall."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.drawing.shipped import balloons, draw, modules, numbers, root
from trainer.drawing.paint_order import paint_order
from trainer.drawing.pieces import piece_of, turned_over
from trainer.drawing.scene import Placed, scene
from trainer.drawing.soundness import looks_the_same_turned
from trainer.procedure.shapes import Coil, Look, Plug, Shape, Side

CUP = (
    (4.0, 0.0, 0.0),
    (6.0, 0.0, 0.0),
    (6.0, 14.0, 0.0),
    (0.0, 14.0, 0.0),
    (0.0, 12.0, 0.0),
    (4.0, 12.0, 0.0),
)


def lying(side: Side) -> Shape:
    return Shape("cup", Look.BRONZE, at=29, profile=CUP, lies=side, level=-12)


def pilot() -> str:
    return next(module.id for module in modules() if module.id == "pilot-overhaul")


@pytest.mark.parametrize(("side", "span"), [(Side.RIGHT, (29, 43)), (Side.LEFT, (-43, -29))])
def test_a_part_on_its_side_counts_outwards_from_the_axis_and_about_its_own_level(
    side: Side, span: tuple[float, float]
) -> None:
    piece = piece_of(lying(side))
    assert piece is not None
    x0, z0, x1, z1 = piece.box
    assert (x0, x1) == pytest.approx(span)
    assert (z0, z1) == pytest.approx((-18, -6))
    upright = piece_of(Shape("cup", Look.BRONZE, profile=CUP))
    assert upright is not None
    assert piece.area == pytest.approx(upright.area)


def test_turned_end_for_end_it_stays_where_it_lies_and_looks_another() -> None:
    shape = lying(Side.RIGHT)
    piece = piece_of(shape)
    assert piece is not None
    other = turned_over(shape, piece)
    assert other.box == pytest.approx(piece.box)
    assert not looks_the_same_turned(shape)
    tube = Shape("tube", Look.STEEL, profile=((4, 0, 0), (6, 0, 0), (6, 9, 0), (4, 9, 0)), lies=Side.RIGHT)
    assert looks_the_same_turned(tube)


def test_a_cone_of_wire_is_another_one_upside_down() -> None:
    cone = Shape("s", Look.SPRING, coil=Coil(8, 1.5, 24, 5, 4))
    even = Shape("s", Look.SPRING, coil=Coil(8, 1.5, 24, 5))
    assert not looks_the_same_turned(cone)
    piece, plain = piece_of(cone), piece_of(even)
    assert piece is not None
    assert plain is not None
    # At its foot it is as wide as the even one, at its top half as wide.
    low = max(x for curve in piece.faces for x, z in curve.points if z < 2)
    high = max(x for curve in piece.faces for x, z in curve.points if z > 22)
    assert low == pytest.approx(8 + 0.75, abs=0.3)
    assert high == pytest.approx(4 + 0.75, abs=0.4)
    assert plain.box[2] == pytest.approx(8.75)


def test_a_set_of_screws_stands_on_both_sides_and_is_parted_by_what_flies() -> None:
    plug = Plug(40, 14, 11, 9, 17, side=Side.LEFT, others=((17.5, -40.0), (-12.0, 66.0)))
    piece = piece_of(Shape("nuts", Look.STEEL, at=-12, plug=plug))
    assert piece is not None
    x0, _, x1, _ = piece.box
    assert (x0, x1) == pytest.approx((-49, 75))
    near, rest = piece.parted((59, -16, 96, 16))
    assert near.box[0] > 50
    assert rest.box[2] < 0
    assert len(near.faces) + len(rest.faces) == len(piece.faces)


def test_what_lies_is_painted_after_the_body_and_the_inner_after_the_outer() -> None:
    module = next(module for module in modules() if module.id == "pilot-overhaul")
    machine = scene(module, module.sizes[0])
    placed = [item.base.id for item in paint_order([Placed(piece) for piece in machine.pieces.values()])]
    order = [placed.index(name) for name in ("body", "supply_fitting", "filter")]
    assert order == sorted(order)
    # The ring lies round the shank of the fitting and is painted before it.
    assert placed.index("fitting_oring") < placed.index("supply_fitting")


def test_a_half_section_gives_every_balloon_its_room() -> None:
    svg = draw(pilot(), "section", "G 1/4", 360, (("half", True),))
    right = sorted(y for x, y, _ in balloons(svg) if x > 180)
    assert len(right) > 15
    assert min(b - a for a, b in pairwise(right)) >= 19


def test_the_bottom_plug_is_thrown_down() -> None:
    svg = draw(pilot(), "incident", "G 1/4", 360, (("step", "disc_out"),))
    arrows = [item.get("d") or "" for item in root(svg).iter() if item.get("class") == "arrow"]
    assert arrows
    for data in arrows:
        _, start, _, end = numbers(data)
        assert end > start
