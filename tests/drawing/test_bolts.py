"""The bolt circle: places clockwise from the top, turns outside, arrows for four, targets for a finger, blanks."""

from __future__ import annotations

import math
import re
from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from tests.drawing.shipped import SVG, modules, numbers, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.set_round import NoBoltCircle
from trainer.drawing.views.bolts import NoSuchBolts
from trainer.procedure import library

if TYPE_CHECKING:
    from trainer.procedure.model import Module

DRAW = VIEWS["bolts"].draw
# The printed cross pattern for eight, ASME PCC-1 Legacy as transcribed in public; and the three fours of twelve.
EIGHT = (1, 5, 3, 7, 2, 6, 4, 8)
TWELVE = (1, 7, 4, 10, 2, 8, 5, 11, 3, 9, 6, 12)


def plain(count: int) -> Module:
    """A module without shapes, with a set of so many."""
    return library.read_module(
        f"module: m\ntitle: A joint\nsizes: [S]\nparts: {{cover: {{}}}}\n"
        f"fasteners: {{screws: {{clamp: cover, count: {count}, pattern: cross}}}}\n",
        "m.yaml",
    )


def targets(svg: str) -> list[tuple[float, float, float]]:
    return [
        (float(item.get("cx", "")), float(item.get("cy", "")), float(item.get("r", "")))
        for item in root(svg).iter(f"{SVG}circle")
        if item.get("class") == "target"
    ]


def boxes(svg: str) -> list[tuple[float, float, str]]:
    """The middle of each box outside and the turn in it, by the number of the place; those of the key left out."""
    found = []
    for group in root(svg).iter(f"{SVG}g"):
        box = group.find(f"{SVG}rect[@class='box']")
        if box is not None:
            x, y, w = (float(box.get(k, "")) for k in ("x", "y", "width"))
            found.append((x + w / 2, y + w / 2, group.findall(f"{SVG}text")[-1].text or ""))
    return found


@pytest.mark.parametrize("count", range(4, 25, 2))
@pytest.mark.parametrize("width", [320, 360, 1200])
def test_targets_are_large_enough_and_apart(count: int, width: int) -> None:
    found = targets(DRAW(plain(count), "S", width, controls=True))
    assert len(found) == count
    for x, y, r in found:
        assert r >= 12
        assert r <= x <= width - r
        assert r <= y
    for (ax, ay, _), (bx, by, _) in combinations(found, 2):
        assert math.hypot(ax - bx, ay - by) >= 24


@pytest.mark.parametrize("count", [8, 12, 24])
def test_places_run_clockwise_from_the_top(count: int) -> None:
    found = targets(DRAW(plain(count), "S", 360, controls=True))
    x0 = sum(x for x, *_ in found) / count
    y0 = sum(y for _, y, _ in found) / count
    turned = [math.degrees(math.atan2(x - x0, y0 - y)) % 360 for x, y, _ in found]
    for n, angle in enumerate(turned):
        assert abs((angle - 360 * n / count + 180) % 360 - 180) < 0.5


@pytest.mark.parametrize("count", [8, 16, 24])
def test_turns_stand_outside_the_joint_and_apart(count: int) -> None:
    svg = DRAW(plain(count), "S", 360, pattern=True)
    rim = max(float(c.get("r", "")) for c in root(svg).iter(f"{SVG}circle"))
    found = boxes(svg)
    assert sorted(int(turn) for *_, turn in found) == list(range(1, count + 1))
    for x, y, _ in found:
        assert math.hypot(x - 180, y - 180) > rim + 10
        assert 10 <= x <= 350
    for (ax, ay, _), (bx, by, _) in combinations(found, 2):
        assert max(abs(ax - bx), abs(ay - by)) >= 20


