"""Who covers what: which tasks hang on one person, which fall short when, and the least that has to be done about it.

A day's cover of a task is how many people may do it alone on that day. A measure makes one more person able to do one
task: a refresher or re-evaluation of somebody who knows it, or a new qualification.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date


# SciPy's status of a solver that ran out of time or of iterations.
_OUT_OF_TIME = 1


class CoverOutOfReach(TrainerError):
    """No choice of measures brings the cover that is asked for."""

    def __init__(self, tasks: Sequence[str]) -> None:
        super().__init__(
            f"In that time no choice of measures covers {', '.join(tasks)}: give it more weeks, more people or less cover."
        )


class CoverTakesTooLong(TrainerError):
    """The solver found no proven least set in the time it was given."""

    def __init__(self, seconds: float) -> None:
        super().__init__(f"No least set was found within {seconds:g} s: choose fewer tasks.")


@dataclass(frozen=True)
class Holding:
    """A person may do a task alone from a day to a day, both included."""

    person: str
    task: str
    first: date
    last: date


@dataclass(frozen=True)
class Shortage:
    """A task that fewer people than needed may do."""

    task: str
    have: int
    needed: int


@dataclass(frozen=True)
class Dependence:
    """What falls short, and how far, when one person is away."""

    person: str
    shortages: tuple[Shortage, ...]


class Means(StrEnum):
    """How somebody becomes able to do a task alone."""

    REFRESHER = "refresher"
    NEW = "new qualification"


@dataclass(frozen=True)
class Measure:
    """Something that can be done, and after how many weeks it counts."""

    person: str
    task: str
    means: Means
    weeks: int


def able(holdings: Iterable[Holding], day: date) -> dict[str, frozenset[str]]:
    """Return by task who may do it alone on a day."""
    found: dict[str, set[str]] = {}
    for holding in holdings:
        if holding.first <= day <= holding.last:
            found.setdefault(holding.task, set()).add(holding.person)
    return {task: frozenset(people) for task, people in found.items()}


def shortages(
    holdings: Iterable[Holding], needed: Mapping[str, int], day: date, *, away: frozenset[str] = frozenset()
) -> tuple[Shortage, ...]:
    """Return the tasks that fewer people may do on a day than are needed, in the order of `needed`."""
    on_day = able(holdings, day)
    have = {task: len(on_day.get(task, frozenset()) - away) for task in needed}
    return tuple(Shortage(task, have[task], n) for task, n in needed.items() if have[task] < n)


def dependences(holdings: Sequence[Holding], needed: Mapping[str, int], day: date) -> tuple[Dependence, ...]:
    """Return for each person whose absence makes something fall short what that is; who hurts most comes first.

    What is short with everybody there is the fault of nobody's absence and is left out, unless it gets worse to nothing.
    """
    already = {shortage.task: shortage.have for shortage in shortages(holdings, needed, day)}
    found = []
    for person in sorted({holding.person for holding in holdings}):
        worse = tuple(
            shortage
            for shortage in shortages(holdings, needed, day, away=frozenset({person}))
            if shortage.task not in already or (shortage.have == 0 < already[shortage.task])
        )
        if worse:
            found.append(Dependence(person, worse))
    return tuple(sorted(found, key=lambda d: (-len(d.shortages), d.person)))


def forecast(
    holdings: Sequence[Holding], needed: Mapping[str, int], first: date, weeks: int
) -> tuple[tuple[date, tuple[Shortage, ...]], ...]:
    """Return the days within so many weeks on which something changes for the worse, each with all that is short then.

    Between those days nothing gets worse: cover only falls on the day after a holding's last one.
    """
    end = first + timedelta(weeks=weeks)
    falls = {holding.last + timedelta(days=1) for holding in holdings}
    days = [first, *sorted(day for day in falls if first < day <= end)]
    told, before = [], None
    for day in days:
        short = shortages(holdings, needed, day)
        if short != before:
            told.append((day, short))
        before = short
    return tuple(told)


def least(
    holdings: Sequence[Holding],
    needed: Mapping[str, int],
    day: date,
    measures: Sequence[Measure],
    *,
    weeks: int,
    any_one_away: bool = False,
    at_most_each: int | None = None,
    seconds: float | None = None,
) -> tuple[Measure, ...]:
    """Return a smallest set of measures after which every task has its cover on a day; among those the quickest.

    Args:
        holdings: what holds already; only what still holds on `day` counts.
        needed: how many people each task needs.
        day: the day asked about.
        measures: what can be done; those that take longer than `weeks` are left out.
        weeks: the time there is.
        any_one_away: the cover holds also when any one person is away.
        at_most_each: so many measures at most for one person.
        seconds: how long the solver may look.

    Raises:
        CoverOutOfReach: no choice of them is enough; the sentence names the tasks.
        CoverTakesTooLong: the time was over before a least set was proven.
    """
    on_day = able(holdings, day)
    usable = [
        m
        for m in measures
        if m.weeks <= weeks and m.task in needed and m.person not in on_day.get(m.task, ())
    ]
    demands = [d for task in needed for d in _demands(task, on_day, usable, any_one_away)]
    beyond = [task for task, have, choice in demands if have + len(choice) < needed[task]]
    if beyond:
        raise CoverOutOfReach(tuple(dict.fromkeys(beyond)))
    open_demands = [(choice, needed[task] - have) for task, have, choice in demands if have < needed[task]]
    if not open_demands:
        return ()
    chosen = _solved(usable, open_demands, at_most_each, seconds)
    if chosen is None:
        raise CoverOutOfReach(tuple(dict.fromkeys(task for task, have, _ in demands if have < needed[task])))
    return tuple(usable[index] for index in chosen)


def _demands(
    task: str, on_day: Mapping[str, frozenset[str]], usable: Sequence[Measure], any_one_away: bool
) -> list[tuple[str, int, list[int]]]:
    """Return for a task what it has and which measures add to it, once for each person who might be away."""
    have = on_day.get(task, frozenset())
    adding = [index for index, measure in enumerate(usable) if measure.task == task]
    if not any_one_away:
        return [(task, len(have), adding)]
    # Who holds and adds nothing here makes no difference by being away.
    people = sorted({*have, *(usable[index].person for index in adding)})
    return [
        (task, len(have - {person}), [index for index in adding if usable[index].person != person])
        for person in people
    ] or [(task, 0, [])]


def _solved(
    usable: Sequence[Measure],
    demands: Sequence[tuple[list[int], int]],
    at_most_each: int | None,
    seconds: float | None,
) -> list[int] | None:
    """Return the indices chosen by an exact solver (HiGHS), or None when there is no choice.

    Source: 0-1 set multicover; R. M. Karp, Reducibility among combinatorial problems, 1972, names the problem.
    """
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    rows = np.zeros((len(demands), len(usable)))
    for row, (choice, _) in enumerate(demands):
        rows[row, choice] = 1
    constraints = [LinearConstraint(rows, lb=[short for _, short in demands])]
    if at_most_each is not None:
        people = sorted({measure.person for measure in usable})
        each = np.array([[float(m.person == person) for m in usable] for person in people])
        constraints.append(LinearConstraint(each, ub=at_most_each))
    # A measure always weighs more than all the weeks together, so that their number is least first of all.
    heaviest = 1 + sum(measure.weeks for measure in usable)
    cost = np.array([heaviest + measure.weeks for measure in usable], dtype=float)
    options = {} if seconds is None else {"time_limit": seconds}
    found = milp(
        cost, integrality=np.ones(len(usable)), bounds=Bounds(0, 1), constraints=constraints, options=options
    )
    if found.status == _OUT_OF_TIME:
        raise CoverTakesTooLong(seconds or 0)
    return None if found.x is None else [index for index, value in enumerate(found.x) if value > 0.5]
