"""The pictures of a question, drawn as a page shows them, with every name taken out.

A picture in a question must tell by its lines alone. Title, description and the names of parts in it are left out, ids
are counted through, and it is hidden from a screen reader: the words beside it say the same to whoever cannot see it.
The page and the inspector's packet take their pictures from here, so that what was asked is shown again as it was.
"""

from __future__ import annotations

import logging
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.drawing import VIEWS
from trainer.drills.answer_forms import Choose, NextStep
from trainer.errors import TrainerError
from trainer.procedure.model import SameRevision

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from trainer.drills.question import Question
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Module

# CSS pixels on a sheet 360 and 1280 px wide, by where a picture stands. Options stand side by side, as small on a desk
# as on a phone: a close-up needs no more, and a sheet with five rows of them goes over a slow link.
WIDTHS: Mapping[str, tuple[int, int]] = {
    "question": (300, 420),
    "whole": (328, 480),
    "row": (300, 420),
    "option": (140, 140),
    "answer": (110, 110),
    "line": (54, 54),
    "beside": (260, 260),
}
# A view that needs more room than its place gives it: a station is as wide as the sheet, upright on a phone.
_OF_VIEW: Mapping[tuple[str, str], tuple[int, int]] = {
    ("station", "question"): (316, 1060),
    ("station", "beside"): (328, 328),
}
# What a drawing says beside its lines, as `drawing.svg` writes it.
_SAID = re.compile(r"<title[^>]*>[^<]*</title>|<desc[^>]*>[^<]*</desc>")
_NAMED = re.compile(r' (?:data-part|aria-labelledby|aria-describedby|aria-label|role|tabindex)="[^"]*"')


@dataclass(frozen=True)
class TwoWidths:
    """One picture, drawn for each of two widths, as text and hatch do not scale; `desk` is empty when both are one."""

    phone: str
    desk: str


def pictures(question: Question, module: Module) -> dict[str, TwoWidths]:
    """Return the pictures of a question by their place: `question`, `row a`, `option a b` (row, then option).

    A picture that cannot be drawn is left out, and its words stand alone.
    """
    found: dict[str, TwoWidths] = {}
    for count, (place, kind, asked) in enumerate(_places(question)):
        drawn = drawn_for(asked, module, question.size, kind, f"s{count}")
        if drawn is not None:
            found[place] = drawn
    return found


def _places(question: Question) -> Iterator[tuple[str, str, Sketch]]:
    form = question.form
    if question.picture is not None:
        # The whole machine with numbers on it needs more room than a detail.
        kind = "whole" if question.picture.view == "section" else "question"
        yield "question", kind, question.picture
    if isinstance(form, NextStep):
        for option in form.options:
            if option.picture is not None:
                yield f"option {option.id}", "option", option.picture
    if isinstance(form, Choose):
        for row in form.rows:
            if row.picture is not None:
                yield f"row {row.id}", "row", row.picture
            for option in row.options:
                if option.picture is not None:
                    yield f"option {row.id} {option.id}", "option", option.picture


def drawn_for(asked: Sketch, module: Module, size: str, kind: str, prefix: str) -> TwoWidths | None:
    """Return a picture drawn for both widths, None when it cannot be drawn.

    Args:
        asked: what to draw.
        module: the procedure at the question's revision.
        size: the question's size.
        kind: where it stands; a key of WIDTHS.
        prefix: in front of every id, the same for whatever answer is right.
    """
    narrow, wide = _OF_VIEW.get((asked.view, kind), WIDTHS[kind])
    try:
        phone = _bare(SameRevision(module), size, asked, narrow, f"{prefix}p")
        desk = _bare(SameRevision(module), size, asked, wide, f"{prefix}d") if wide != narrow else ""
    except TrainerError as problem:
        logging.getLogger(__name__).warning("no picture of %s in %s: %s", asked.view, module.id, problem)
        return None
    return TwoWidths(phone, desk)


@lru_cache(maxsize=512)
def _bare(keyed: SameRevision, size: str, asked: Sketch, width: int, prefix: str) -> str:
    svg = VIEWS[asked.view].draw(keyed.module, size or None, width, prefix=prefix, **asked.keywords)
    return without_names(svg)


def without_names(svg: str) -> str:
    """Return a drawing that says nothing in words, for a place where the words stand beside it."""
    lines = _NAMED.sub("", _SAID.sub("", svg))
    return lines.replace("<svg ", '<svg aria-hidden="true" ', 1)
