"""Invented people of known forgetting, refreshed when the program says so: does it happen as it predicts?

A skill is held until a moment drawn for each person anew after each refresher; held, it is shown right as often as by
somebody who has just shown it; lost, never. Nothing of the arithmetic that predicts goes into it. The days between
refreshers come from the product itself (`retention.interval_days`), and so does what it learns of the pace
(`retention.half_lives`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from trainer.competency import bounds
from trainer.competency.retention import Forgetting, Refresher, half_lives, interval_days

if TYPE_CHECKING:
    from trainer.competency.policy import Policy
    from trainer.competency.skill_classes import SkillClass

MOST_PEOPLE = 200
"""Learning the pace of each person takes a search each time; more people would tell little more."""
ROUNDS = 4
_CONFIDENCE = 0.99


@dataclass(frozen=True)
class Refreshed:
    """What refreshers came to.

    `predicted` is the share right that the forgetting of each person, known here, predicts for the days that passed;
    `right` the share that was, within `low` and `high` (Clopper and Pearson, 99 %). `longest_days` is the longest time
    that the product let pass, `cap_days` the most that the policy allows. Half-lives are the middle ones of the crew, as
    it is and as the product learnt them.
    """

    skill_class: SkillClass
    people: int
    refreshers: int
    predicted: float
    right: float
    low: float
    high: float
    longest_days: int
    cap_days: int
    true_half_life: float
    learnt_half_life: float

    @property
    def agrees(self) -> bool:
        """What happened is compatible with what was predicted."""
        return self.low <= self.predicted <= self.high


def refresh(
    policy: Policy, skill_class: SkillClass, people: int, seed: int | tuple[int, ...], *, rounds: int = ROUNDS
) -> Refreshed:
    """Return what became of refreshers of one class of skills.

    Args:
        policy: whose numbers are proved.
        skill_class: whose intervals are used.
        people: how many, at most `MOST_PEOPLE`.
        seed: the same seed gives the same people.
        rounds: refreshers of each.
    """
    number = min(people, MOST_PEOPLE)
    chance = np.random.default_rng(seed)
    start = float(policy.demonstrated)
    true = policy.half_life_days * np.exp(chance.normal(0, float(policy.half_life_spread), number))
    kept: dict[str, list[Refresher]] = {str(person): [] for person in range(number)}
    days = [interval_days(policy, skill_class)] * number
    predicted: list[float] = []
    longest = 0
    learnt = float(policy.half_life_days)
    for _ in range(rounds):
        # A half-life is that of a constant hazard: the moment of losing the skill is exponential.
        lost_after = chance.exponential(true / math.log(2))
        right = (lost_after > np.array(days)) & (chance.random(number) < start)
        for person in range(number):
            predicted.append(Forgetting(start, float(true[person])).share(days[person]))
            kept[str(person)].append(Refresher(days[person], bool(right[person])))
        longest = max(longest, *days)
        task, each = half_lives(kept.items(), policy)
        learnt = task.days
        days = [interval_days(policy, skill_class, pace=each[str(person)]) for person in range(number)]
    shown = [refresher.right for of_person in kept.values() for refresher in of_person]
    within = bounds.clopper_pearson(sum(shown), len(shown), _CONFIDENCE)
    return Refreshed(
        skill_class=skill_class,
        people=number,
        refreshers=len(shown),
        predicted=sum(predicted) / len(predicted),
        right=sum(shown) / len(shown),
        low=within.lower,
        high=within.upper,
        longest_days=longest,
        cap_days=policy.of(skill_class).longest_days,
        true_half_life=float(np.median(true)),
        learnt_half_life=learnt,
    )
