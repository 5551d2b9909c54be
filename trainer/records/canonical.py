"""JSON as it is kept: canonical text (RFC 8785), so that equal values are equal bytes and can be hashed.

What is read back has to be as strict: a member that stands twice, or a number that others would round, would let two
readers of the same signed bytes see different values.
"""

from __future__ import annotations

import json
from typing import Any

import rfc8785

from trainer.errors import TrainerError

_EXACT = 2**53 - 1


class NotCanonical(TrainerError):
    """A text is no JSON that can be kept: broken, ambiguous, or with numbers that are not exact."""

    def __init__(self, why: str) -> None:
        super().__init__(f"This is no JSON of a record: {why}.")


def written(value: Any) -> str:
    """Return plain JSON values as canonical text.

    Raises:
        ValueError: the value holds a float; what is kept uses integers of a named unit or decimal text.
    """
    _refuse_floats(value)
    return rfc8785.dumps(value).decode()


def read(text: str) -> Any:
    """Return the values of a kept text.

    Raises:
        NotCanonical: it is no JSON, a member stands twice, or a number is no whole number up to 2**53 - 1.
    """
    try:
        return json.loads(
            text,
            object_pairs_hook=_once,
            parse_int=_exact,
            parse_float=_no_fraction,
            parse_constant=_no_fraction,
        )
    except json.JSONDecodeError as problem:
        raise NotCanonical(f"{problem.msg} at character {problem.pos}") from problem
    except RecursionError as problem:
        raise NotCanonical("it is nested too deeply") from problem


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise NotCanonical(f"the member '{twice}' stands twice")
    return found


def _exact(digits: str) -> int:
    # A number of thousands of digits is refused before it is read: that would take long.
    if len(digits) > len(str(_EXACT)) + 1 or abs(int(digits)) > _EXACT:
        raise NotCanonical("a whole number lies beyond 2^53 - 1")
    return int(digits)


def _no_fraction(text: str) -> float:
    raise NotCanonical(f"'{text[:20]}' is no whole number; fractions are kept as text")


def _refuse_floats(value: Any) -> None:
    if isinstance(value, float):
        raise ValueError(f"a record holds no floats, but here is {value!r}")
    if isinstance(value, dict):
        for item in value.values():
            _refuse_floats(item)
    elif isinstance(value, list | tuple):
        for item in value:
            _refuse_floats(item)
