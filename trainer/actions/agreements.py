"""How far evaluators agree who watched the same job and marked it apart from each other."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import combinations
from typing import TYPE_CHECKING

from trainer.actions.bench import standing_of
from trainer.actions.people import found
from trainer.actions.permissions import Permission
from trainer.actions.published import prepared
from trainer.competency.agreement import Kappa, NoDisagreementPossible, cohen
from trainer.records.observation import StepMark
from trainer.store import observations

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.actions.actor import Actor
    from trainer.store.observations import Observation
    from trainer.store.session import Database, Unit

# Below this the interval, which takes the estimate to be normal, says too little to be shown (own choice).
FEWEST_STEPS = 30
_LISTED = 12


@dataclass(frozen=True)
class Agreement:
    """How far two evaluators agree on one question; `kappa` is None when it cannot be told, and `why_not` says why."""

    kappa: Kappa | None
    why_not: str


@dataclass(frozen=True)
class MarkedApart:
    """A step that two evaluators marked differently, and how often."""

    module_title: str
    step: str
    first: str
    second: str
    times: int


@dataclass(frozen=True)
class PairLine:
    """Two evaluators: the jobs both signed, the steps both marked, how many alike, and two kappas.

    `unaided` asks only whether a step was done unaided, which is what counts for a person; `marks` asks for all four.
    `apart` are the steps marked differently, most frequent first.
    """

    first: str
    second: str
    jobs: int
    steps: int
    alike: int
    unaided: Agreement
    marks: Agreement
    apart: tuple[MarkedApart, ...]


@dataclass
class _Pair:
    jobs: set[int] = field(default_factory=set)
    marks: list[tuple[StepMark, StepMark]] = field(default_factory=list)
    apart: Counter[tuple[str, str, str, str]] = field(default_factory=Counter)


def pairs(db: Database, actor: Actor) -> tuple[PairLine, ...]:
    """Return every pair of evaluators who signed observations of the same jobs, most steps first."""
    actor.must(Permission.AGREEMENT_READ)
    with db.reading() as unit:
        return of_evaluators(unit)


def of_evaluators(unit: Unit) -> tuple[PairLine, ...]:
    """Return every pair of evaluators who signed observations of the same jobs, most steps first."""
    kept: dict[tuple[str, str], _Pair] = {}
    for first, second in _of_same_job(unit):
        one, other = sorted((first, second), key=lambda item: item.evaluator_id)
        pair = kept.setdefault((one.evaluator_id, other.evaluator_id), _Pair())
        _count_in(unit, pair, one, other)
    lines = [
        PairLine(
            first=found(unit, first).display_name,
            second=found(unit, second).display_name,
            jobs=len(pair.jobs),
            steps=len(pair.marks),
            alike=sum(a is b for a, b in pair.marks),
            unaided=_agreement(_by_unaided(pair.marks)),
            marks=_agreement(_by_mark(pair.marks)),
            apart=tuple(MarkedApart(*what, times) for what, times in pair.apart.most_common(_LISTED)),
        )
        for (first, second), pair in kept.items()
    ]
    return tuple(sorted(lines, key=lambda line: (-line.steps, line.first, line.second)))


def _of_same_job(unit: Unit) -> Iterator[tuple[Observation, Observation]]:
    """Yield each two signed observations of one job."""
    by_job: dict[int, list[Observation]] = {}
    for kept in observations.closed_twice(unit):
        by_job.setdefault(kept.job, []).append(kept)
    for of_job in by_job.values():
        yield from combinations(of_job, 2)


def _count_in(unit: Unit, pair: _Pair, first: Observation, second: Observation) -> None:
    module = prepared(unit, first.revision).module
    others = {item.step: item.mark for item in standing_of(unit, second)}
    pair.jobs.add(first.job)
    for item in standing_of(unit, first):
        mark, other = item.mark, others.get(item.step)
        if mark is None or other is None:
            continue
        pair.marks.append((mark, other))
        if mark is not other:
            step = module.steps[item.step].do
            pair.apart[module.title, step, mark.words, other.words] += 1


def _by_mark(marks: Sequence[tuple[StepMark, StepMark]]) -> list[list[int]]:
    times = Counter(marks)
    return [[times[first, second] for second in StepMark] for first in StepMark]


def _by_unaided(marks: Sequence[tuple[StepMark, StepMark]]) -> list[list[int]]:
    times = Counter((a is StepMark.UNAIDED, b is StepMark.UNAIDED) for a, b in marks)
    return [[times[first, second] for second in (True, False)] for first in (True, False)]


def _agreement(table: list[list[int]]) -> Agreement:
    steps = sum(map(sum, table))
    if steps < FEWEST_STEPS:
        return Agreement(None, f"{steps} steps marked by both are too few to tell; it takes {FEWEST_STEPS}.")
    try:
        return Agreement(cohen(table), "")
    except NoDisagreementPossible as problem:
        return Agreement(None, str(problem))
