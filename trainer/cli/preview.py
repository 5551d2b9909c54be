"""What an author sees while a procedure is written: the drawing anew after each save, and what the checker finds.

A save that cannot be drawn changes nothing of the last drawing; what is wrong with it is told beside it.
"""

from __future__ import annotations

import time
from html import escape
from typing import TYPE_CHECKING

from trainer.checker.check import check_module
from trainer.drawing.scene import NoShapes
from trainer.errors import TrainerError
from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence
    from pathlib import Path

    from trainer.procedure.findings import Finding
    from trainer.procedure.model import Module

# How often a watched file is looked at, in seconds.
_PATIENCE = 0.4
# A page that is opened from a file has no server to tell it of a change: it loads itself again, so often, in seconds.
_AGAIN = 2
# More findings than these come from one slip at the top; mending that one shows the rest.
MOST_TOLD = 12


def look(path: Path, draw: Callable[[Module], str]) -> tuple[str, tuple[str, ...]]:
    """Return the drawing of a file as it stands now, "" when there is none, and what is wrong with it, line by line.

    Args:
        path: the procedure.
        draw: draws a module.
    """
    try:
        module = library.load(str(path))
    except TrainerError as problem:
        return "", (str(problem),)
    told = [said(finding) for finding in check_module(module)]
    more = len(told) - MOST_TOLD
    if more > 0:
        told = [*told[:MOST_TOLD], f"… and {more} more: trainer check {path}"]
    try:
        return draw(module), tuple(told)
    except NoShapes as problem:
        # Of a file that cannot be read that is no news.
        return "", tuple(told) or (str(problem),)
    except TrainerError as problem:
        return "", (*told, str(problem))
    except (ArithmeticError, LookupError, ValueError, TypeError) as problem:
        # A shape that is half written can be anything; the next save will tell.
        return "", (*told, f"This cannot be drawn yet ({problem}).")


def said(finding: Finding) -> str:
    """Return a finding in one line, as `trainer check` prints it."""
    return f"{finding.place}: {finding.signal} [{finding.code}] {finding.what} {finding.mend}"


def saves(path: Path) -> Iterator[None]:
    """Yield at once, and then each time the file has been saved; ends with Ctrl-C."""
    seen = None
    try:
        while True:
            try:
                stamp = path.stat().st_mtime_ns
            except OSError:  # some editors take a file away before they put the new one in its place
                stamp = None
            if stamp is not None and stamp != seen:
                seen = stamp
                yield
            time.sleep(_PATIENCE)
    except KeyboardInterrupt:
        return


def write(path: Path, text: str) -> None:
    """Write a file in one go: whoever looks at it sees the old one or the new one, never half of it."""
    half = path.with_name(f".{path.name}.half")
    half.write_text(text, encoding="utf-8")
    half.replace(path)


def page(svg: str, told: Sequence[str], name: str) -> str:
    """Return a page with the last drawing and what is wrong with the file now; it loads itself again."""
    lines = "".join(f"<li>{escape(line)}</li>" for line in told)
    state = f"<ol>{lines}</ol>" if told else "<p>Nothing to mend.</p>"
    return (
        '<!doctype html><html lang="en"><meta charset="utf-8">'
        f'<meta http-equiv="refresh" content="{_AGAIN}"><title>{escape(name)}</title>'
        "<style>body { margin: 24px; font: 16px/1.4 sans-serif; color-scheme: light dark; }</style>"
        f"<h1>{escape(name)}</h1>{state}{svg}</html>\n"
    )
