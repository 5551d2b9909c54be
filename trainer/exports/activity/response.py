"""Whether a response is one of those that a pattern of right responses names.

Source: ADL, Experience API 1.0.3, Part Two, 2.4.4.1, response patterns. That the order of what is chosen or paired says
nothing is our reading: the standard gives order to sequencing alone.
"""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

_AND, _GOES_WITH, _TO = "[,]", "[.]", "[:]"
_PREFIX = re.compile(r"\{(case_matters|order_matters|lang)=([^}]*)\}")


def is_right(kind: str, patterns: Sequence[str] | None, response: str) -> bool | None:
    """Return whether one of the patterns names the response, None without patterns: any response is right then.

    Args:
        kind: the type of interaction.
        patterns: each a whole right response; an empty list says that none is right.
        response: what was answered.
    """
    if patterns is None:
        return None
    matches = _MATCHES.get(kind, _same)
    return any(matches(pattern, response) for pattern in patterns)


def _same(pattern: str, response: str) -> bool:
    return pattern == response


def _sequence(pattern: str, response: str) -> bool:
    return pattern.split(_AND) == response.split(_AND)


def _set(pattern: str, response: str) -> bool:
    return sorted(pattern.split(_AND)) == sorted(response.split(_AND))


def _number(pattern: str, response: str) -> bool:
    least, parted, most = pattern.partition(_TO)
    try:
        number = Decimal(response)
        if not parted:
            return number == Decimal(least)
        return (not least or Decimal(least) <= number) and (not most or number <= Decimal(most))
    except InvalidOperation:
        return False


def _steps(pattern: str, response: str) -> bool:
    """Compare what was done at each step; a step that is left out of the pattern may be anything."""
    settings, wanted = _settings(pattern)
    asked = [part.partition(_GOES_WITH) for part in wanted.split(_AND)]
    done = [part.partition(_GOES_WITH) for part in response.split(_AND)]
    if settings.get("order_matters", "true") != "true":
        asked, done = sorted(asked), sorted(done)
    return len(asked) == len(done) and all(
        step in ("", other) and (value in ("", given) or _number(value, given))
        for (step, _, value), (other, _, given) in zip(asked, done, strict=True)
    )


def _words(pattern: str, response: str) -> bool:
    """Compare texts: case says nothing and order does, unless the pattern says otherwise."""
    settings, wanted = _settings(pattern)
    expected, given = wanted.split(_AND), _settings(response)[1].split(_AND)
    if settings.get("case_matters", "false") != "true":
        expected, given = ([text.casefold() for text in texts] for texts in (expected, given))
    if settings.get("order_matters", "true") != "true":
        expected, given = sorted(expected), sorted(given)
    return expected == given


def _settings(text: str) -> tuple[dict[str, str], str]:
    """Return what stands in braces in front of a text, and the text."""
    found = {}
    while prefix := _PREFIX.match(text):
        found[prefix[1]] = prefix[2]
        text = text[prefix.end() :]
    return found, text


_MATCHES: Mapping[str, Callable[[str, str], bool]] = {
    "choice": _set,
    "matching": _set,
    "sequencing": _sequence,
    "numeric": _number,
    "fill-in": _words,
    "long-fill-in": _words,
    "performance": _steps,
}
