"""The reference of the drawing language: every form and every key of shapes and drawing is on it, drawn and faultless."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest
import yaml
from click.testing import CliRunner

from tests.drawing.shipped import root
from trainer.checker.check import check_text
from trainer.cli.language import language_command
from trainer.drawing.examples import GROUPS
from trainer.drawing.scene import scene
from trainer.drawing.soundness import FORMS
from trainer.procedure.geometry_keys import BLOCKS
from trainer.procedure.shapes import Look, Side, Toward

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.drawing.examples.example import Example

EXAMPLES = [example for _, examples in GROUPS for example in examples]
TABLES = {"shapes", "drawing: spaces"}
each = pytest.mark.parametrize("example", EXAMPLES, ids=[e.title for e in EXAMPLES])


def used() -> dict[str, set[str]]:
    """The keys that the examples use, by the block that they stand in."""
    found: dict[str, set[str]] = {}

    def walk(block: str, value: Any) -> None:
        if isinstance(value, list):
            for item in value:
                walk(block, item)
        elif isinstance(value, dict):
            found.setdefault(block, set()).update(value)
            for key, inner in value.items():
                walk(f"{block}: {key}", inner)

    for example in EXAMPLES:
        written = yaml.safe_load(example.written)
        for shape in written["shapes"].values():
            walk("shapes", shape)
        drawing = written.get("drawing", {})
        for space in drawing.get("spaces", {}).values():
            walk("drawing: spaces", space)
        walk("drawing", drawing)
    return found


def test_every_form_of_shape_is_shown() -> None:
    assert set(FORMS) <= used()["shapes"]


@pytest.mark.parametrize(("block", "keys"), [(name, block) for name, block in BLOCKS])
def test_every_key_is_used(block: str, keys: Any) -> None:
    assert {key.name for key in keys.keys} <= used().get(block, set()), block


def test_every_look_side_and_direction_is_shown() -> None:
    looks = {shape.look for example in EXAMPLES for shape in shapes(example)}
    assert looks == set(Look)
    text = "".join(example.written for example in EXAMPLES)
    assert {side.value for side in Side if re.search(rf"side: {side.value}\b", text)} >= {"left", "right"}
    assert {way.value for way in Toward if re.search(rf"(leaves|toward|dir): {way.value}\b", text)} >= {
        "up",
        "down",
    }


def shapes(example: Example) -> Iterator[Any]:
    module = example.module()
    yield from scene(module, module.sizes[0]).shapes.shapes.values()


@each
def test_it_is_drawn_from_what_is_written(example: Example) -> None:
    drawn = example.drawn("e")
    assert drawn
    for svg, _ in drawn:
        assert root(svg).tag.endswith("svg")
        assert len(svg.encode()) < 40 * 1024
    ids = [found for svg, _ in drawn for found in re.findall(r'\bid="([^"]*)"', svg)]
    assert len(ids) == len(set(ids))
    assert drawn == example.drawn("e")


@each
def test_shapes_do_not_run_into_one_another(example: Example) -> None:
    _, findings = check_text(example.text, "example.yaml")
    codes = {finding.code for finding in findings}
    assert not {code for code in codes if any(word in code for word in ("shape", "outline", "turned"))}, codes


def test_the_page_is_printed_with_every_example_on_it() -> None:
    printed = CliRunner().invoke(language_command, ["--page", "DRAWINGS.html"])
    assert printed.exit_code == 0
    assert printed.output.count("<section>") == len(EXAMPLES)
    assert printed.output.count("<svg ") == sum(len(e.pictures) for e in EXAMPLES)
    ids = re.findall(r'\bid="([^"]*)"', printed.output)
    assert len(ids) == len(set(ids))
