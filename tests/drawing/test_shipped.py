"""What holds for every drawing of what is shipped."""

from __future__ import annotations

import math
import re
from itertools import combinations

import pytest

from tests.drawing.shipped import balloons, draw, every, leaders, modules, parts, root, valve, wanted
from trainer.drawing import VIEWS
from trainer.drawing.scene import NoShapes, NoSuchSize, scene
from trainer.drawing.views.exploded import TooNarrow
from trainer.procedure import library

LABELLED = [key for key in wanted() if key[1] in ("section", "exploded", "detail")]
LIMIT = 40 * 1024
# Attributes that hold numbers.
FIGURES = ("d", "x", "y", "cx", "cy", "r", "width", "height", "viewBox", "transform", "stroke-width")


def name(key: tuple[object, ...]) -> str:
    return "-".join(map(str, key))


def test_there_is_something_to_look_at() -> None:
    assert {view for _, view, *_ in wanted()} == set(VIEWS) - OTHERS
    assert len(every()) > 100


# Views of other things than a machine's shapes have tests of their own.
OTHERS = {
    view
    for view in VIEWS
    if view not in ("section", "exploded", "state", "thumbnail", "detail", "way_round", "incident", "station")
}


def test_every_drawing_parses_and_is_small_enough() -> None:
    for called, svg in every():
        assert root(svg).tag.endswith("svg"), called
        assert len(svg.encode()) < LIMIT, called


def test_every_number_is_one() -> None:
    for called, svg in every():
        assert not re.search(r"nan|inf", svg.replace("information", "")), called
        for item in root(svg).iter():
            for key in FIGURES:
                for text in re.findall(r"[^\sA-Za-z,()-]+", re.sub(r"(?<=\d)-", " ", item.get(key, ""))):
                    assert math.isfinite(float(text)), (called, key, text)


def test_ids_are_unique_and_prefixed_and_what_is_named_is_there() -> None:
    for called, svg in every():
        ids = re.findall(r'\bid="([^"]*)"', svg)
        assert len(ids) == len(set(ids)), called
        prefix = ids[0].removesuffix("-t")
        assert all(found.startswith(prefix) for found in ids), called
        named = re.findall(r'(?:href="#|url\(#)([^")]*)', svg) + re.findall(
            r'aria-(?:labelledby|describedby)="([^"]*)"', svg
        )
        assert set(named) <= set(ids), called


def test_pictures_of_one_page_share_no_id() -> None:
    size = valve().sizes[0]
    one, other = (VIEWS["exploded"].draw(valve(), size, 360, prefix=prefix) for prefix in ("p1", "p2"))
    assert not set(re.findall(r'\bid="([^"]*)"', one)) & set(re.findall(r'\bid="([^"]*)"', other))


def test_no_drawing_carries_a_style_of_its_own() -> None:
    for called, svg in every():
        assert "style" not in svg, called
        assert "<pattern" not in svg, called
        assert not re.search(r'(fill|stroke)="', svg), called


def test_the_same_drawing_is_the_same_bytes() -> None:
    for key in list(wanted())[:12]:
        module, view, size, width, options = key
        again = VIEWS[view].draw(library.load(module), size, width, **dict(options))
        assert again == draw(*key)


@pytest.mark.parametrize("key", LABELLED, ids=name)
def test_no_leader_crosses_another(key: tuple[str, str, str, int, tuple[tuple[str, object], ...]]) -> None:
    found = leaders(draw(*key))
    assert found
    for one, other in combinations(found, 2):
        assert not crosses(*one, *other), (one, other)


@pytest.mark.parametrize("key", LABELLED, ids=name)
def test_no_balloon_lies_on_another_or_on_a_leader(
    key: tuple[str, str, str, int, tuple[tuple[str, object], ...]],
) -> None:
    svg = draw(*key)
    found = balloons(svg)
    for (ax, ay, ar), (bx, by, br) in combinations(found, 2):
        assert math.hypot(ax - bx, ay - by) >= ar + br - 0.1
    for start, end in leaders(svg):
        for x, y, r in found:
            own = abs(math.hypot(start[0] - x, start[1] - y) - r) < 0.2
            assert own or away(x, y, start, end) >= r - 0.1


