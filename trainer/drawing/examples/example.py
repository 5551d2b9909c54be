"""One example of the drawing language: a piece of a procedure as an author writes it, and what is drawn from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from trainer.drawing import VIEWS
from trainer.errors import TrainerError
from trainer.procedure.library import read_module

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.procedure.model import Module

# What every procedure has, besides what an example is about.
_HEAD = "module: example\ntitle: An example\nsummary: Invented.\ncovered_task: T-00\n"
_SIZES, _STEPS = "sizes: [S]\n", "steps: [{id: look, do: Look at it}]\n"


class ExampleAtFault(TrainerError):
    """An example cannot be read as a procedure."""

    def __init__(self, title: str, problems: Sequence[object]) -> None:
        super().__init__(f"The example '{title}' is at fault: {'; '.join(map(str, problems))}.")


@dataclass(frozen=True)
class Seen:
    """A picture of an example: the view, its options, its width in px, and what stands below it."""

    view: str = "section"
    options: tuple[tuple[str, Any], ...] = (("labels", False),)
    width: int = 260
    caption: str = ""
    size: str | None = None


def seen(view: str, caption: str = "", *, width: int = 260, size: str | None = None, **options: Any) -> Seen:
    """Return a picture by its view and options."""
    return Seen(view, tuple(options.items()), width, caption, size)


@dataclass(frozen=True)
class Example:
    """A construct of the language: its title, a sentence about it, how it is written, and its pictures."""

    title: str
    words: str
    written: str
    pictures: tuple[Seen, ...] = (Seen(),)

    @property
    def text(self) -> str:
        """The whole file: what is written, with the head that every procedure has."""
        sizes = "" if "sizes:" in self.written else _SIZES
        steps = "" if "steps:" in self.written else _STEPS
        return f"{_HEAD}{sizes}{self.written}{steps}"

    def module(self) -> Module:
        """Return it as a procedure.

        Raises:
            ExampleAtFault: it cannot be read, which is for us to mend.
        """
        return _read(self.title, self.text)

    def drawn(self, prefix: str) -> list[tuple[str, str]]:
        """Return its pictures as SVG, each with its caption.

        Args:
            prefix: in front of every id; a number follows it.
        """
        found = []
        for count, picture in enumerate(self.pictures, start=1):
            draw = VIEWS[picture.view].draw
            options = dict(picture.options)
            svg = draw(self.module(), picture.size, picture.width, prefix=f"{prefix}{count}", **options)
            found.append((svg, picture.caption))
        return found


@lru_cache(maxsize=128)
def _read(title: str, text: str) -> Module:
    module = read_module(text, "example.yaml")
    if module.problems:
        raise ExampleAtFault(title, module.problems)
    return module
