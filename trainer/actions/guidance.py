"""What a person's kept attempts say of each skill: how surely it is known, how long a drill takes, when it is due.

Practice counts here, for guidance; for sign-off it never does.
"""

from __future__ import annotations

from statistics import mean, median
from typing import TYPE_CHECKING

from trainer import drills
from trainer.competency.mastery import Answered, trace
from trainer.competency.next_drill import Prospect
from trainer.competency.retention import due_on, interval_days
from trainer.competency.skill_classes import class_of
from trainer.store import attempts

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from trainer.actions.published import Prepared
    from trainer.competency.evidence import Shown, Skill
    from trainer.competency.policy import Policy
    from trainer.store.attempts import Outcome
    from trainer.store.session import Unit

_ASKED_FOR_GUESS = 3
_MOST_KEPT = 5000
_MINUTE = 60.0
# Longer than this a drill was left lying, not thought about (own choice).
_LEFT_LYING = 30.0
_guesses: dict[tuple[str, str], float] = {}


def prospects(
    unit: Unit, person_id: str, published: Prepared, shown: Sequence[Shown], policy: Policy
) -> tuple[Prospect, ...]:
    """Return every skill of a module as a choice for a person.

    Args:
        unit: the unit of work.
        person_id: who practises.
        published: the module.
        shown: how far each of its skills is shown, in its order.
        policy: the numbers in force.
    """
    outcomes = attempts.outcomes_of(unit, person_id, published.module.revision)
    by_skill: dict[str, list[Outcome]] = {}
    for outcome in outcomes:
        by_skill.setdefault(outcome.skill, []).append(outcome)
    timed = _minutes(outcomes, policy)
    return tuple(_prospect(published, item, by_skill.get(item.skill.id, []), timed, policy) for item in shown)


def _prospect(
    published: Prepared, shown: Shown, outcomes: list[Outcome], timed: dict[str, float], policy: Policy
) -> Prospect:
    guess = guess_of(published, shown.skill)
    return Prospect(
        shown=shown,
        known=trace((Answered(outcome.right, guess) for outcome in outcomes), policy),
        guess=guess,
        minutes=timed.get(shown.skill.kind, float(policy.minutes_per_drill)),
        due=due(shown, policy, guess),
    )


def due(shown: Shown, policy: Policy, guess: float) -> date | None:
    """Return the day on which a shown skill has to be shown again; None while it is not shown.

    It counts from the last right performance: a skill is shown only as long as the last one was right.
    """
    if not shown.is_shown or shown.last is None:
        return None
    return due_on(shown.last.date(), interval_days(policy, class_of(shown.skill), floor=guess))


def guess_of(published: Prepared, skill: Skill) -> float:
    """Return the chance that a blind guess at a drill of a skill is right, over a few of its drills."""
    key = (published.module.revision, skill.id)
    if key not in _guesses:
        if len(_guesses) >= _MOST_KEPT:
            _guesses.clear()
        starts = (number * 1000 for number in range(_ASKED_FOR_GUESS))
        seeds = (drills.seed_for(published.module, skill.id, start) for start in starts)
        _guesses[key] = mean(drills.ask(published.module, skill.kind, None, seed).guess for seed in seeds)
    return _guesses[key]


def _minutes(outcomes: Sequence[Outcome], policy: Policy) -> dict[str, float]:
    """Return the middle time of each kind of drill that the person was timed in often enough."""
    taken: dict[str, list[float]] = {}
    for outcome in outcomes:
        if outcome.started_at is not None:
            minutes = (outcome.at - outcome.started_at).total_seconds() / _MINUTE
            if minutes <= _LEFT_LYING:
                taken.setdefault(outcome.kind, []).append(minutes)
    # Nobody answers in no time at all: a clock that stood still must not make a drill cost nothing.
    return {
        kind: max(median(times), 0.25) for kind, times in taken.items() if len(times) >= policy.timed_drills
    }
