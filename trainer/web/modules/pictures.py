"""Drawings on the sheet of a procedure, one for a phone and one for a desk."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.drawing import VIEWS
from trainer.procedure.model import SameRevision

if TYPE_CHECKING:
    from trainer.procedure.model import Module

# Widths in CSS pixels inside the frame of a sheet 360 and 1280 px wide.
PHONE, DESK = 336, 900


@dataclass(frozen=True)
class Pictures:
    """The same drawing for a phone and for a desk: text and hatch do not scale, so each is drawn for its width."""

    caption: str
    phone: Markup
    desk: Markup


def section_of(module: Module) -> Pictures | None:
    """Return the labelled section at the first size; None when the module gives its parts no shapes."""
    has_shapes = module.geometry is not None and bool(module.geometry.shapes)
    return _drawn(SameRevision(module)) if has_shapes and module.sizes else None


@lru_cache(maxsize=32)
def _drawn(keyed: SameRevision) -> Pictures:
    module = keyed.module
    size = module.sizes[0]
    # Drawn by our own room from escaped names.
    phone, desk = (
        Markup(VIEWS["section"].draw(module, size, width, prefix=f"section-{width}"))  # noqa: S704
        for width in (PHONE, DESK)
    )
    return Pictures(f"Section, {size}. Not to scale.", phone, desk)
