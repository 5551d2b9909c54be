"""What a line-up can be brought to, one move after the other, and which moves lead there without harm.

Goals, starts and ways are worked out from how the station is piped; nothing is written for one station.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

from trainer.procedure.line_up_dangers import consequences, troubles
from trainer.procedure.line_ups import line_up_after
from trainer.procedure.model import SameRevision
from trainer.procedure.pipe_states import LineUp
from trainer.procedure.station import Form, SourceOf
from trainer.procedure.window import prepare
from trainer.procedure.wording import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from trainer.procedure.model import Module
    from trainer.procedure.station import Element, Station

# A way is no shorter and no longer than that, in moves.
SHORTEST, LONGEST = 3, 5


@dataclass(frozen=True)
class Run:
    """One run of a station, by what its elements are for."""

    station: Station
    pieces: tuple[str, ...]

    def _at(self, kind: SourceOf | None, *forms: Form) -> tuple[Element, ...]:
        ends = self.station.sources(kind) if kind else ()
        return tuple(
            element
            for element in self.station.of_run(self.pieces)
            if element.form in forms and (kind is None or set(element.joins) & set(ends))
        )

    @cached_property
    def inlets(self) -> tuple[Element, ...]:
        """The valves towards the inlet."""
        return self._at(SourceOf.INLET, *_FULL)

    @cached_property
    def outlets(self) -> tuple[Element, ...]:
        """The valves towards the outlet."""
        return self._at(SourceOf.OUTLET, *_FULL)

    @cached_property
    def fillers(self) -> tuple[Element, ...]:
        """The filling valves."""
        return self._at(SourceOf.INLET, Form.FILLING_VALVE)

    @cached_property
    def vents(self) -> tuple[Element, ...]:
        """The vents."""
        return self._at(None, Form.VENT)

    @cached_property
    def filters(self) -> tuple[Element, ...]:
        """The filters."""
        return self._at(None, Form.FILTER)

    @cached_property
    def between(self) -> tuple[Element, ...]:
        """The valves within the run, a slam-shut among them."""
        ends = {element.id for element in (*self.inlets, *self.outlets)}
        return tuple(element for element in self._at(None, *_FULL) if element.id not in ends)

    @property
    def name(self) -> str:
        """What it is called: by its filter, or by its inlet valve."""
        named = self.filters or self.inlets
        return f"the run of {named[0].tag}"

    @property
    def has_all(self) -> bool:
        """It can be shut at both ends, vented, filled and opened."""
        return all((self.inlets, self.outlets, self.fillers, self.vents, self.filters))


_FULL = (Form.VALVE, Form.BALL_VALVE, Form.SLAM_SHUT)


@dataclass(frozen=True)
class Goal:
    """Something a line-up is brought to; all by the run that it is about, and the other runs.

    `free` are the elements that may move on the way, `starts` says from where it may begin.
    """

    id: str
    skill: str
    asks: Callable[[Run], str]
    free: Callable[[Run, tuple[Run, ...]], tuple[Element, ...]]
    starts: Callable[[Run, LineUp], bool]
    reached: Callable[[Run, LineUp], bool]


def _tags(elements: tuple[Element, ...]) -> str:
    return listed([element.tag for element in elements])


def _all_open(line_up: LineUp, elements: tuple[Element, ...]) -> bool:
    return all(line_up.is_open(element) for element in elements)


def _all_shut(line_up: LineUp, elements: tuple[Element, ...]) -> bool:
    return not any(line_up.is_open(element) for element in elements)


def _holds_gas(run: Run, line_up: LineUp) -> bool:
    return all(line_up.holds[name].is_gas for name in run.pieces)


def _off(run: Run, line_up: LineUp) -> bool:
    ends = (*run.inlets, *run.fillers, *run.outlets)
    return _all_shut(line_up, ends) and line_up.fed and not any(line_up.is_open(v) for v in run.vents)


def _in_service(run: Run, line_up: LineUp) -> bool:
    wide = _all_open(line_up, (*run.inlets, *run.between, *run.outlets))
    return wide and _all_shut(line_up, (*run.fillers, *run.vents, *run.filters)) and line_up.fed


def _isolated(run: Run, line_up: LineUp) -> bool:
    return _all_shut(line_up, (*run.inlets, *run.fillers, *run.outlets, *run.filters))


def _whole_run(run: Run, _: tuple[Run, ...]) -> tuple[Element, ...]:
    ends = (*run.inlets, *run.fillers, *run.outlets)
    return (*ends, *run.between, *run.vents, *run.filters)


def _both_runs(run: Run, others: tuple[Run, ...]) -> tuple[Element, ...]:
    theirs = (e for other in others for e in (*other.inlets, *other.fillers, *other.between, *other.outlets))
    return (*run.inlets, *run.fillers, *run.outlets, *theirs)


GOALS: tuple[Goal, ...] = (
    Goal(
        "take-off",
        "a run taken off while the other one carries",
        lambda run: (
            f"Take {run.name} off: shut at both ends, and another run carries the outlet all the while."
        ),
        _both_runs,
        lambda run, line_up: _all_open(line_up, (*run.inlets, *run.outlets)),
        _off,
    ),
    Goal(
        "open-filter",
        "a run emptied and its filter opened",
        lambda run: (
            f"Bring {run.name} to where the cover of {_tags(run.filters)} is off: nothing left in the run, "
            "the outlet fed all the while."
        ),
        _whole_run,
        lambda run, line_up: _all_shut(line_up, run.filters) and _all_open(line_up, run.between),
        lambda run, line_up: _all_open(line_up, run.filters),
    ),
    Goal(
        "fill",
        "a run filled slowly",
        lambda run: (
            f"{run.name[0].upper()}{run.name[1:]} is closed up and purged with nitrogen. Fill all of it with gas, slowly; "
            f"{_tags(run.inlets)} and {_tags(run.outlets)} stay shut."
        ),
        _whole_run,
        lambda run, line_up: _isolated(run, line_up) and not _all_shut(line_up, run.vents),
        lambda run, line_up: (
            _holds_gas(run, line_up) and _all_shut(line_up, (*run.inlets, *run.outlets, *run.vents))
        ),
    ),
    Goal(
        "return",
        "a run brought back into service",
        lambda run: (
            f"Bring {run.name} back: it feeds the outlet through {_tags(run.inlets)} and {_tags(run.outlets)}, "
            f"and {_tags(run.fillers)} is shut."
        ),
        _whole_run,
        lambda run, line_up: _all_shut(line_up, (*run.inlets, *run.outlets, *run.filters)),
        _in_service,
    ),
)


@dataclass(frozen=True)
class Task:
    """A goal for one run: every line-up from which a way leads to it, with the number of moves that are left."""

    goal: Goal
    run: Run
    left: Mapping[frozenset[str], int]
    starts: tuple[frozenset[str], ...]

    def line_up(self, standing_open: frozenset[str]) -> LineUp:
        """Return the line-up with these standing open."""
        return LineUp(self.run.station, standing_open)

    def nearer(self, line_up: LineUp) -> tuple[Element, ...]:
        """Return the elements whose move harms nobody and leads nearer."""
        here = self.left[line_up.open]
        return tuple(
            element
            for element in self.run.station.whole
            if element.form.moves
            and self.left.get(line_up.moved(element.id).open, here) == here - 1
            and not consequences(line_up, element.id)
        )


def tasks(module: Module) -> tuple[Task, ...]:
    """Return all that can be asked of a station, goal by goal."""
    return _tasks(SameRevision(module)) if module.station else ()


@lru_cache(maxsize=16)
def _tasks(keyed: SameRevision) -> tuple[Task, ...]:
    return tuple(_worked_out(keyed.module))


def _worked_out(module: Module) -> Iterator[Task]:
    station = module.station
    assert station is not None  # noqa: S101  # looked at before
    runs = [run for run in (Run(station, pieces) for pieces in station.runs) if run.has_all]
    service = line_up_after(prepare(module), ())
    spaces: dict[frozenset[str], _Space] = {}
    for goal in GOALS:
        for run in runs:
            others = tuple(other for other in runs if other.pieces != run.pieces)
            free = frozenset(element.id for element in goal.free(run, others))
            if free not in spaces:
                spaces[free] = _Space(service, free)
            task = _task(goal, run, spaces[free])
            if others and task.starts:
                yield task


class _Space:
    """All line-ups in which nothing is wrong when some elements move and the others stand as in service."""

    def __init__(self, service: LineUp, free: frozenset[str]) -> None:
        still, names = service.open - free, sorted(free)
        chosen = (frozenset(some) for size in range(len(names) + 1) for some in combinations(names, size))
        line_ups = (LineUp(service.station, some | still) for some in chosen)
        self.sound = {line_up.open: line_up for line_up in line_ups if not troubles(line_up)}
        self.before: dict[frozenset[str], list[frozenset[str]]] = {standing: [] for standing in self.sound}
        for here, line_up in self.sound.items():
            for element in names:
                there = here ^ {element}
                if there in self.sound and not consequences(line_up, element):
                    self.before[there].append(here)


def _task(goal: Goal, run: Run, space: _Space) -> Task:
    left = {standing: 0 for standing, line_up in space.sound.items() if goal.reached(run, line_up)}
    waiting = deque(left)
    while waiting:
        there = waiting.popleft()
        for here in space.before[there]:
            if here not in left:
                left[here] = left[there] + 1
                waiting.append(here)
    starts = [
        standing
        for standing, moves in left.items()
        if SHORTEST <= moves <= LONGEST and goal.starts(run, space.sound[standing])
    ]
    return Task(goal, run, left, tuple(sorted(starts, key=sorted)))
