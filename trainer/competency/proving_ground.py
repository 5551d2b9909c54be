"""An invented crew of known true skill, put through practice and assessment, to see how often decisions are wrong.

What is true of a real person is never known; of an invented one it is. The crew runs through the very plans that
decide on real people (`sequential.plan_for` and `Plan.decide`), series after series, and the share of wrong decisions is
compared with the risks that the policy states. Nobody below standard gets better between series unless the make-up of the
crew says so: the hardest case for a rule that allows further series.

numpy and scipy are imported here: import this module where it is used, not at the start.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import bdtr, bdtrc, betaincinv

from trainer.competency.sequential import Decision, plan_for
from trainer.competency.skill_classes import SkillClass
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.random import Generator
    from numpy.typing import NDArray

    from trainer.competency.policy import Policy
    from trainer.competency.sequential import Plan

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    Counts = NDArray[np.int64]

FEWEST, MOST = 100, 1_000_000
AT_ONCE = 50_000
"""People simulated at a time, so that memory does not grow with the crew."""
_CODES = (Decision.GO_ON, Decision.PASS, Decision.NOT_READY)
_LONGEST_FIXED = 2000


class CrewUnfit(TrainerError):
    """So many people cannot be simulated."""

    def __init__(self, people: int) -> None:
        super().__init__(f"A crew to simulate has {FEWEST} to {MOST} people, not {people}.")


@dataclass(frozen=True)
class MakeUp:
    """What the crew is made of; every number an own choice, invented.

    `good` become at least as sure as the policy's good technician, `poor` stay at the rate that must not be signed off or
    above it; the others lie between. `at_the_line` is the share of the poor who stay at exactly that rate, the hardest to
    tell; `improving` the share of them whom retraining after "not ready" makes good.
    """

    good: float = 0.4
    poor: float = 0.4
    at_the_line: float = 0.5
    improving: float = 0.3
    first_failures: float = 0.6
    fewest_drills: int = 12
    most_drills: int = 60


@dataclass(frozen=True)
class Share:
    """How often something happened, of how many, with the one-sided upper 95 % limit of Clopper and Pearson."""

    times: int
    of: int

    @property
    def rate(self) -> float:
        """The share; 0 of nobody."""
        return self.times / self.of if self.of else 0.0

    @property
    def upper_95(self) -> float:
        """The largest true share that would still show so few in one of twenty crews; 1 of nobody."""
        if self.times >= self.of:
            return 1.0
        return float(betaincinv(self.times + 1, self.of - self.times, 0.95))

    @property
    def lower_95(self) -> float:
        """The smallest true share that would still show so many in one of twenty crews; 0 of nobody."""
        if not self.times:
            return 0.0
        return float(betaincinv(self.times, self.of - self.times + 1, 0.05))


@dataclass(frozen=True)
class Fixed:
    """A plan of fixed length: this many attempts, passed with at most so many failures."""

    attempts: int
    failures: int


@dataclass(frozen=True)
class InARow:
    """The rule "so many right in a row, try as often as you like": wrong passes, and attempts used.

    Tries end where all series of the plan together would have ended at the latest.
    """

    needed: int
    false_pass: Share
    mean_attempts: float


@dataclass(frozen=True)
class ClassReport:
    """What the plans of one class of skills did to the crew.

    `mean_attempts` is for each series sat, `first_series` for first ones; `fixed` and `fixed_stopped` are what a plan of
    fixed length with the same risks needs for the same series, sat to the end or stopped as soon as its end is certain.
    """

    skill_class: SkillClass
    beta: float
    alpha: float
    false_pass: Share
    false_fail: Share
    series: int
    mean_attempts: float
    first_series: float
    fixed: float
    fixed_stopped: float
    first_fixed: Fixed
    in_a_row: tuple[InARow, ...]


@dataclass(frozen=True)
class PracticeReport:
    """Practice until so many in a row: drills used, and how many of those released were below standard all the same."""

    mean_drills: float
    released_below_standard: Share


@dataclass(frozen=True)
class Report:
    """The whole run; `person` counts people below standard in some class who were found ready in all."""

    people: int
    seed: int
    practice: PracticeReport
    classes: tuple[ClassReport, ...]
    person: Share

    def of(self, skill_class: SkillClass) -> ClassReport:
        """Return the report of a class."""
        return next(found for found in self.classes if found.skill_class is skill_class)


@dataclass
class _Tally:
    """Sums over the parts of a crew."""

    passed_below: int = 0
    below: int = 0
    failed_good: int = 0
    good: int = 0
    series: int = 0
    attempts: int = 0
    first: int = 0
    first_attempts: int = 0
    fixed: int = 0
    fixed_stopped: int = 0
    rows: dict[int, list[int]] = field(default_factory=dict)


@dataclass
class _Practice:
    drills: int = 0
    released_below: int = 0
    released: int = 0


def simulate(
    policy: Policy,
    people: int,
    seed: int,
    *,
    make_up: MakeUp | None = None,
    progress: Callable[[int], None] | None = None,
) -> Report:
    """Return what became of an invented crew.

    Args:
        policy: whose numbers are proved.
        people: how many.
        seed: the same seed gives the same crew.
        make_up: what the crew is made of.
        progress: called with the number of people done after each part.

    Raises:
        CrewUnfit: too few or too many people.
        PlanImpossible: the policy's numbers make no plan.
    """
    if not FEWEST <= people <= MOST:
        raise CrewUnfit(people)
    made = make_up or MakeUp()
    chance = np.random.default_rng(seed)
    plans = {found: _plans(policy, found) for found in SkillClass}
    tallies = {found: _Tally() for found in SkillClass}
    practice = _Practice()
    person = [0, 0]
    done = 0
    while done < people:
        part = min(AT_ONCE, people - done)
        below, wrongly, ready = (np.full(part, start, dtype=np.bool_) for start in (False, False, True))
        for skill_class in SkillClass:
            plan = plans[skill_class][0]
            rates, improving = _practised(policy, plan, part, made, chance, practice)
            ends = _assessed(plans[skill_class], rates, improving, chance, tallies[skill_class])
            _compared(policy, plans[skill_class], rates, chance, tallies[skill_class])
            below |= rates >= plan.p1
            wrongly |= ends.wrongly
            ready &= ends.ready
        person[0] += int((wrongly & ready).sum())
        person[1] += int(below.sum())
        done += part
        if progress is not None:
            progress(done)
    return Report(
        people=people,
        seed=seed,
        practice=PracticeReport(
            practice.drills / (people * len(SkillClass)), Share(practice.released_below, practice.released)
        ),
        classes=tuple(_reported(policy, found, plans[found], tallies[found]) for found in SkillClass),
        person=Share(*person),
    )


def _plans(policy: Policy, skill_class: SkillClass) -> list[Plan]:
    return [plan_for(policy, skill_class, number) for number in range(1, policy.series_most + 1)]


def decisions(plan: Plan) -> NDArray[np.int8]:
    """Return every decision of a plan as a table of attempts by failures: 0 go on, 1 pass, 2 not ready."""
    table = np.zeros((plan.truncated_at + 1, plan.truncated_at + 1), dtype=np.int8)
    for attempts in range(1, plan.truncated_at + 1):
        for failures in range(attempts + 1):
            table[attempts, failures] = _CODES.index(plan.decide(attempts, failures))
    return table


def fixed_length(plan: Plan) -> Fixed:
    """Return the shortest plan of fixed length that keeps both risks of a sequential one."""
    failures = 0
    for attempts in range(1, _LONGEST_FIXED):
        while bdtr(failures + 1, attempts, plan.p1) <= plan.beta:
            failures += 1
        if (
            bdtr(failures, attempts, plan.p1) <= plan.beta
            and bdtrc(failures, attempts, plan.p0) <= plan.alpha
        ):
            return Fixed(attempts, failures)
    return Fixed(_LONGEST_FIXED, failures)


def _practised(
    policy: Policy, plan: Plan, people: int, made: MakeUp, chance: Generator, practice: _Practice
) -> tuple[Floats, Flags]:
    """Return the failure rates after practice, and whom retraining would make good."""
    settles, improving = _settling(plan, people, made, chance)
    halves_after = chance.uniform(0.8, 2.5, people)
    in_a_row = np.zeros(people, dtype=np.int64)
    drills = np.zeros(people, dtype=np.int64)
    practising = np.ones(people, dtype=np.bool_)
    for number in range(made.most_drills):
        rates = settles + (made.first_failures - settles) * 2 ** (-number / halves_after)
        right = chance.random(people) >= rates
        in_a_row = np.where(practising, np.where(right, in_a_row + 1, 0), in_a_row)
        drills += practising
        practising &= (in_a_row < policy.clean_in_a_row) | (number + 1 < made.fewest_drills)
        if not practising.any():
            break
    rates = settles + (made.first_failures - settles) * 2 ** (-drills / halves_after)
    practice.drills += int(drills.sum())
    practice.released += int((~practising).sum())
    practice.released_below += int((~practising & (rates >= plan.p1)).sum())
    return rates, improving


def _settling(plan: Plan, people: int, made: MakeUp, chance: Generator) -> tuple[Floats, Flags]:
    """Return the failure rate that each person's practice ends in, and whom retraining would make good."""
    sort = chance.random(people)
    good = sort < made.good
    poor = sort >= 1 - made.poor
    # Room is left below the good rate for what practice has not worn off yet.
    settles = np.where(
        good, chance.uniform(0, 0.9 * plan.p0, people), chance.uniform(plan.p0, plan.p1, people)
    )
    at_the_line = chance.random(people) < made.at_the_line
    worse = chance.uniform(plan.p1, min(1.0, 2.5 * plan.p1), people)
    settles = np.where(poor, np.where(at_the_line, plan.p1, worse), settles)
    improving = poor & (chance.random(people) < made.improving)
    return settles, improving


