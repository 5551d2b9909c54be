"""The wrong way round: turned honestly, neighbours settled, no answer in the words."""

from __future__ import annotations

import pytest

from tests.drawing.shipped import modules, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.regions import overlap
from trainer.drawing.scene import scene
from trainer.drawing.turning import turned, turned_piece
from trainer.drawing.views.way_round import PartWithoutShape
from trainer.procedure.shapes import Look

SIDED = [
    pytest.param(module, part.id, id=f"{module.id}-{part.id}")
    for module in modules()
    for part in module.parts.values()
    if part.way_round and not part.way_round.either
]


@pytest.mark.parametrize(("module", "part"), SIDED)
def test_turning_changes_the_picture_and_nothing_that_is_read(module: object, part: str) -> None:
    assert hasattr(module, "sizes")
    size = module.sizes[0]
    right = VIEWS["way_round"].draw(module, size, 300, part=part, prefix="o1")
    wrong = VIEWS["way_round"].draw(module, size, 300, part=part, wrong=[part], prefix="o1")
    assert right != wrong
    assert [child.text for child in root(right)[:2]] == [child.text for child in root(wrong)[:2]]
    assert (root(right).get("width"), root(right).get("viewBox")) == (
        root(wrong).get("width"),
        root(wrong).get("viewBox"),
    )
    for word in ("right", "wrong", "turned", "correct"):
        assert word not in wrong.lower().replace("section", "")


@pytest.mark.parametrize(("module", "part"), SIDED)
def test_a_turned_part_lies_in_no_neighbour(module: object, part: str) -> None:
    assert hasattr(module, "sizes")
    machine = scene(module, module.sizes[0])  # type: ignore[arg-type]
    placed = turned(machine, [part])
    one = next(item.piece for item in placed if item.base.id == part)
    for item in placed:
        # A screwed joint is drawn as one in the other, and rubber gives way.
        soft = (
            Look.RUBBER in (item.base.look, one.look)
            and item.base.id not in machine.shapes.shapes[part].turn.moves
        )
        if item.base.id != part and not soft and not item.base.whole and not one.whole:
            assert overlap(one.face_loops, item.piece.face_loops) < 1.0, item.base.id


def test_the_piston_sinks_on_a_turned_seat_ring_by_the_height_of_its_crown() -> None:
    # By hand at DN 80: the disc lies at 19.8 on the crown; turned, the flange's upper side at 11.5 is what is left.
    machine = scene(valve(), "DN 80")
    shifts = {item.base.id: item.dz for item in turned(machine, ["seat_ring"])}
    assert shifts["piston"] == pytest.approx(11.5 - 19.8, abs=0.2)
    assert shifts["soft_disc"] == shifts["piston"] == shifts["cotter_pin"]
    assert shifts["guide_sleeve"] == shifts["cover"] == 0


def test_a_turned_disc_pushes_retainer_and_nut_down_by_its_rebate() -> None:
    machine = scene(valve(), "DN 80")
    shifts = {item.base.id: item.dz for item in turned(machine, ["soft_disc"])}
    assert shifts["disc_retainer"] == pytest.approx(-4.2, abs=0.2)
    assert shifts["castle_nut"] == shifts["disc_retainer"]
    assert shifts["cotter_pin"] == shifts["piston_stud"] == 0


def test_turning_twice_brings_a_part_back() -> None:
    machine = scene(valve(), "DN 80")
    once = turned_piece(machine, "seat_ring")
    for back, was in zip(
        once.upturned(1.5 + 5).face_loops[0], machine.pieces["seat_ring"].face_loops[0], strict=True
    ):
        assert back == pytest.approx(was)


def test_two_rings_of_a_pair_give_four_pictures() -> None:
    rings = ("backup_upper", "backup_lower")
    ways = [(), rings[:1], rings[1:], rings]
    drawn = {
        VIEWS["way_round"].draw(
            valve(), "DN 80", 300, part=rings[0], together=rings[1:], wrong=wrong, prefix="o"
        )
        for wrong in ways
    }
    assert len(drawn) == 4


def test_a_part_without_shape_is_told() -> None:
    with pytest.raises(PartWithoutShape, match="nothing"):
        VIEWS["way_round"].draw(valve(), "DN 80", 300, part="nothing")
