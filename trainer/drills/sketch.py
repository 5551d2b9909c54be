"""A picture that a question shows, by the name of its view: drills know nothing of how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trainer.procedure.model import Module


@dataclass(frozen=True)
class Sketch:
    """A picture by a view of `drawing.VIEWS` and that view's own options; module and size are those of the question.

    Options are hashable, so that a picture drawn once is drawn once. They may hold the answer (which part lies the
    wrong way round) and never leave the program: whoever draws the picture takes every name out of it. What it shows
    stands in the words beside it too, or it does not matter to the answer.
    """

    view: str
    options: tuple[tuple[str, Any], ...] = ()

    @property
    def keywords(self) -> dict[str, Any]:
        """The options as the view takes them."""
        return dict(self.options)


@dataclass(frozen=True)
class Shown:
    """A picture beside a marked answer, and the words that say the same."""

    words: str
    picture: Sketch


def sketch(view: str, **options: Any) -> Sketch:
    """Return a picture by its view and options."""
    return Sketch(view, tuple(options.items()))


def has_shape(module: Module, thing: str) -> bool:
    """Tell whether a procedure says what a part or fastener looks like."""
    return module.geometry is not None and thing in module.geometry.shapes
