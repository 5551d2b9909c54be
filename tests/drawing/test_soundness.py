"""What is found by looking at shapes: each against a shape where the answer is plain."""

from __future__ import annotations

import pytest

from tests.drawing.shipped import modules
from trainer.drawing.scene import shapes_at
from trainer.drawing.soundness import crosses_itself, looks_the_same_turned, overlaps
from trainer.procedure.shapes import Look, Shape, Shapes, Thread, Turn

SQUARE = ((10.0, 0.0, 0.0), (20.0, 0.0, 0.0), (20.0, 10.0, 0.0), (10.0, 10.0, 0.0))


def together(*shapes: Shape) -> Shapes:
    return Shapes("S", {shape.id: shape for shape in shapes}, {}, (), (), ())


def test_an_overlap_is_told_with_its_area_on_both_sides_of_the_axis() -> None:
    shapes = together(Shape("a", Look.STEEL, profile=SQUARE), Shape("b", Look.CAST, at=8, profile=SQUARE))
    ((one, other, area),) = overlaps(shapes)
    assert (one, other) == ("a", "b")
    assert area == pytest.approx(2 * 10 * 2)


@pytest.mark.parametrize(
    "other",
    [
        Shape("b", Look.RUBBER, at=8, profile=SQUARE),
        Shape("b", Look.STEEL, at=8, profile=SQUARE, whole=True),
        Shape("b", Look.STEEL, at=10, profile=SQUARE),
    ],
)
def test_rubber_shafts_and_neighbours_may_touch(other: Shape) -> None:
    assert list(overlaps(together(Shape("a", Look.STEEL, profile=SQUARE), other))) == []


def test_turned_about() -> None:
    assert looks_the_same_turned(Shape("a", Look.STEEL, profile=SQUARE))
    assert not looks_the_same_turned(Shape("a", Look.STEEL, profile=(*SQUARE[:3], (10.0, 8.0, 0.0))))
    # About another height than its own middle it comes to lie elsewhere.
    assert not looks_the_same_turned(Shape("a", Look.STEEL, profile=SQUARE, turn=Turn(about=2)))
    thread = Thread(20, 18, (0, 3))
    assert not looks_the_same_turned(Shape("a", Look.STEEL, profile=SQUARE, threads=(thread,)))
    assert not looks_the_same_turned(Shape("a", Look.STEEL, profile=SQUARE, marks=(2,)))
    assert not looks_the_same_turned(Shape("a", Look.STEEL))


def test_crossing_itself() -> None:
    assert not crosses_itself(SQUARE)
    assert crosses_itself((SQUARE[0], SQUARE[2], SQUARE[1], SQUARE[3]))
    assert not crosses_itself(())


def test_what_is_shipped_has_no_fault() -> None:
    for module in modules():
        for size in module.sizes:
            shapes = shapes_at(module, size)
            assert list(overlaps(shapes)) == []
            for shape in shapes.shapes.values():
                assert not crosses_itself(shape.profile), shape.id