@dataclass(frozen=True)
class _Ends:
    """Who was found ready, and who of them while below standard."""

    ready: Flags
    wrongly: Flags


def _assessed(plans: list[Plan], rates: Floats, improving: Flags, chance: Generator, tally: _Tally) -> _Ends:
    """Run everybody through their series."""
    first = plans[0]
    began_below, began_good = rates >= first.p1, rates <= first.p0
    now = rates.copy()
    ready = np.zeros(len(rates), dtype=np.bool_)
    wrongly = np.zeros(len(rates), dtype=np.bool_)
    waiting = np.arange(len(rates))
    for number, plan in enumerate(plans, start=1):
        failed = chance.random((len(waiting), plan.truncated_at)) < now[waiting, None]
        passed, attempts = run(decisions(plan), failed)
        ready[waiting] = passed
        wrongly[waiting] = passed & (now[waiting] >= plan.p1)
        fixed = fixed_length(plan)
        tally.series += len(waiting)
        tally.attempts += int(attempts.sum())
        tally.fixed += fixed.attempts * len(waiting)
        tally.fixed_stopped += int(_stopped(fixed, now[waiting], chance).sum())
        if number == 1:
            tally.first += len(waiting)
            tally.first_attempts += int(attempts.sum())
            tally.good += int(began_good.sum())
            tally.failed_good += int((began_good & ~passed).sum())
        waiting = waiting[~passed]
        # Retraining after "not ready" reaches some; nobody else changes.
        now[waiting] = np.where(improving[waiting], plan.p0 / 2, now[waiting])
        if not len(waiting):
            break
    tally.below += int(began_below.sum())
    tally.passed_below += int(wrongly.sum())
    return _Ends(ready, wrongly)


