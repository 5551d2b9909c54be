"""When a skill has to be shown again: forgetting between refreshers, and what refreshers say of its pace.

The pace is a half-life: what was gained by practice halves in that time. Exponential forgetting is a rule for the time
between two refreshers and no law of nature: over long times people forget more slowly (H. Ebbinghaus 1885 fits a power
law far better). Hence no interval is ever longer than one that was observed, or than the policy allows.

Source of the default half-life: Tatel and Ackerman 2025, Psychological Bulletin (abstract): half of the gain is lost
after 6.5 months in accuracy, 13 in speed, 11 in mixed measures. That the loss halves again in the next such time is our
model, not theirs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from datetime import date, datetime

    from trainer.competency.policy import Policy
    from trainer.competency.skill_classes import SkillClass

DAYS_PER_MONTH = 30.4375
# Published half-lives, months.
HALF_LIFE_MONTHS = {"accuracy": 6.5, "speed": 13.0, "mixed": 11.0}
_GOLDEN = (math.sqrt(5) - 1) / 2
_NARROWINGS = 80
_SECONDS_A_DAY = 86_400.0


class NoSuchForgetting(TrainerError):
    """Numbers that describe no forgetting."""

    def __init__(self) -> None:
        super().__init__(
            "Forgetting needs a half-life above zero, and shares with floor < threshold and floor < start <= 1."
        )


@dataclass(frozen=True)
class Forgetting:
    """How the share of right performances falls after it was last shown.

    Args:
        start: the share right after showing the skill; never quite 1.
        half_life_days: days in which what lies above the floor halves.
        floor: the share that is right by blind guessing.

    Raises:
        NoSuchForgetting: the numbers make no sense.
    """

    start: float
    half_life_days: float
    floor: float = 0.0

    def __post_init__(self) -> None:
        """Refuse numbers that make no sense."""
        if not (0 <= self.floor < self.start <= 1 and self.half_life_days > 0):
            raise NoSuchForgetting

    def share(self, days: float) -> float:
        """Return the predicted share of right performances so many days later."""
        return self.floor + (self.start - self.floor) * 2 ** (-days / self.half_life_days)

    def days_until(self, threshold: float) -> float:
        """Return after how many days the share has fallen to a threshold; 0 when it is no higher now.

        Raises:
            NoSuchForgetting: guessing alone keeps the share above the threshold.
        """
        if threshold <= self.floor:
            raise NoSuchForgetting
        if threshold >= self.start:
            return 0.0
        return self.half_life_days * math.log2((self.start - self.floor) / (threshold - self.floor))


@dataclass(frozen=True)
class Refresher:
    """A skill shown again after some days without: right or not.

    `floor` is the share right by blind guessing, where it differs from that of the task.
    """

    days: float
    right: bool
    floor: float | None = None


@dataclass(frozen=True)
class HalfLife:
    """A half-life, what it rests on, and the longest time without showing among that; 0 without any."""

    days: float
    refreshers: int = 0
    longest_observed: float = 0.0


def half_life(
    refreshers: Sequence[Refresher], *, start: float, floor: float, expected_days: float, spread: float
) -> HalfLife:
    """Return the most probable half-life in the light of refreshers.

    Each refresher is right with the share that the forgetting predicts; the logarithm of the half-life is taken to be
    normal around that of the expected one (own choice).

    Args:
        refreshers: what came of showing it again; only times above zero tell anything.
        start: the share right after showing.
        floor: the share right by blind guessing.
        expected_days: the half-life expected without them.
        spread: standard deviation of the logarithm of the half-life.

    Raises:
        NoSuchForgetting: the numbers make no sense.
    """
    telling = [item for item in refreshers if item.days > 0]
    if not telling:
        return HalfLife(expected_days)

    floors = [floor if item.floor is None else item.floor for item in telling]
    for own in set(floors):
        Forgetting(start, expected_days, own)
    middle = math.log(expected_days)
    # Asked some eighty times for each half-life sought: what stays the same is worked out before.
    items = [(-item.days, item.right, own, start - own) for item, own in zip(telling, floors, strict=True)]

    def log_posterior(log_days: float) -> float:
        days = math.exp(log_days)
        total = -((log_days - middle) ** 2) / (2 * spread**2)
        for ago, right, own, gained in items:
            # The share of `Forgetting`, kept off 0 and 1.
            share = own + gained * 2 ** (ago / days)
            share = 1e-12 if share < 1e-12 else 1 - 1e-12 if share > 1 - 1e-12 else share
            total += math.log(share if right else 1 - share)
        return total

    best = _highest(log_posterior, middle - 6 * spread, middle + 6 * spread)
    return HalfLife(math.exp(best), len(telling), max(item.days for item in telling))


def refreshers(
    shown: Iterable[tuple[datetime, bool]], *, least_days: float, floor: float = 0.0
) -> list[Refresher]:
    """Return the refreshers among the times a skill was shown: those after so many days, with the last time right.

    Args:
        shown: when, and whether right, in the order of time.
        least_days: less than this apart it is one and the same practice.
        floor: the share right by blind guessing.
    """
    found = []
    for (earlier, was_right), (at, right) in pairwise(shown):
        days = (at - earlier).total_seconds() / _SECONDS_A_DAY
        if was_right and days >= least_days:
            found.append(Refresher(days, right, floor))
    return found


def _highest(of: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function with one peak is highest between two places, by golden section."""
    first, second = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_first, at_second = of(first), of(second)
    for _ in range(_NARROWINGS):
        if at_first < at_second:
            low, first, at_first = first, second, at_second
            second = low + _GOLDEN * (high - low)
            at_second = of(second)
        else:
            high, second, at_second = second, first, at_first
            first = high - _GOLDEN * (high - low)
            at_first = of(first)
    return (low + high) / 2


