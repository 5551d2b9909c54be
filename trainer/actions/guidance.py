"""What a person's kept attempts say of each skill: how surely it is known, how long a drill takes, when it is due.

Practice counts here, for guidance; for sign-off it never does. All that was ever shown counts too: which round it belongs
to decides what a signature may stand on, not what somebody still knows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import mean, median
from typing import TYPE_CHECKING

from trainer import drills
from trainer.actions import bench
from trainer.competency.mastery import Answered, trace
from trainer.competency.next_drill import Prospect
from trainer.competency.retention import due_on, half_life, interval_days, refreshers
from trainer.competency.skill_classes import class_of
from trainer.store import attempts, sittings

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.published import Prepared
    from trainer.competency.evidence import Shown, Skill
    from trainer.competency.policy import Policy
    from trainer.competency.retention import HalfLife
    from trainer.store.attempts import Outcome
    from trainer.store.session import Unit

_ASKED_FOR_GUESS = 3
_MOST_KEPT = 5000
_MINUTE = 60.0
# Longer than this a drill was left lying, not thought about (own choice).
_LEFT_LYING = 30.0
_guesses: dict[tuple[str, str], float] = {}


# When a skill was shown, and whether right.
Times = Sequence[tuple["datetime", bool]]


@dataclass(frozen=True)
class Guidance:
    """Every skill of a module as a choice for a person, how fast that person forgets, and when each skill was shown."""

    prospects: tuple[Prospect, ...]
    pace: HalfLife
    times: Mapping[str, Times]


def of_person(
    unit: Unit, person_id: str, published: Prepared, shown: Sequence[Shown], policy: Policy
) -> Guidance:
    """Return what a person's attempts say of each skill of a module.

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
    guesses = {item.skill.id: guess_of(published, item.skill) for item in shown}
    elsewhere = _shown_elsewhere(unit, person_id, published)
    everywhere = {
        name: sorted([*((item.at, item.right) for item in by_skill.get(name, ())), *elsewhere.get(name, ())])
        for name in guesses
    }
    pace = _pace(everywhere, guesses, policy)
    timed = _minutes(outcomes, policy)
    found = []
    for item in shown:
        name = item.skill.id
        times = elsewhere.get(name, ())
        last = _last_right(item, times)
        answers = (Answered(seen.right, guesses[name]) for seen in by_skill.get(name, ()))
        found.append(
            Prospect(
                shown=item,
                known=trace(answers, policy),
                guess=guesses[name],
                minutes=timed.get(item.skill.kind, float(policy.minutes_per_drill)),
                due=_due(item, times, last, pace, guesses[name], policy),
                last_right=last.date() if last else None,
            )
        )
    return Guidance(tuple(found), pace, everywhere)


def _shown_elsewhere(
    unit: Unit, person_id: str, published: Prepared
) -> dict[str, list[tuple[datetime, bool]]]:
    """Return when each skill was shown in an assessment or at the bench, and whether right.

    Of a sitting that is under way nothing is told: a date would give away a mark.
    """
    revision = published.module.revision
    under_way = sittings.open_of(unit, person_id)
    found: dict[str, list[tuple[datetime, bool]]] = {}
    for mark in sittings.marks(unit, person_id, revision):
        if under_way is None or mark.sitting_id != under_way.id:
            found.setdefault(mark.skill, []).append((mark.at, mark.right and not mark.critical))
    for seen in bench.witnessed_of(unit, person_id, published.module.id, revision):
        found.setdefault(seen.skill, []).append((seen.at, seen.right and not seen.critical))
    return found


def _pace(times: Mapping[str, Times], guesses: Mapping[str, float], policy: Policy) -> HalfLife:
    """Return how fast this person forgets, over all skills of a module: of one alone there is too little to go by."""
    seen = []
    for skill, guess in guesses.items():
        seen += refreshers(times[skill], least_days=policy.refresher_after_days, floor=guess)
    return half_life(
        seen,
        start=float(policy.demonstrated),
        floor=0.0,
        expected_days=policy.half_life_days,
        spread=float(policy.half_life_spread),
    )


def _last_right(shown: Shown, elsewhere: Times) -> datetime | None:
    """Return when a skill was last right; in practice that is the last time as long as the row is unbroken."""
    practised = [shown.last] if shown.last is not None and shown.in_a_row else []
    return max([*practised, *(at for at, right in elsewhere if right)], default=None)


def _due(
    shown: Shown, elsewhere: Times, last: datetime | None, pace: HalfLife, guess: float, policy: Policy
) -> date | None:
    """Return the day on which a shown skill has to be shown again; None while it is not shown.

    It counts from the last right performance, in practice, in an assessment or at the bench. What failed since then is
    due from that day.
    """
    if not shown.is_shown or last is None:
        return None
    failed = max((at for at, right in elsewhere if not right and at > last), default=None)
    if failed is not None:
        return failed.date()
    days = interval_days(policy, class_of(shown.skill), pace=pace, floor=guess)
    return due_on(last.date(), days)


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
