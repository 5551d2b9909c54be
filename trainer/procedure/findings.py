"""A finding: what is wrong with a procedure file, where, and how to mend it. Findings are values, not exceptions."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple


class Signal(StrEnum):
    """How much a finding matters: an error keeps a module out of use, a warning and advice do not."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


class Place(NamedTuple):
    """A spot in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        """Return `file:line:column`, the form editors jump to."""
        return f"{self.file}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong: its code, how much it matters, where it is, what is wrong and how to mend it."""

    code: str
    signal: Signal
    place: Place
    what: str
    mend: str
