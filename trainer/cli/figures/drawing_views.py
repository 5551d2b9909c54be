"""Every view of what is shipped: how large its pictures are, and how long one takes against reading it back as XML."""

from __future__ import annotations

import gzip
from functools import partial
from inspect import signature
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

from trainer.cli.measuring.timing import Goal, Reading, slower
from trainer.drawing import VIEWS
from trainer.drawing.defects import FORMS
from trainer.errors import TrainerError
from trainer.procedure import library, tightening

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from trainer.cli.measuring.timing import Effort
    from trainer.procedure.model import Module

    Options = Mapping[str, Any]

TITLE = "Draw the views of what is shipped"

WIDTHS = (360, 1200)
LARGEST, LARGEST_SENT = 40 * 1024, 11_000
"""Bytes of a picture, and of one as it is sent, packed by gzip."""
TIMES = 5
"""How many times as long as reading the same SVG with the standard XML parser a drawing may take."""


KNOWN = ("state", "thumbnail", "incident", "detail", "way_round")
"""Views that need options, with those given below."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield size and time of each view at each width, for the picture of it that has most bytes."""
    modules = [library.load(name) for name in library.shipped_procedures()]
    for view in VIEWS:
        for width in WIDTHS:
            yield from of_view(view, width, modules, effort)


def of_view(view: str, width: int, modules: list[Module], effort: Effort) -> Iterator[Reading]:
    """Yield the two readings of a view at a width: bytes against what they may be, time against the parser's."""
    what = f"{TITLE}: {view}, {width} px"
    drawn = {svg: draw for draw in pictures(view, width, modules) if (svg := _tried(draw))}
    if not drawn:
        yield Reading(what, note="nothing that is shipped has such a picture.")
        return
    svg = max(drawn, key=len)
    size = len(svg.encode())
    sent = max(len(gzip.compress(one.encode(), 9)) for one in drawn)
    share = max(size / LARGEST, sent / LARGEST_SENT)
    note = f"{len(drawn)} pictures, at most {size / 1024:.1f} KiB, {sent / 1000:.1f} kB packed."
    yield Reading(f"{what}: bytes by those allowed", ratio=share, goal=Goal("at most", 1), note=note)
    timed = slower(f"{what}: time by that of the XML parser", partial(_read, svg), drawn[svg], effort, TIMES)
    yield timed


def pictures(view: str, width: int, modules: list[Module]) -> Iterator[Callable[[], str]]:
    """Yield a way to draw each picture that is looked at: of every module, at its last size."""
    for module in modules:
        size = module.sizes[-1] if module.sizes else None
        for options in _options(view, module, size or ""):
            yield partial(VIEWS[view].draw, module, size, width, **options)


def _options(view: str, module: Module, size: str) -> Iterator[Options]:
    """Yield the options of the pictures of a view; one without any for a view that needs none."""
    steps = list(module.steps)
    shapes = module.geometry.shapes if module.geometry else {}
    parts = [part for part in module.parts.values() if part.id in shapes]
    if view in ("state", "station"):
        yield from ({"after": step} for step in steps[::5])
    elif view in ("thumbnail", "incident"):
        yield from ({"step": step} for step in steps[::5])
    elif view == "detail":
        yield from ({"parts": (part.id,)} for part in parts[::4])
    elif view == "way_round":
        yield from ({"part": part.id} for part in parts if part.way_round)
    elif view == "bolts":
        sets = [f.id for f in module.fasteners.values() if tightening.has_order(f, size)]
        yield from ({"part": name, "pattern": True} for name in sets)
    elif view == "lifting":
        lifted = [part.id for part in module.parts.values() if part.handled and part.mass]
        yield from ({"part": name, **more} for name in lifted for more in ({}, {"angle": 60}))
    elif view == "defect":
        yield from ({"form": form.value} for form in FORMS)
    elif not _needed(view):
        yield {}


def _needed(view: str) -> list[str]:
    """Return the options without which a view draws nothing; module, size and width are none of them."""
    taken = signature(VIEWS[view].draw).parameters.values()
    return [one.name for one in taken if one.kind is one.KEYWORD_ONLY and one.default is one.empty]


def _tried(draw: Callable[[], str]) -> str:
    """Return the drawing, empty when the module has no such picture."""
    try:
        return draw()
    except TrainerError:
        return ""


def _read(svg: str) -> None:
    ElementTree.fromstring(svg)  # noqa: S314  # our own drawing
