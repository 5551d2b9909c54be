"""The lift: legs at the angle that is said, its reference named, the load of a leg worked out, figures left open."""

from __future__ import annotations

import math
import re

import pytest

from tests.drawing.shipped import SVG, numbers, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.views.lifting import NotLifted
from trainer.procedure import library
from trainer.trade.slings import SlingTooFlat

DRAW = VIEWS["lifting"].draw


def legs(svg: str) -> list[tuple[float, float, float, float]]:
    """The lines of the rope that begin at the hook."""
    for item in root(svg).iter(f"{SVG}path"):
        if item.get("class") == "rope" and "L" in item.get("d", ""):
            return [tuple(numbers(piece)) for piece in item.get("d", "").split("M")[1:]]  # type: ignore[misc]
    return []


@pytest.mark.parametrize("width", [360, 1200])
@pytest.mark.parametrize(
    ("angle", "reference", "from_horizontal"),
    [
        (60, "horizontal", 60),
        (30, "horizontal", 30),
        (30, "vertical", 60),
        (45, "vertical", 45),
        (15, "vertical", 75),
    ],
)
def test_the_legs_stand_at_the_angle(
    width: int, angle: float, reference: str, from_horizontal: float
) -> None:
    found = legs(DRAW(valve(), "DN 80", width, part="body", angle=angle, reference=reference))
    assert len(found) == 2
    for x0, y0, x1, y1 in found:
        assert abs(math.degrees(math.atan2(y1 - y0, abs(x1 - x0))) - from_horizontal) < 0.6


# Load angle factors, table citing ANSI B30.9: 60° 1.155, 45° 1.414, 30° 2.000; the body at DN 80 has 27 kg on two legs.
@pytest.mark.parametrize(
    ("angle", "reference", "load"),
    [
        (60, "horizontal", "15.6"),
        (30, "vertical", "15.6"),
        (45, "horizontal", "19.1"),
        (30, "horizontal", "27"),
    ],
)
def test_the_load_of_a_leg(angle: float, reference: str, load: str) -> None:
    svg = DRAW(valve(), "DN 80", 360, part="body", angle=angle, reference=reference, load=True)
    said = "".join(root(svg).itertext()).replace("\u202f", " ").replace("\u00a0", " ")
    assert f"each carries {load} kg" in said
    assert f"from the {reference}" in said


def test_asked_without_the_load_nothing_tells_it() -> None:
    svg = DRAW(valve(), "DN 80", 360, part="body", angle=45)
    assert "each carries ?" in svg
    assert "19" not in " ".join(re.findall(r">([^<]+)<", svg))


def test_without_figures_only_what_it_is_read_from_is_told() -> None:
    svg = DRAW(valve(), "DN 80", 360, part="body", angle=45, figures=False)
    said = " ".join(re.findall(r">([^<]+)<", svg))
    assert "45" not in said
    assert "27" not in said
    assert "from the horizontal" in said


def test_by_hand_reach_and_height_are_to_scale() -> None:
    svg = DRAW(valve(), "DN 80", 360, part="cover")
    said = "".join(root(svg).itertext()).replace("\u202f", " ").replace("\u00a0", " ")
    assert "out 60 cm" in said
    assert "up 130 cm" in said
    assert "twist 45" in said
    lines = [
        numbers(p.get("d", "")) for p in root(svg).iter(f"{SVG}path") if p.get("class") == "measure-line"
    ]
    across = next(line for line in lines if len(line) == 4 and line[1] == line[3])
    upright = next(line for line in lines if len(line) == 4 and line[0] == line[2])
    assert abs(abs(upright[3] - upright[1]) / abs(across[2] - across[0]) - 130 / 60) < 0.03


def test_every_part_that_is_lifted_is_drawn_and_small() -> None:
    drawn = 0
    for part in valve().parts.values():
        if part.handled:
            for size in valve().sizes:
                for options in ({}, {"angle": 60.0}, {"angle": 60.0, "legs": 4}):
                    svg = DRAW(valve(), size, 360, part=part.id, **options)
                    assert svg == DRAW(valve(), size, 360, part=part.id, **options)
                    assert len(svg.encode()) < 20 * 1024
                    drawn += 1
    assert drawn > 20


def test_what_cannot_be_drawn_is_told() -> None:
    with pytest.raises(SlingTooFlat):
        DRAW(valve(), "DN 80", 360, part="body", angle=20)
    with pytest.raises(NotLifted, match="cotter_pin"):
        DRAW(valve(), "DN 80", 360, part="cotter_pin")
    plain = library.read_module(
        "module: m\nsizes: [S]\nparts: {p: {mass: 40 kg, handled: {reach: 40 cm, height: 70 cm, legs: 2}}}\n",
        "m.yaml",
    )
    assert "each carries ?" in DRAW(plain, "S", 360, angle=60)
