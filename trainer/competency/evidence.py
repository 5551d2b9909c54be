"""From marked attempts to what is shown and what is still missing; skills are known by their ids only.

The rule here is one of practice: a skill is shown when its last few attempts, each on a question not seen
before, were all right. It states no probability and is not by itself a qualification: a person evaluates and
another one signs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from trainer.competency.policy import Policy


@dataclass(frozen=True)
class Skill:
    """Something to be shown: `critical` when its errors can hurt somebody.

    `abnormal` skills are about recognising and reacting to abnormal operating conditions; they are counted by
    themselves (49 CFR 192.803, "qualified": can recognise and react to abnormal operating conditions).
    """

    id: str
    title: str
    kind: str
    critical: bool = False
    abnormal: bool = False


@dataclass(frozen=True)
class Attempt:
    """What of a marked attempt counts: the skill, the question's identity, the mark and the time."""

    skill: str
    question: str
    right: bool
    critical: bool
    at: datetime


@dataclass(frozen=True)
class Shown:
    """How far a skill has been shown."""

    skill: Skill
    attempts: int
    clean: int
    in_a_row: int
    needed: int
    last: datetime | None

    @property
    def is_shown(self) -> bool:
        """Enough right ones in a row, up to the last one."""
        return self.in_a_row >= self.needed


@dataclass(frozen=True)
class Tally:
    """How many skills are shown, of how many."""

    shown: int
    of: int


def tallies(shown: Iterable[Shown]) -> tuple[Tally, Tally]:
    """Return the tally of the ordinary skills and that of those about abnormal conditions, each by itself."""
    items = tuple(shown)
    ordinary = [item for item in items if not item.skill.abnormal]
    abnormal = [item for item in items if item.skill.abnormal]
    return (
        Tally(sum(item.is_shown for item in ordinary), len(ordinary)),
        Tally(sum(item.is_shown for item in abnormal), len(abnormal)),
    )


def summarise(skills: Iterable[Skill], attempts: Iterable[Attempt], policy: Policy) -> tuple[Shown, ...]:
    """Return for each skill how far it is shown.

    Args:
        skills: the skills of the module, in the order they are listed.
        attempts: marked attempts in the order of time; only the first answer to a question counts, because
            the second is given with the explanation in mind.
        policy: how many in a row are asked for.
    """
    seen: set[str] = set()
    of_skill: dict[str, list[Attempt]] = {}
    for attempt in attempts:
        if attempt.question in seen:
            continue
        seen.add(attempt.question)
        of_skill.setdefault(attempt.skill, []).append(attempt)
    return tuple(_shown(skill, of_skill.get(skill.id, []), policy) for skill in skills)


def _shown(skill: Skill, attempts: list[Attempt], policy: Policy) -> Shown:
    in_a_row = 0
    for attempt in reversed(attempts):
        if not attempt.right:
            break
        in_a_row += 1
    return Shown(
        skill=skill,
        attempts=len(attempts),
        clean=sum(attempt.right for attempt in attempts),
        in_a_row=in_a_row,
        needed=policy.clean_in_a_row,
        last=attempts[-1].at if attempts else None,
    )
