"""A drawing for the printed papers: plain values for every class it uses, and the setter of the papers takes it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
import typst

from tests.drawing.shipped import draw, root, valve
from trainer.drawing import VIEWS
from trainer.drawing.paper import on_paper

if TYPE_CHECKING:
    from pathlib import Path

SECTION = on_paper(draw(valve().id, "section", "DN 80", 360))


def test_it_parses_and_needs_no_page_round_it() -> None:
    assert root(SECTION).tag.endswith("svg")
    assert "var(" not in SECTION
    assert "url(" not in SECTION.replace("url(#", "")


def test_every_line_and_face_has_its_rule() -> None:
    rules = re.findall(r"<style>(.*)</style>", SECTION)[0]
    used = {item.get("class", "") for item in root(SECTION).iter() if item.tag.endswith(("path", "circle"))}
    for name in used - {""}:
        assert re.search(rf"\.{name}[,{{ ]", rules), name


def test_the_papers_take_it(tmp_path: Path) -> None:
    (tmp_path / "section.svg").write_text(SECTION, encoding="utf-8")
    page = tmp_path / "page.typ"
    page.write_text(
        '#set page(width: 100mm, height: 110mm)\n#image("section.svg", width: 80mm)', encoding="utf-8"
    )
    out = typst.compile(str(page), format="svg")
    assert isinstance(out, bytes)
    # It is kept as lines: the hatch alone is hundreds of strokes.
    assert len(out) > 20_000


@pytest.mark.parametrize(
    ("view", "options"),
    [
        ("bolts", {"pattern": True, "crossed": 3}),
        ("castle_nut", {"past": 20}),
        ("castle_nut", {"pinned": True}),
        ("lifting", {"part": "body", "angle": 60, "load": True}),
        ("lifting", {"part": "cover"}),
    ],
)
def test_every_class_of_the_smaller_views_has_its_rule(view: str, options: dict[str, Any]) -> None:
    svg = on_paper(VIEWS[view].draw(valve(), "DN 80", 360, **options))
    rules = re.findall(r"<style>(.*)</style>", svg)[0]
    for item in root(svg).iter():
        if item.tag.endswith(("path", "circle", "rect", "ellipse")):
            assert re.search(rf"\.{item.get('class')}[,{{ ]", rules), item.get("class")