def half_lives(
    of_people: Iterable[tuple[str, Sequence[Refresher]]], policy: Policy, *, floor: float = 0.0
) -> tuple[HalfLife, dict[str, HalfLife]]:
    """Return the half-life of a task over all people, and that of each person around it.

    Args:
        of_people: refreshers of the task, by person.
        policy: the numbers in force.
        floor: the share right by blind guessing.
    """
    by_person = {person: list(items) for person, items in of_people}
    start, spread = float(policy.demonstrated), float(policy.half_life_spread)
    everybody = [item for items in by_person.values() for item in items]
    task = half_life(everybody, start=start, floor=floor, expected_days=policy.half_life_days, spread=spread)
    each = {
        person: half_life(items, start=start, floor=floor, expected_days=task.days, spread=spread)
        for person, items in by_person.items()
    }
    return task, each


def interval_days(
    policy: Policy, skill_class: SkillClass, *, pace: HalfLife | None = None, floor: float = 0.0
) -> int:
    """Return after how many days a skill of a class has to be shown again, at least 1.

    What own refreshers say may shorten the interval freely, and lengthen it up to the longest time without showing that
    was observed; the policy's longest interval holds in any case.

    Args:
        policy: the numbers in force.
        skill_class: the class of the skill.
        pace: the half-life that own refreshers have given, None for the default.
        floor: the share right by blind guessing.
    """
    numbers = policy.of(skill_class)
    threshold = float(numbers.retained)
    start = float(policy.demonstrated)
    if threshold <= floor:
        # Guessing alone keeps it up: the model tells nothing, and the longest interval holds.
        return numbers.longest_days
    usual = Forgetting(start, policy.half_life_days, floor).days_until(threshold)
    found = usual
    if pace is not None and pace.refreshers:
        found = min(
            Forgetting(start, pace.days, floor).days_until(threshold), max(usual, pace.longest_observed)
        )
    # Rounded to the day: 31.7 days is told as 32.
    return max(1, min(round(found), numbers.longest_days))


def due_on(last_shown: date, days: int) -> date:
    """Return the day on which a skill last shown on a day has to be shown again."""
    return last_shown + timedelta(days=days)