@pytest.mark.parametrize("key", LABELLED, ids=name)
def test_balloons_lie_in_the_picture(key: tuple[str, str, str, int, tuple[tuple[str, object], ...]]) -> None:
    svg = draw(*key)
    width, height = (float(root(svg).get(side, "")) for side in ("width", "height"))
    for x, y, r in balloons(svg):
        assert r <= x <= width - r + 0.1
        assert r - 0.1 <= y <= height - r + 0.1


def crosses(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Two straight lines have a point in common, worked out by solving for it."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    det = ux * vy - uy * vx
    if abs(det) < 1e-9:
        return False
    s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / det
    t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / det
    return 0 <= s <= 1 and 0 <= t <= 1


def away(x: float, y: float, a: tuple[float, float], b: tuple[float, float]) -> float:
    ux, uy = b[0] - a[0], b[1] - a[1]
    share = max(0.0, min(1.0, ((x - a[0]) * ux + (y - a[1]) * uy) / (ux * ux + uy * uy or 1.0)))
    return math.hypot(x - a[0] - share * ux, y - a[1] - share * uy)


def test_a_section_shows_every_thing_with_a_shape_once() -> None:
    for module in modules():
        for size in module.sizes:
            shown = parts(draw(module.id, "section", size, 1200))
            assert sorted(shown) == sorted(scene(module, size).pieces)


def test_every_item_has_its_number_in_the_section_and_in_the_columns() -> None:
    module = valve()
    for view in ("section", "exploded"):
        svg = draw(module.id, view, "DN 80", 1200)
        shown = re.findall(r'class="number">(\d+)<', svg)
        assert sorted(map(int, shown)) == sorted(module.item_numbers().values()), view


def test_controls_stand_in_the_order_of_the_parts_list_and_are_named() -> None:
    module = valve()
    numbers = module.item_numbers()
    for view, width in (("section", 360), ("section", 1200), ("exploded", 1200)):
        svg = draw(module.id, view, module.sizes[-1], width, (("controls", True),))
        found = [item for item in root(svg).iter() if item.get("role") == "button"]
        things = [item.get("data-control", "") for item in found]
        assert things == sorted(things, key=numbers.__getitem__)
        assert set(things) == set(numbers)
        for item in found:
            said = item.get("aria-label") or " ".join(item.itertext())
            assert module.name(item.get("data-control", "")) in said
            assert str(numbers[item.get("data-control", "")]) in said.split()[0]
        assert next(item.get("tabindex") for item in found) == "0"
        assert root(svg).get("role") == "group"


def test_with_tokens_nothing_tells_a_name() -> None:
    module = valve()
    tokens = {
        thing: f"t{n}" for n, thing in enumerate(reversed([*module.parts, *module.fasteners, *module.lines]))
    }
    svg = VIEWS["section"].draw(module, "DN 80", 360, labels=False, controls=True, tokens=tokens)
    assert set(parts(svg)) <= set(tokens.values())
    for thing in tokens:
        assert f'"{thing}"' not in svg
        assert module.name(thing).lower() not in svg.lower() or module.name(thing) == "Body"
    assert svg.count('role="button"') == len(module.item_numbers())


def test_a_size_changes_the_drawing() -> None:
    drawn = {draw(valve().id, "section", size, 360) for size in valve().sizes}
    assert len(drawn) == len(valve().sizes)


def test_what_cannot_be_drawn_is_told() -> None:
    with pytest.raises(NoSuchSize, match="DN 7"):
        VIEWS["section"].draw(valve(), "DN 7", 360)
    with pytest.raises(TooNarrow, match="200 px"):
        VIEWS["exploded"].draw(valve(), "DN 80", 120)
    plain = library.read_module("module: m\nparts: {p: {}}\nsizes: [S]\n", "m.yaml")
    with pytest.raises(NoShapes, match="shapes"):
        VIEWS["section"].draw(plain, "S", 360)
