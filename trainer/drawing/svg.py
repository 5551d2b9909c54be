"""Writing SVG: plain strings, numbers that are short and finite, no style attribute and no style sheet inside."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from math import isfinite

from trainer.errors import TrainerError


class NotANumber(TrainerError):
    """A drawing would hold a number that is none."""

    def __init__(self, value: float) -> None:
        super().__init__(
            f"A drawing cannot hold the number {value}: a shape gives no size or none that ends."
        )


# From the middle of a line of text down to its baseline: about 0.35 of 13 px, the middle size.
_BASELINE = 4.6


def number(value: float) -> str:
    """Return a number with one decimal at most.

    Raises:
        NotANumber: it is infinite or no number.
    """
    # Half of the time of a drawing is spent here.
    try:
        finite = isfinite(value)
    except TypeError:
        finite = False
    if not finite:
        raise NotANumber(value)
    text = f"{value:.1f}"
    if text[-1] != "0":
        return text
    text = text[:-2]
    return "0" if text == "-0" else text


def pair(x: float, y: float) -> str:
    """Return two numbers of path data, as short as can be."""
    return spaced(number(x), number(y))


def spaced(first: str, second: str) -> str:
    """Return two written numbers; a minus parts them by itself."""
    return first + second if second.startswith("-") else f"{first} {second}"


def tag(name: str, *content: str, **attributes: str | float | None) -> str:
    """Return an element; `class_` stands for `class`, `data_part` for `data-part`; None leaves an attribute out."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(value if isinstance(value, str) else number(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(content)
    return f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>"


def path(data: str, class_: str | None = None, **attributes: str | float | None) -> str:
    """Return a path, or nothing when there is nothing to draw."""
    return tag("path", class_=class_, d=data, **attributes) if data else ""


def words(x: float, y: float, said: str, class_: str | None, **attributes: str | float | None) -> str:
    """Return a line of text whose middle is at `y`."""
    return tag("text", escape(said, quote=False), x=x, y=y + _BASELINE, class_=class_, **attributes)


@dataclass(frozen=True)
class Picture:
    """A drawing as it is handed out: its size in px, what it is called and what it shows, and its content.

    `weight` names the set of line widths in the style sheet: wide, phone, small or detail.
    """

    prefix: str
    width: float
    height: float
    title: str
    description: str
    content: str
    weight: str = "wide"
    controls: bool = False

    def text(self) -> str:
        """Return the SVG."""
        title, description = f"{self.prefix}-t", f"{self.prefix}-d"
        size = {"width": self.width, "height": self.height}
        return tag(
            "svg",
            tag("title", escape(self.title, quote=False), id=title),
            tag("desc", escape(self.description, quote=False), id=description),
            self.content,
            xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {number(self.width)} {number(self.height)}",
            class_=f"drawing {self.weight}",
            role="group" if self.controls else "img",
            aria_labelledby=title,
            aria_describedby=description,
            **size,
        )
