"""Deciding after each attempt: ready, not ready, or go on, with bounded risks of a wrong decision.

Source: A. Wald, Sequential Analysis, Wiley 1947 (the lines x = s n + h); the exact probabilities are worked out here by
going through every (attempts, failures) that the plan can come to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.competency.policy import Policy
    from trainer.competency.skill_classes import SkillClass

# Points on a line count as reached in spite of rounding.
_NEAR = 1e-9


class PlanImpossible(TrainerError):
    """Numbers that make no plan."""

    def __init__(self) -> None:
        super().__init__(
            "A plan needs a good failure rate below the poor one, both between 0 and 1, and risks that together stay"
            " below 1."
        )


class CountsImpossible(TrainerError):
    """More failures than attempts, or fewer than none."""

    def __init__(self, attempts: int, failures: int) -> None:
        super().__init__(f"{failures} failures in {attempts} attempts cannot be.")


class Decision(StrEnum):
    """What a series says so far."""

    PASS = "pass"  # noqa: S105  # a decision, no password
    NOT_READY = "not-ready"
    GO_ON = "go-on"


@dataclass(frozen=True)
class Operating:
    """What a plan does to a person whose attempts fail at one rate: how often it ends how, and after how many."""

    passes: float
    not_ready: float
    mean_attempts: float


@dataclass(frozen=True)
class Plan:
    """A sequential plan.

    Args:
        p0: failure rate of a good technician.
        p1: failure rate of somebody who must not be signed off.
        alpha: risk of stopping a good technician as not ready.
        beta: risk of passing somebody at p1.
        truncated: whether the plan stops as not ready at `truncated_at` attempts; that can only lower the risk of
            passing somebody wrongly. Without it the plan goes on as long as it takes.

    Raises:
        PlanImpossible: the numbers make no plan.
    """

    p0: float
    p1: float
    alpha: float
    beta: float
    truncated: bool = True

    def __post_init__(self) -> None:
        """Refuse numbers that make no plan."""
        rates = 0 < self.p0 < self.p1 < 1
        risks = self.alpha > 0 and self.beta > 0 and self.alpha + self.beta < 1
        if not (rates and risks):
            raise PlanImpossible

    @cached_property
    def k(self) -> float:
        """The logarithm of the odds ratio of the two failure rates."""
        return math.log(self.p1 * (1 - self.p0) / (self.p0 * (1 - self.p1)))

    @cached_property
    def slope(self) -> float:
        """Failures per attempt along both lines, between p0 and p1."""
        return math.log((1 - self.p0) / (1 - self.p1)) / self.k

    @cached_property
    def pass_at(self) -> float:
        """Where the line of passing meets n = 0; below zero."""
        return math.log(self.beta / (1 - self.alpha)) / self.k

    @cached_property
    def stop_at(self) -> float:
        """Where the line of stopping as not ready meets n = 0; above zero."""
        return math.log((1 - self.beta) / self.alpha) / self.k

    @cached_property
    def shortest(self) -> int:
        """The attempts after which somebody without a failure has passed."""
        return math.ceil(-self.pass_at / self.slope - _NEAR)

    @cached_property
    def truncated_at(self) -> int:
        """The attempts after which a series without a decision ends as not ready: three times the shortest."""
        return 3 * self.shortest

    def decide(self, attempts: int, failures: int) -> Decision:
        """Return what so many failures in so many attempts say, of a series that was not decided before.

        Raises:
            CountsImpossible: more failures than attempts, or fewer than none.
        """
        if not 0 <= failures <= attempts:
            raise CountsImpossible(attempts, failures)
        along = self.slope * attempts
        if attempts and failures <= along + self.pass_at + _NEAR:
            return Decision.PASS
        if failures >= along + self.stop_at - _NEAR or (self.truncated and attempts >= self.truncated_at):
            return Decision.NOT_READY
        return Decision.GO_ON

    def passes_after(self, failures: int) -> int | None:
        """Return the attempts after which somebody with so many failures passes; None when the series ends before."""
        if failures < 0:
            raise CountsImpossible(0, failures)
        needed = max(failures, math.ceil((failures - self.pass_at) / self.slope - _NEAR))
        return None if self.truncated and needed > self.truncated_at else needed

    def operating(self, failure_rate: float, *, most: int = 100_000) -> Operating:
        """Return the exact probabilities of both ends, and the mean number of attempts, at a failure rate.

        Args:
            failure_rate: the probability that an attempt fails, 0 to 1.
            most: for a plan that is not truncated, where to stop in any case; what is then undecided is less than 1e-12
                unless the plan is very long.
        """
        passes = stops = attempts_spent = 0.0
        for step, alive in enumerate(self._alive(failure_rate, most), start=1):
            for failures, weight in alive.items():
                match self.decide(step, failures):
                    case Decision.PASS:
                        passes += weight
                    case Decision.NOT_READY:
                        stops += weight
                    case Decision.GO_ON:
                        continue
                attempts_spent += weight * step
        return Operating(passes, stops, attempts_spent)

    def _alive(self, failure_rate: float, most: int) -> Iterator[dict[int, float]]:
        """Yield, attempt by attempt, the probability of each number of failures among series not yet decided."""
        undecided = {0: 1.0}
        for step in range(1, (self.truncated_at if self.truncated else most) + 1):
            reached: dict[int, float] = {}
            for failures, weight in undecided.items():
                reached[failures] = reached.get(failures, 0.0) + weight * (1 - failure_rate)
                reached[failures + 1] = reached.get(failures + 1, 0.0) + weight * failure_rate
            yield reached
            undecided = {
                failures: weight
                for failures, weight in reached.items()
                if self.decide(step, failures) is Decision.GO_ON
            }
            if sum(undecided.values()) < 1e-12:
                return


def plan_for(policy: Policy, skill_class: SkillClass, series: int) -> Plan:
    """Return the plan of a person's series in a class, counted from 1.

    Series i spends the risk beta / 2^i, so that however many series are run the risk of ever passing somebody at the
    poor rate stays below beta.

    Raises:
        SeriesUncounted: series are counted from 1.
        PlanImpossible: the policy's numbers make no plan.
    """
    if series < 1:
        raise SeriesUncounted(series)
    chosen = policy.of(skill_class)
    return Plan(
        float(chosen.good),
        float(chosen.poor),
        float(chosen.false_fail),
        float(chosen.false_pass) / 2**series,
    )


class SeriesUncounted(TrainerError):
    """A series that is not counted from 1."""

    def __init__(self, series: int) -> None:
        super().__init__(f"Series are counted from 1, so there is no series {series}.")
