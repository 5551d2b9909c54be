"""Published values, each with its source beside it in `published.json`."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

_ALL: dict[str, list[dict[str, Any]]] = json.loads(
    Path(__file__).with_name("published.json").read_text(encoding="utf-8")
)


@dataclass(frozen=True)
class Published:
    """One value: what is given, what has to come out, and who published it."""

    id: str
    source: str
    given: dict[str, Any]
    expected: Any


def values(what: str) -> list[Published]:
    """Return all values of one computation."""
    return [Published(**entry) for entry in _ALL[what]]
