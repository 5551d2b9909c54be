"""Shapes worked out for a size: dimensions by size, scale, mirrored parts, materials, and what is left out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from trainer.procedure import library
from trainer.procedure.shapes import Look, Shapes, look_of

if TYPE_CHECKING:
    from trainer.procedure.model import Module

TEXT = """\
module: m
title: M
covered_task: T-31
sizes: [DN 50, DN 80]
parts:
  body: {fixed: true, material: cast steel}
  ring: {rests_on: body, material: PTFE}
  other: {rests_on: body}
  seal: {rests_on: body}
fasteners:
  nuts: {clamp: ring, count: {DN 50: 6, DN 80: 8}}
shapes:
  body: {profile: [[bore, 0], [bore + 10, 0], [bore + 10, 20, 2], [bore, 20]]}
  ring: {at: 20, profile: [[bore, 0], [bore + 5, 0], [bore + 5, 3]]}
  other: {at: 40, mirror_of: ring}
  seal: {at: 10, oring: {r: bore, d: 4}}
  nuts: {at: 20, nut: {r: 60, d: 12, af: 18, h: 10}}
drawing:
  dimensions: {bore: {DN 50: 25, DN 80: 40}}
  scale: {DN 50: 0.5, DN 80: 1}
steps:
  - {id: look, do: Look at it}
"""


def read(text: str = TEXT) -> Module:
    module = library.read_module(text, "m.yaml")
    assert module.problems == ()
    return module


def at(size: str, text: str = TEXT) -> Shapes:
    module = read(text)
    assert module.geometry is not None
    counts = {f.id: f.count.at(size) or 1 for f in module.fasteners.values()}
    return module.geometry.at(size, counts, {p.id: p.material for p in module.parts.values()})


def test_a_dimension_given_by_size_is_not_scaled_and_figures_are() -> None:
    assert at("DN 80").shapes["body"].profile == ((40, 0, 0), (50, 0, 0), (50, 20, 2), (40, 20, 0))
    assert at("DN 50").shapes["body"].profile == ((25, 0, 0), (30, 0, 0), (30, 10, 1), (25, 10, 0))


def test_a_mirrored_part_has_the_outline_of_the_other_upside_down() -> None:
    shapes = at("DN 80").shapes
    assert shapes["other"].profile == shapes["ring"].profile
    assert (shapes["other"].flipped, shapes["ring"].flipped) == (True, False)
    assert (shapes["other"].at, shapes["other"].look) == (40, Look.STEEL)


def test_the_count_comes_from_the_table_of_fasteners() -> None:
    assert at("DN 50").shapes["nuts"].count == 6
    assert at("DN 80").shapes["nuts"].count == 8


def test_screws_are_drawn_whole_and_rubber_is_rubber() -> None:
    shapes = at("DN 80").shapes
    assert shapes["nuts"].whole
    assert not shapes["body"].whole
    assert shapes["seal"].look is Look.RUBBER


def test_a_shape_whose_dimension_is_missing_at_a_size_is_left_out() -> None:
    text = TEXT.replace("{DN 50: 25, DN 80: 40}", "{DN 80: 40}")
    assert set(at("DN 50", text).shapes) == {"nuts"}
    assert set(at("DN 80", text).shapes) == {"body", "ring", "other", "seal", "nuts"}


@pytest.mark.parametrize(
    ("material", "look"),
    [
        ("cast steel", Look.CAST),
        ("grey cast iron", Look.CAST),
        ("stainless steel", Look.STAINLESS),
        ("spring steel", Look.SPRING),
        ("clear plastic", Look.CLEAR),
        ("PTFE", Look.PTFE),
        ("Brass", Look.BRONZE),
        ("nitrile", Look.RUBBER),
        ("", Look.STEEL),
    ],
)
def test_a_material_chooses_its_look(material: str, look: Look) -> None:
    assert look_of(material) is look


@pytest.mark.parametrize(
    "damage",
    [
        ("[bore, 20]]}", "[bore]]}"),
        ("oring: {r: bore, d: 4}", "oring: {r: bore}"),
        ("oring: {r: bore, d: 4}", "oring: {r: bore, d: 4, colour: red}"),
        ("[[bore, 0], [bore + 5, 0]", "[[bore, zero point], [bore + 5, 0]"),
        ("scale: {DN 50: 0.5", "scale: {DN 50: none"),
    ],
)
def test_what_cannot_be_read_has_a_place_and_the_rest_is_still_there(damage: tuple[str, str]) -> None:
    text = TEXT.replace(*damage)
    assert text != TEXT
    module = library.read_module(text, "m.yaml")
    assert module.problems
    line = 1 + TEXT[: TEXT.index(damage[0])].count("\n")
    assert all(abs(finding.place.line - line) <= 1 for finding in module.problems)
    assert module.geometry is not None
    assert "nuts" in module.geometry.at("DN 80", {}, {}).shapes


def test_shapes_are_part_of_the_revision() -> None:
    assert read().revision != read(TEXT.replace("h: 10", "h: 11")).revision
