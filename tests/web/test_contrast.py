"""Letters and lines against the sheet they stand on, by the formula of the standard."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trainer.web import assets

CSS = Path(assets.__file__).parent / "static" / "css"
HEX = re.compile(r"--([\w-]+): (#[0-9a-f]{3,6});")
# WCAG 2.2: 1.4.3 asks 4.5 to 1 of text, 1.4.11 asks 3 to 1 of what a control or a picture is known by. `--faint` draws what
# is switched off and the grid behind a plot, which both leave out. Of pictures: the accent, and the two pressures of gas.
TEXT = ("ink", "thin", "pencil")
LINES = ("hatch",)


def _ratio(one: str, other: str) -> float:
    """Return the contrast ratio of two colours (WCAG 2.2, "contrast ratio" and "relative luminance")."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = "".join(2 * digit for digit in digits) if len(digits) == 3 else digits
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _colours(name: str) -> dict[str, dict[str, str]]:
    """Return the colours of a style sheet by day, by night and, where it says so, on paper."""
    text = (CSS / name).read_text(encoding="utf-8")
    found: dict[str, dict[str, str]] = {"day": {}, "night": {}, "paper": {}}
    for media, block in re.findall(r"(@media [^{]+\{\s*)?:root \{(.*?)\}", text, re.DOTALL):
        when = "night" if "dark" in media else "paper" if "print" in media else "day"
        found[when] |= dict(HEX.findall(block))
    return found


def test_the_formula_is_that_of_the_standard() -> None:
    # WCAG 2.2: black on white is 21 to 1. #767676 on white is 4.54 to 1, the lightest grey that passes (WebAIM).
    assert _ratio("#000", "#ffffff") == pytest.approx(21)
    assert _ratio("#767676", "#fff") == pytest.approx(4.54, abs=0.005)
    assert _ratio("#777777", "#fff") < 4.5


@pytest.mark.parametrize("when", ["day", "night"])
def test_lines_and_letters_stand_out_by_day_and_night(when: str) -> None:
    sheet = _colours("sheet.css")[when]
    drawing = _colours("drawing.css")[when]
    paper = sheet["paper"]
    assert {name: r for name in TEXT if (r := _ratio(sheet[name], paper)) < 4.5} == {}
    assert {name: r for name in LINES if (r := _ratio(sheet[name], paper)) < 3} == {}
    assert _ratio(drawing["accent"], paper) >= 4.5
    # Outlines are ink; they have to stand out from every face that they bound.
    faces = ("cast", "steel", "bronze", "clear", "ptfe", "accent-fill")
    assert {name: r for name in faces if (r := _ratio(sheet["ink"], drawing[name])) < 3} == {}
    assert _ratio(drawing["inlet"], drawing["outlet"]) >= 3
