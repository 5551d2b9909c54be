"""The page of the drawing language: how it is written, and what is drawn from it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from markupsafe import Markup

from trainer.drawing.examples import GROUPS
from trainer.web.pages import Page, TitleBlock


@dataclass(frozen=True)
class Construct:
    """One construct: its title, a sentence, how it is written, and its pictures with what stands below each."""

    title: str
    words: str
    written: str
    pictures: tuple[tuple[Markup, str], ...]


@dataclass(frozen=True)
class DrawingLanguagePage(Page):
    """Every construct of the drawing language, in groups."""

    TEMPLATE: ClassVar[str] = "modules/language.html"
    groups: tuple[tuple[str, tuple[Construct, ...]], ...]


def drawing_language_page() -> DrawingLanguagePage:
    """Return the page; its pictures are drawn by the code that draws the procedures."""
    return DrawingLanguagePage(
        TitleBlock(title="The drawing language", kind="Reference for authors"), _groups()
    )


@lru_cache(maxsize=1)
def _groups() -> tuple[tuple[str, tuple[Construct, ...]], ...]:
    return tuple(
        (
            title,
            tuple(
                Construct(
                    one.title,
                    one.words,
                    one.written,
                    # Drawn by our own room from escaped names.
                    tuple((Markup(svg), said) for svg, said in one.drawn(f"l{group}-{number}-")),  # noqa: S704
                )
                for number, one in enumerate(examples)
            ),
        )
        for group, (title, examples) in enumerate(GROUPS)
    )
