"""A drawing as a file of its own: with the rules of the style sheet in it, as no page stands round it."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

# The few colours of the sheet, and its type.
SHEET = """
:root { --paper: #fcfbf7; --ink: #15202b; --thin: #4a5763; --hatch: #5f6d7b; --pencil: #1d4f9e; }
@media (prefers-color-scheme: dark) {
  :root { --paper: #0e1b2a; --ink: #e6edf3; --thin: #a3b5c6; --hatch: #7690a8; --pencil: #8fbaff; }
}
@media print { :root { --paper: #fff; --ink: #000; --thin: #333; --hatch: #555; --pencil: #000; } }
.drawing { background: var(--paper); font-family: "Barlow Semi Condensed", "DejaVu Sans Condensed", sans-serif; }
"""
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_MEDIA = re.compile(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*\s*\}")
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_CLASS = re.compile(r"\.([A-Za-z][\w-]*)")
_VARIABLE = re.compile(r"(--[\w-]+):([^;]*);?")


@cache
def style_sheet() -> str:
    """Return the style sheet that colours every drawing."""
    path = files("trainer") / "web" / "static" / "css" / "drawing.css"
    return path.read_text(encoding="utf-8")


def standing_alone(svg: str) -> str:
    """Return a drawing with the whole style sheet in it: in the light, in the dark and printed."""
    return _with_style(svg, SHEET + style_sheet())


def by_day(svg: str) -> str:
    """Return a drawing as it is seen in the light, with the rules that it needs and no others: one of many files."""
    used = {name for found in re.findall(r'class="([^"]*)"', svg) for name in found.split()}
    rules = [(selectors, body) for selectors, body in _rules_by_day() if _may_match(selectors, used)]
    drawn = "".join(f"{selectors}{{{body}}}" for selectors, body in rules)
    return _with_style(svg, _variables_of(drawn) + drawn)


@cache
def _rules_by_day() -> tuple[tuple[str, str], ...]:
    text = _MEDIA.sub("", _COMMENT.sub("", SHEET + style_sheet()))
    return tuple((selectors.strip(), body.strip()) for selectors, body in _RULE.findall(text))


def _may_match(selectors: str, used: set[str]) -> bool:
    """Return whether one of some selectors can match something that carries no classes but these."""
    if selectors == ":root":
        return False
    return any(set(_CLASS.findall(one)) <= used for one in selectors.split(","))


def _variables_of(rules: str) -> str:
    """Return the block of the colours that rules name."""
    known = {
        name: value.strip()
        for selectors, body in _rules_by_day()
        if selectors == ":root"
        for name, value in _VARIABLE.findall(body)
    }
    named = sorted(name for name in known if f"var({name})" in rules)
    return ":root{" + "".join(f"{name}:{known[name]};" for name in named) + "}"


def _with_style(svg: str, rules: str) -> str:
    head, end, rest = svg.partition(">")
    return f"{head}{end}<style>{rules.replace('&', '&amp;').replace('<', '&lt;')}</style>{rest}"
