"""What the sheets on cover are made from: days, names and numbers as they were reckoned."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True)
class CoverHead:
    """What stands in the title block of each: the company, the crew, who prints it, and on which day."""

    company: str
    crew: str
    number: str
    issued_by: str
    on: date


@dataclass(frozen=True)
class TaskOverTime:
    """How many may do a task alone, from which day on, and how many are needed."""

    task: str
    needed: int
    steps: tuple[tuple[date, int], ...]

    def on(self, day: date) -> int:
        """Return how many may do it on a day: the last step before it, or the first."""
        found = [have for begin, have in self.steps if begin <= day]
        return found[-1] if found else self.steps[0][1]


@dataclass(frozen=True)
class ForecastPacket:
    """What ends within some weeks: falls as (day, what is short, what ended), endings as (last day, name, task)."""

    head: CoverHead
    weeks: int
    already: tuple[str, ...]
    falls: tuple[tuple[date, str, str], ...]
    tracks: tuple[TaskOverTime, ...]
    endings: tuple[tuple[date, str, str], ...]


@dataclass(frozen=True)
class CoverPacket:
    """Who covers what: tasks as (task, needed, names); hinges as (name, what falls short without that person)."""

    head: CoverHead
    tasks: tuple[tuple[str, int, tuple[str, ...]], ...]
    short: tuple[str, ...]
    hinges: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PlannedLine:
    """A line of a plan: who, which task, how, in how many weeks, who sees to it, by when, and whether it is done."""

    person: str
    task: str
    means: str
    weeks: int
    responsible: str
    due: date
    done: bool
    assigned: tuple[str, ...]


@dataclass(frozen=True)
class PlanPacket:
    """A kept plan of cover at a version: what it is for, its lines, and what stays short with all of them done."""

    head: CoverHead
    version: int
    wanted: str
    made_on: date
    for_day: date
    lines: tuple[PlannedLine, ...]
    then_short: tuple[str, ...]
