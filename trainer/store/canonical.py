"""JSON as it is kept: canonical text (RFC 8785), so that equal values are equal bytes and can be hashed."""

from __future__ import annotations

import json
from typing import Any

import rfc8785


def written(value: Any) -> str:
    """Return plain JSON values as canonical text.

    Raises:
        ValueError: the value holds a float; what is kept uses integers of a named unit or decimal text.
    """
    _refuse_floats(value)
    return rfc8785.dumps(value).decode()


def read(text: str) -> Any:
    """Return the values of a kept text."""
    return json.loads(text)


def _refuse_floats(value: Any) -> None:
    if isinstance(value, float):
        raise ValueError(f"a record holds no floats, but here is {value!r}")
    if isinstance(value, dict):
        for item in value.values():
            _refuse_floats(item)
    elif isinstance(value, list | tuple):
        for item in value:
            _refuse_floats(item)
