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
    """The same drawing for a phone and for a desk: text and hatch do not scale, so each is drawn for its width.

    `leads_to` is the sheet that shows it step by step: machine or station.
    """

    caption: str
    phone: Markup
    desk: Markup
    leads_to: str = "machine"


def section_of(module: Module) -> Pictures | None:
    """Return what the procedure is about, at its first size: the labelled section, else the station in service.

    None when the module gives neither shapes nor a station.
    """
    if not module.sizes or _view_of(module) is None:
        return None
    return _drawn(SameRevision(module))


def _view_of(module: Module) -> str | None:
    if module.geometry:
        return "section"
    return "station" if module.station else None


_CAPTIONS = {
    "section": "Section, {size}. Not to scale.",
    "station": "The station in service, before the first step. Not to scale.",
}


@lru_cache(maxsize=32)
def _drawn(keyed: SameRevision) -> Pictures:
    module = keyed.module
    view, size = _view_of(module), module.sizes[0]
    assert view is not None  # noqa: S101  # looked at before
    # Drawn by our own room from escaped names.
    phone, desk = (
        Markup(VIEWS[view].draw(module, size, width, prefix=f"{view}-{width}"))  # noqa: S704
        for width in (PHONE, DESK)
    )
    leads_to = "station" if view == "station" else "machine"
    return Pictures(_CAPTIONS[view].format(size=size), phone, desk, leads_to)
