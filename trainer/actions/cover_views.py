"""What the sheets on cover show: frozen values, days in UTC."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from trainer.records.cover import Holding
    from trainer.records.qualification import CoveredTask


@dataclass(frozen=True)
class CrewCover:
    """A crew on a day: names by number of person, its tasks in their order, and who holds what from when to when."""

    crew: str
    day: date
    people: Mapping[str, str]
    tasks: Mapping[str, CoveredTask]
    holdings: tuple[Holding, ...]

    @property
    def needed(self) -> dict[str, int]:
        """How many people the register asks for, by task."""
        return {task.id: task.needed for task in self.tasks.values()}


@dataclass(frozen=True)
class ShortTask:
    """A task that too few people may do alone."""

    task: CoveredTask
    have: int

    @property
    def words(self) -> str:
        """The shortage in words, to follow a day or a condition."""
        who = "nobody may" if self.have == 0 else f"only {self.have} of the {self.task.needed} needed may"
        return f"{who} do {self.task.id} {self.task.title}"


@dataclass(frozen=True)
class Ending:
    """The last day on which somebody may do a task alone, as far as is signed today."""

    person_id: str
    name: str
    task: CoveredTask
    last: date


@dataclass(frozen=True)
class Fall:
    """A day from which cover is short, or shorter: what it is then, and whose qualifications ended the day before."""

    day: date
    short: tuple[ShortTask, ...]
    ended: tuple[Ending, ...]


@dataclass(frozen=True)
class Track:
    """The cover of one task over the weeks: from which day on how many may do it alone."""

    task: CoveredTask
    steps: tuple[tuple[date, int], ...]

    @property
    def is_short(self) -> bool:
        """At some time fewer may do it than are needed."""
        return any(have < self.task.needed for _, have in self.steps)

    @property
    def is_steady(self) -> bool:
        """Nothing changes."""
        return len(self.steps) == 1


@dataclass(frozen=True)
class Forecast:
    """What ends within some weeks; tracks of all tasks in the order of the crew sheet."""

    crew: str
    day: date
    weeks: int
    already: tuple[ShortTask, ...]
    falls: tuple[Fall, ...]
    tracks: tuple[Track, ...]
    endings: tuple[Ending, ...]

    @property
    def until(self) -> date:
        """The last day looked at."""
        return self.day + timedelta(weeks=self.weeks)


@dataclass(frozen=True)
class Hinge:
    """What falls short when one person is away."""

    person_id: str
    name: str
    short: tuple[ShortTask, ...]


@dataclass(frozen=True)
class CoverSheet:
    """Who covers what on a day: short with everybody there, short by one absence, short with those chosen away."""

    crew: str
    day: date
    people: tuple[tuple[str, str], ...]
    tasks: tuple[tuple[CoveredTask, tuple[str, ...]], ...]
    short: tuple[ShortTask, ...]
    hinges: tuple[Hinge, ...]
    away: tuple[str, ...]
    then_short: tuple[ShortTask, ...]

    @property
    def away_names(self) -> tuple[str, ...]:
        """The names of those chosen away."""
        return tuple(name for person_id, name in self.people if person_id in self.away)
