"""Every drawing of what is shipped, and how to read one again from its bytes alone."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from trainer.drawing import VIEWS
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Module

Point = tuple[float, float]
SVG = "{http://www.w3.org/2000/svg}"


@cache
def modules() -> tuple[Module, ...]:
    """The shipped procedures that give their parts shapes."""
    read = (library.load(name) for name in library.shipped_procedures())
    return tuple(module for module in read if module.geometry)


@cache
def stations() -> tuple[Module, ...]:
    """The shipped procedures that say how their station is piped."""
    read = (library.load(name) for name in library.shipped_procedures())
    return tuple(module for module in read if module.station)


def valve() -> Module:
    return next(module for module in modules() if module.id == "piston-valve-overhaul")


@cache
def draw(name: str, view: str, size: str, width: int, options: tuple[tuple[str, Any], ...] = ()) -> str:
    module = next(module for module in (*modules(), *stations()) if module.id == name)
    return VIEWS[view].draw(module, size, width, **dict(options))


Key = tuple[str, str, str, int, tuple[tuple[str, Any], ...]]


def wanted() -> Iterator[Key]:
    """Name, view, size, width and options of the drawings that every test looks at."""
    for module in modules():
        yield from _of_the_machine(module)
        yield from _of_steps(module)
        yield from _of_parts(module)
    for module in stations():
        yield from of_station(module)


def of_station(module: Module) -> Iterator[Key]:
    """The station in service and after each step, wide and upright, and in line-ups that no job leaves."""
    for width in (316, 328, 336, 900, 1060, 1200):
        yield module.id, "station", module.sizes[0], width, ()
    for number, step in enumerate(module.steps):
        yield (
            module.id,
            "station",
            module.sizes[0],
            (316, 328, 336, 360, 900, 1060, 1140, 1200)[number % 8],
            (("after", step),),
        )
    assert module.station is not None
    moved = module.station.moved
    for number in range(6):
        chosen = tuple(name for place, name in enumerate(moved) if (place * 7 + number) % 3)
        yield module.id, "station", module.sizes[0], (336, 1200)[number % 2], (("standing_open", chosen),)


def _of_the_machine(module: Module) -> Iterator[Key]:
    columns = bool(module.geometry and module.geometry.drawing.get("explode"))
    for width in (360, 1200):
        for size in module.sizes:
            yield module.id, "section", size, width, ()
            yield module.id, "section", size, width, (("half", True),)
            if columns:
                yield module.id, "exploded", size, width, ()
        for view in ("section", "exploded") if columns else ("section",):
            yield module.id, view, module.sizes[-1], width, (("controls", True),)


def _of_steps(module: Module) -> Iterator[Key]:
    size = module.sizes[-1]
    for number, step in enumerate(module.steps):
        yield module.id, "state", size, (170, 360)[number % 2], (("after", step),)
        yield module.id, "thumbnail", size, 86, (("step", step),)
        if number % 3 == 0:
            yield module.id, "incident", size, 360, (("step", step),)


def _of_parts(module: Module) -> Iterator[Key]:
    size = module.sizes[-1]
    shapes = module.geometry.shapes if module.geometry else {}
    for part in (part for part in module.parts.values() if part.id in shapes):
        if part.way_round and not part.way_round.either:
            yield module.id, "way_round", size, 300, (("part", part.id),)
            yield module.id, "way_round", size, 300, (("part", part.id), ("wrong", (part.id,)))
        if part.renew != "keep":
            for width in (360, 900):
                yield module.id, "detail", size, width, (("parts", (part.id,)),)


def every() -> list[tuple[str, str]]:
    """A name for each drawing and its bytes; a moment at which nothing is thrown is none."""
    found = [("-".join(map(str, key)), draw(*key)) for key in wanted()]
    return [(name, svg) for name, svg in found if svg]


def root(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own drawing


def numbers(data: str) -> list[float]:
    return [float(text) for text in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", data)]


def leaders(svg: str) -> list[tuple[Point, Point]]:
    """The leaders of a picture, from balloon to spot."""
    found: list[tuple[Point, Point]] = []
    for item in root(svg).iter(f"{SVG}path"):
        if item.get("class") == "leader":
            for piece in (item.get("d") or "").split("M")[1:]:
                x0, y0, x1, y1 = numbers(piece)
                found.append(((x0, y0), (x1, y1)))
    return found


def balloons(svg: str) -> list[tuple[float, float, float]]:
    """Middle and radius of the balloons."""
    return [
        (float(item.get("cx", "")), float(item.get("cy", "")), float(item.get("r", "")))
        for item in root(svg).iter(f"{SVG}circle")
        if item.get("class") == "balloon"
    ]


def parts(svg: str, kind: str = "") -> list[str]:
    """The things drawn, those of a class when one is named; ghosts are none."""
    return [
        item.get("data-part", "")
        for item in root(svg).iter(f"{SVG}g")
        if item.get("data-part")
        and "ghost" not in (item.get("class") or "").split()
        and (not kind or kind in (item.get("class") or "").split())
    ]
