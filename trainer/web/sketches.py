"""The pictures of a question as a page puts them in: `exports.question_pictures` draws them for a phone and for a desk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer.drills.answer_forms import Arrange
from trainer.exports import question_pictures

if TYPE_CHECKING:
    from trainer.drills.question import Question
    from trainer.drills.sketch import Sketch
    from trainer.exports.question_pictures import TwoWidths
    from trainer.procedure.model import Module


@dataclass(frozen=True)
class Drawn:
    """One picture, drawn for each of two widths, as text and hatch do not scale; `desk` is empty when both are one."""

    phone: Markup
    desk: Markup


def sketches(question: Question, module: Module) -> dict[str, Drawn]:
    """Return the pictures of a question by their place: `question`, `row a`, `option a b` (row, then option).

    A picture that cannot be drawn is left out, and its words stand alone.
    """
    return {place: _marked_up(found) for place, found in question_pictures.pictures(question, module).items()}


def thumbnails(question: Question, module: Module) -> dict[str, str]:
    """Return the pictures of lines to be put in order, by line.

    They are no part of the page: eight of them weigh six times as much as all the rest, and nobody has to wait for them.
    """
    if not isinstance(question.form, Arrange):
        return {}
    drawn = {
        line.id: question_pictures.drawn_for(line.picture, module, question.size, "line", f"l{count}")
        for count, line in enumerate(question.form.lines)
        if line.picture is not None
    }
    return {name: picture.phone for name, picture in drawn.items() if picture is not None}


def drawn_for(asked: Sketch, module: Module, size: str, kind: str, prefix: str) -> Drawn | None:
    """Return a picture drawn for both widths, None when it cannot be drawn; as `question_pictures.drawn_for`."""
    found = question_pictures.drawn_for(asked, module, size, kind, prefix)
    return None if found is None else _marked_up(found)


def _marked_up(found: TwoWidths) -> Drawn:
    return Drawn(Markup(found.phone), Markup(found.desk))  # noqa: S704  # drawn by our own room from escaped names