def run(table: NDArray[np.int8], failed: Flags) -> tuple[Flags, Counts]:
    """Return who passes a series and after how many attempts.

    Args:
        table: the decisions of the plan.
        failed: people by attempts, as many as the plan allows at most.
    """
    failures = np.cumsum(failed, axis=1, dtype=np.int64)
    numbers = np.arange(1, failed.shape[1] + 1)
    said = table[numbers[None, :], failures]
    # A truncated plan always decides in the end, so there is a first decision.
    ended = (said != 0).argmax(axis=1)
    return said[np.arange(len(said)), ended] == 1, ended + 1


def _stopped(fixed: Fixed, rates: Floats, chance: Generator) -> Counts:
    """Return the attempts of a plan of fixed length that ends as soon as nothing can change its end any more."""
    failed = chance.random((len(rates), fixed.attempts)) < rates[:, None]
    failures = np.cumsum(failed, axis=1)
    numbers = np.arange(1, fixed.attempts + 1)
    certain = (failures > fixed.failures) | (numbers - failures >= fixed.attempts - fixed.failures)
    return np.asarray(certain.argmax(axis=1) + 1, dtype=np.int64)


def _compared(policy: Policy, plans: list[Plan], rates: Floats, chance: Generator, tally: _Tally) -> None:
    """Run those below standard, without any retraining, through "so many in a row"."""
    below = rates[rates >= plans[0].p1]
    tries = sum(plan.truncated_at for plan in plans)
    for needed in rows_tried(policy, plans[0]):
        passed, attempts = in_a_row(below, needed, tries, chance)
        kept = tally.rows.setdefault(needed, [0, 0, 0])
        kept[0] += int(passed.sum())
        kept[1] += len(below)
        kept[2] += int(attempts.sum())


def rows_tried(policy: Policy, plan: Plan) -> Iterator[int]:
    """Yield how many in a row are tried: what releases from practice, and what a single try would need for the risk."""
    yield policy.clean_in_a_row
    single = int(np.ceil(np.log(plan.beta * 2) / np.log(1 - plan.p1) - 1e-9))
    if single != policy.clean_in_a_row:
        yield single


def in_a_row(rates: Floats, needed: int, tries: int, chance: Generator) -> tuple[Flags, Counts]:
    """Return who gets so many right in a row within so many tries, and the tries each used."""
    row = np.zeros(len(rates), dtype=np.int64)
    used = np.zeros(len(rates), dtype=np.int64)
    for _ in range(tries):
        trying = row < needed
        if not trying.any():
            break
        right = chance.random(len(rates)) >= rates
        row = np.where(trying, np.where(right, row + 1, 0), row)
        used += trying
    return row >= needed, used


def _reported(policy: Policy, skill_class: SkillClass, plans: list[Plan], tally: _Tally) -> ClassReport:
    chosen = policy.of(skill_class)
    sat = max(tally.series, 1)
    return ClassReport(
        skill_class=skill_class,
        beta=float(chosen.false_pass),
        alpha=float(chosen.false_fail),
        false_pass=Share(tally.passed_below, tally.below),
        false_fail=Share(tally.failed_good, tally.good),
        series=tally.series,
        mean_attempts=tally.attempts / sat,
        first_series=tally.first_attempts / tally.first,
        fixed=tally.fixed / sat,
        fixed_stopped=tally.fixed_stopped / sat,
        first_fixed=fixed_length(plans[0]),
        in_a_row=tuple(
            InARow(needed, Share(passed, of), attempts / max(of, 1))
            for needed, (passed, of, attempts) in tally.rows.items()
        ),
    )
