"""A short sheet on its way from drill to drill: its skills and the place in it travel in the address, nowhere else."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

# No id of a skill holds it, and an address need not hide it.
_BETWEEN = "~"
_MOST = 60
_LONGEST = 120


@dataclass(frozen=True)
class InTurn:
    """The skills of a short sheet and which of its drills is on, counted from 1."""

    skills: tuple[str, ...]
    at: int = 1

    @property
    def skill(self) -> str:
        """The skill whose turn it is."""
        return self.skills[self.at - 1]

    @property
    def following(self) -> InTurn | None:
        """The sheet one drill further on, None after the last."""
        return replace(self, at=self.at + 1) if self.at < len(self.skills) else None

    def query(self) -> dict[str, Any]:
        """Return what has to stand in an address to stay on the sheet."""
        return {"plan": _BETWEEN.join(self.skills), "at": self.at}


def in_turn_of(arguments: Mapping[str, str]) -> InTurn | None:
    """Return the short sheet that an address speaks of; None without one, or with one that makes no sense."""
    skills = tuple(name for name in arguments.get("plan", "").split(_BETWEEN) if 0 < len(name) <= _LONGEST)
    at = arguments.get("at", "1")
    if not 0 < len(skills) <= _MOST or not at.isdecimal() or not 1 <= int(at[:4]) <= len(skills):
        return None
    return InTurn(skills, int(at[:4]))
