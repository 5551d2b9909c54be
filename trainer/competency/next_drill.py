"""Which drill comes next, and why; and a short sheet of drills that mixes skills.

First what can hurt somebody and is not shown, then what was shown so long ago that it is due again, then whatever tells
most in a minute. Of equals what was practised longest ago, then the first of the module.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING

from trainer.competency.information import information

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from trainer.competency.evidence import Shown, Skill
    from trainer.competency.policy import Policy

# A sheet mixes this many skills (own choice): fewer is crowding, more leaves none of them time.
_MIXED = 3


class Rank(IntEnum):
    """Why a skill comes, in the order in which reasons go before each other."""

    CAN_HURT = 0
    DUE = 1
    TELLS_MOST = 2


@dataclass(frozen=True)
class Prospect:
    """A skill as a choice: how far it is shown, how surely it is known, and what a drill in it costs.

    Args:
        shown: how far it is shown in practice.
        known: the probability that it is known.
        guess: the chance that a blind guess at one of its drills is right.
        minutes: the time a drill takes.
        due: the day on which it has to be shown again, None as long as it is not shown.
        last_right: the day on which it was last right, anywhere; None to go by the practice alone.
    """

    shown: Shown
    known: float
    guess: float
    minutes: float
    due: date | None
    last_right: date | None = None

    @property
    def skill(self) -> Skill:
        """The skill."""
        return self.shown.skill

    def rank(self, today: date) -> Rank:
        """Return why it would come today."""
        if not self.shown.is_shown and (self.skill.critical or self.skill.abnormal):
            return Rank.CAN_HURT
        if self.shown.is_shown and self.due is not None and self.due <= today:
            return Rank.DUE
        return Rank.TELLS_MOST

    def per_minute(self, policy: Policy) -> float:
        """Return the bits that a minute in it is expected to tell."""
        guess = max(self.guess, float(policy.mastery_guess_least))
        return information(self.known, guess=guess, slip=float(policy.mastery_slip)) / self.minutes


@dataclass(frozen=True)
class Chosen:
    """A skill chosen, and why in one sentence."""

    prospect: Prospect
    why: str


def in_order(prospects: Sequence[Prospect], policy: Policy, today: date) -> list[Prospect]:
    """Return the skills, the one to practise next first."""

    def key(prospect: Prospect) -> tuple[int, int, float, int, float]:
        rank = prospect.rank(today)
        # Of what is due, the longest overdue; else what tells most, and of what tells nearly the same the one due first.
        due = prospect.due.toordinal() if prospect.due else 0
        last = prospect.shown.last.timestamp() if prospect.shown.last else float("-inf")
        tells = -round(prospect.per_minute(policy), 3)
        return rank, due if rank is Rank.DUE else 0, tells, due, last

    return sorted(prospects, key=key)


def choose(prospects: Sequence[Prospect], policy: Policy, today: date) -> Chosen | None:
    """Return the skill to practise next; None without any."""
    for first in in_order(prospects, policy, today)[:1]:
        everything = all(prospect.shown.is_shown for prospect in prospects)
        return Chosen(first, why(first, today, most=True, everything=everything))
    return None


def why(prospect: Prospect, today: date, *, most: bool = False, everything: bool = False) -> str:
    """Return the reason for practising a skill today, in one sentence.

    Args:
        prospect: the skill.
        today: the day.
        most: whether it was chosen among all skills.
        everything: whether all of them are shown.
    """
    shown = prospect.shown
    rank = prospect.rank(today)
    if rank is Rank.DUE and shown.last is not None and prospect.due is not None:
        last = prospect.last_right or shown.last.date()
        return f"Last shown on {last.isoformat()}, {due_words(prospect.due, today)}."
    told = "not practised yet" if shown.last is None else f"{shown.in_a_row} of {shown.needed} right in a row"
    if rank is Rank.CAN_HURT:
        return f"{_capital(told)}, and an error here can hurt somebody."
    if not shown.is_shown:
        return f"{_capital(told)}; a minute here tells most." if most else f"{_capital(told)}."
    when = f"{_capital(due_words(prospect.due, today))}." if prospect.due else ""
    if most and everything:
        return f"Everything is shown; a minute here tells most. {when}".rstrip()
    return f"Shown. {when}".rstrip()


def due_words(due: date | None, today: date) -> str:
    """Return when something is due: "due in 32 days", "due today", "3 days overdue"; "" for None."""
    if due is None:
        return ""
    left = (due - today).days
    if left == 0:
        return "due today"
    return f"due in {_days(left)}" if left > 0 else f"{_days(-left)} overdue"


@dataclass(frozen=True)
class Planned:
    """One drill of a sheet."""

    prospect: Prospect
    why: str


def sheet(prospects: Sequence[Prospect], policy: Policy, today: date) -> tuple[Planned, ...]:
    """Return the drills of a short sheet: the most needed skills in turn, as many as the time holds, at least one.

    Skills take turns, because drills of one sort in a row are easier than the job, where nothing says what comes next.
    Different kinds of drill go before two of one kind.
    """
    mixed = _mixed(in_order(prospects, policy, today))
    left = float(policy.sheet_minutes)
    found: list[Planned] = []
    while mixed:
        following = next((item for item in _turns(mixed, len(found)) if item.minutes <= left), None)
        if following is None and found:
            break
        chosen = following or mixed[0]
        again = any(earlier.prospect is chosen for earlier in found)
        if found and found[-1].prospect is chosen and len(mixed) > 1:
            break
        found.append(Planned(chosen, "Again, with others in between." if again else why(chosen, today)))
        left -= chosen.minutes
    return tuple(found)


def _turns(mixed: list[Prospect], turn: int) -> list[Prospect]:
    place = turn % len(mixed)
    return mixed[place:] + mixed[:place]


def _mixed(ordered: list[Prospect]) -> list[Prospect]:
    """Return the first few skills, those of further kinds before others of a kind that is there already."""
    kinds: set[str] = set()
    first: list[Prospect] = []
    others: list[Prospect] = []
    for prospect in ordered:
        (others if prospect.skill.kind in kinds else first).append(prospect)
        kinds.add(prospect.skill.kind)
    return (first + others)[:_MIXED]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
