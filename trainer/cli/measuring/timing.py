"""How a figure is measured: always as a ratio to a floor that is timed in the same run.

Machines differ and are shared, so a time alone tells little. Floor and ours are timed in turn, A B A B, so that a
slow moment meets both, and their medians are compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median
from time import perf_counter
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from collections.abc import Callable

    Work = Callable[[], object]
    Clock = Callable[[], float]


@dataclass(frozen=True)
class Goal:
    """What a ratio has to reach: at least or at most a number."""

    bound: Literal["at least", "at most"]
    number: float

    def __str__(self) -> str:
        """Return the goal as it is printed."""
        return f"{self.bound} {self.number:g}"

    def is_reached(self, ratio: float) -> bool:
        """Tell whether a ratio reaches the goal."""
        return ratio >= self.number if self.bound == "at least" else ratio <= self.number


@dataclass(frozen=True)
class Reading:
    """One line of the report: floor and ours in seconds, and what is made of them.

    `ratio` is what the goal speaks of, usually floor : ours or ours : floor; `name` says which. A line that could
    not be measured has no ratio, and `note` says why in one sentence.
    """

    name: str
    floor: float | None = None
    ours: float | None = None
    ratio: float | None = None
    goal: Goal | None = None
    note: str = ""

    @property
    def reached(self) -> bool | None:
        """Whether the goal is reached; None without a goal or a ratio."""
        if self.goal is None or self.ratio is None:
            return None
        return self.goal.is_reached(self.ratio)


@dataclass(frozen=True)
class Effort:
    """How much time to spend: pairs of samples (at least five), and the shortest sample in seconds."""

    rounds: int
    sample: float


QUICK = Effort(rounds=5, sample=0.005)
THOROUGH = Effort(rounds=11, sample=0.05)


def faster(name: str, floor: Work, ours: Work, effort: Effort, at_least: float | None = None) -> Reading:
    """Time both and return how many times faster ours is."""
    a, b = in_turn(floor, ours, effort)
    return Reading(name, a, b, a / b, None if at_least is None else Goal("at least", at_least))


def slower(name: str, floor: Work, ours: Work, effort: Effort, at_most: float | None = None) -> Reading:
    """Time both and return how many times longer ours takes."""
    a, b = in_turn(floor, ours, effort)
    return Reading(name, a, b, b / a, None if at_most is None else Goal("at most", at_most))


def in_turn(floor: Work, ours: Work, effort: Effort, clock: Clock = perf_counter) -> tuple[float, float]:
    """Return the median time in seconds of one run of each, timed in turn.

    A sample repeats its work as often as it takes to last `effort.sample`, as found by a first run that is not
    counted.
    """
    works = (floor, ours)
    repeats = [max(1, round(effort.sample / max(sample(work, 1, clock), 1e-9))) for work in works]
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(effort.rounds):
        for work, repeat, kept in zip(works, repeats, times, strict=True):
            kept.append(sample(work, repeat, clock))
    return median(times[0]), median(times[1])


def sample(work: Work, repeats: int = 1, clock: Clock = perf_counter) -> float:
    """Return the mean time of one run in seconds."""
    start = clock()
    for _ in range(repeats):
        work()
    return (clock() - start) / repeats