@pytest.mark.parametrize(("size", "order"), [("DN 80", EIGHT), ("DN 100", TWELVE)])
def test_each_place_carries_its_turn(size: str, order: tuple[int, ...]) -> None:
    found = boxes(DRAW(valve(), size, 360, pattern=True))
    assert [int(turn) for *_, turn in found] == [order.index(n) + 1 for n in range(1, len(order) + 1)]


def arrows(svg: str, kind: str) -> list[list[float]]:
    return [numbers(p.get("d", "")) for p in root(svg).iter(f"{SVG}path") if p.get("class") == kind]


@pytest.mark.parametrize("group", [1, 2, 3])
def test_arrows_join_the_four_in_turn(group: int) -> None:
    places = [(x, y) for x, y, _ in targets(DRAW(valve(), "DN 100", 360, controls=True))]
    svg = DRAW(valve(), "DN 100", 360, pattern=True, group=group)
    four = TWELVE[4 * group - 4 : 4 * group]
    heads = arrows(svg, "arrow-head")
    drawn = arrows(svg, "arrow")
    assert len(drawn) == len(heads) == 3
    for line, head, here, there in zip(drawn, heads, four, four[1:], strict=False):

        def nearest(x: float, y: float) -> int:
            return 1 + min(range(12), key=lambda n: math.hypot(places[n][0] - x, places[n][1] - y))

        assert nearest(line[0], line[1]) == here
        assert nearest(head[0], head[1]) == there
    assert len(arrows(svg, "onward")) == (group < 3)


def test_a_blank_tells_no_order() -> None:
    blank = DRAW(valve(), "DN 80", 360, controls=True, tokens=tuple(f"q{n}" for n in range(1, 9)))
    assert not arrows(blank, "arrow") + arrows(blank, "onward")
    assert [turn for *_, turn in boxes(blank)] == [""] * 8
    assert "No order is shown" in blank
    assert not re.search(r"\bnext\b|\bcoming\b|Order:", blank)
    controls = [item for item in root(blank).iter() if item.get("role") == "button"]
    assert [item.get("data-control") for item in controls] == [f"q{n}" for n in range(1, 9)]
    assert [item.get("aria-label", "").split(",")[0] for item in controls] == [
        f"Number {n}" for n in range(1, 9)
    ]
    assert [item.get("tabindex") for item in controls] == ["0"] + [None] * 7
    assert "data-control" not in DRAW(valve(), "DN 80", 360)


def test_the_order_is_told_and_a_wrong_turn_crossed() -> None:
    svg = DRAW(valve(), "DN 80", 360, order=(1, 5, 4), crossed=3)
    told = root(svg).findtext(f"{SVG}desc") or ""
    assert "Order: 1, 5, 4." in told
    assert "Turn 3, at number 4, is crossed out." in told
    assert len(arrows(svg, "cross")) == 1
    assert not arrows(DRAW(valve(), "DN 80", 360, order=(1, 5, 4)), "cross")


def test_every_set_of_what_is_shipped_is_drawn_and_small() -> None:
    for module in modules():
        for fastener in module.fasteners.values():
            for size in module.sizes:
                if (fastener.count.at(size) or 0) >= 3 and fastener.pattern:
                    for width in (360, 1200):
                        one = DRAW(module, size, width, part=fastener.id, pattern=True)
                        assert one == DRAW(module, size, width, part=fastener.id, pattern=True)
                        assert len(one.encode()) < 16 * 1024


def test_what_cannot_be_drawn_is_told() -> None:
    with pytest.raises(NoSuchBolts, match="1 to 8"):
        DRAW(valve(), "DN 80", 360, order=(1, 9))
    with pytest.raises(NoSuchBolts):
        DRAW(valve(), "DN 80", 360, order=(1, 1))
    with pytest.raises(NoBoltCircle, match="gland_nut"):
        DRAW(valve(), "DN 80", 360, part="gland_nut")
    with pytest.raises(NoBoltCircle, match="count"):
        DRAW(library.read_module("module: m\nparts: {p: {}}\nsizes: [S]\n", "m.yaml"), "S", 360)
