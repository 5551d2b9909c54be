"""How values are printed on a page: days, times, quantities, counts."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from trainer.trade.units import THIN_SPACE

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date, datetime, tzinfo

# A sentence ends at a full stop, question or exclamation mark followed by a space and a capital or figure.
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z0-9])")
_SHORT_REVISION = 8
# In the lettering of the sheet a no-break space measures 0.2 em, as a thin space should; the narrow no-break
# space that other prints use measures 0.1 em there and runs number and unit together.
_THIN_HERE = "\u00a0"
_SIZE = re.compile(r"\b(DN|NPS) (?=\d)")
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[%°]|(?:N·m|lbf|kN|MPa|kPa|bar|psi|mm|kg|lb|s|min|h|m|g|N)\b)")


def day(value: date | None) -> str:
    """Return a day as 2027-03-22, or nothing."""
    return value.isoformat()[:10] if value else ""


def month_day(value: date | None) -> str:
    """Return a day as 03-22, or nothing."""
    return value.isoformat()[5:10] if value else ""


def moment_in(zone: tzinfo, value: datetime | None) -> str:
    """Return a time as 2027-03-22 15:32 CET, or nothing: told in a zone, with the name it has there then; kept in UTC."""
    if value is None:
        return ""
    there = value.astimezone(zone)
    name = there.tzname() or ""
    # Zones without letters are called by their offset, as in -03.
    return f"{there:%Y-%m-%d %H:%M} {'UTC' if name[:1] in '+-' else ''}{name}"


def short_revision(value: str) -> str:
    """Return the first figures of a revision: enough to tell two apart by eye."""
    return value[:_SHORT_REVISION]


def first_sentence_bold(text: str) -> Markup:
    """Return the text with its first sentence in bold: what happens stands out from why."""
    first, *rest = _SENTENCE_END.split(units_close(text), maxsplit=1)
    return Markup("<b>{}</b>{}").format(first, "".join(f" {part}" for part in rest))


def units_close(text: str) -> str:
    """Return the text with a thin space that does not break between number and unit, and inside a size."""
    closed = _NUMBER_AND_UNIT.sub(_THIN_HERE, text).replace(THIN_SPACE, _THIN_HERE)
    return _SIZE.sub(lambda size: size[1] + _THIN_HERE, closed)


def count(number: int, one: str, many: str = "") -> str:
    """Return "1 module", "3 modules"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def with_breaks(text: str) -> Markup:
    """Return text with its line breaks kept."""
    return Markup("<br>").join(escape(line) for line in text.splitlines())


def capital(text: str) -> str:
    """Return text with a capital at its start."""
    return text[:1].upper() + text[1:]


FILTERS: dict[str, Callable[..., object]] = {
    "capital": capital,
    "count": count,
    "day": day,
    "first_sentence_bold": first_sentence_bold,
    "month_day": month_day,
    "short_revision": short_revision,
    "units_close": units_close,
    "with_breaks": with_breaks,
}
