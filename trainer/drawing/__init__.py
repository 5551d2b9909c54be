"""Pictures: SVG drawn from the shapes of a module, the same bytes every time.

`VIEWS` holds every view by its name; each has `draw(module, size, width, **options)` and returns the SVG as text. A view
is one file in `drawing/views` and one line here. Colours come from `web/static/css/drawing.css` alone.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.views import (
    bolts,
    castle_nut,
    defect,
    detail,
    exploded,
    incident,
    lifting,
    section,
    state,
    station,
    thumbnail,
    way_round,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drawing.view import View

VIEWS: Mapping[str, View] = {
    "section": section,
    "exploded": exploded,
    "state": state,
    "thumbnail": thumbnail,
    "detail": detail,
    "way_round": way_round,
    "incident": incident,
    "bolts": bolts,
    "castle_nut": castle_nut,
    "lifting": lifting,
    "station": station,
    "defect": defect,
}
