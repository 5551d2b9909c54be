"""What is drawn beside a marked answer: the moment when it goes wrong, the order asked for beside the one given."""

from __future__ import annotations

from typing import TYPE_CHECKING

from markupsafe import Markup

from trainer import drills
from trainer.drawing import VIEWS
from trainer.web.sketches import drawn_for

if TYPE_CHECKING:
    from trainer.actions.views import AttemptView
    from trainer.procedure.model import Module
    from trainer.web.sketches import Drawn

# CSS pixels within the signal panel of a sheet 360 px wide.
WIDTH = 300


def moment_of(view: AttemptView, module: Module) -> Markup:
    """Return the drawing, empty when the answer lets nothing loose or the procedure gives its parts no shapes."""
    if view.mark.right or module.geometry is None or not module.geometry.shapes:
        return Markup()
    asked = view.question
    found = drills.moment(module, asked.kind, asked.size, asked.seed, view.answer)
    if found is None:
        return Markup()
    drawn = VIEWS["incident"].draw(
        module, asked.size, WIDTH, step=found.step, done=found.done, energy=found.energy, prefix="moment"
    )
    return Markup(drawn)  # noqa: S704  # drawn by our own room from escaped names


def shown_beside(view: AttemptView, module: Module) -> tuple[tuple[str, Drawn], ...]:
    """Return the pictures beside a marked answer, each with the words that say the same."""
    asked = view.question
    found = drills.shown(module, asked.kind, asked.size, asked.seed, view.answer)
    drawn = (
        (one.words, drawn_for(one.picture, module, asked.size, "beside", f"b{count}"))
        for count, one in enumerate(found)
    )
    return tuple((words, picture) for words, picture in drawn if picture is not None)
