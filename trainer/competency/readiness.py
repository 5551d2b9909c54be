"""From assessed and witnessed attempts to one decision a class and one for the whole person, each with its risk.

Nothing here is drawn and nothing looks at a clock: the same evidence and policy give the same answer for ever.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.competency import bounds
from trainer.competency.saying_numbers import chance, times
from trainer.competency.sequential import Decision, plan_for

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from trainer.competency.policy import Policy
    from trainer.competency.sequential import Plan
    from trainer.competency.skill_classes import ElementClass


@dataclass(frozen=True)
class Counted:
    """An attempt that counts for sign-off: assessed without help, or witnessed at the bench. Practice never does.

    Args:
        skill: the skill it showed.
        series: the person's series in the skill's element class, counted from 1; a new one begins after "not ready".
        right: whether everything asked for was right.
        critical: whether there was an error that can hurt somebody; that fails the attempt whatever else was right.
        at: when.
        witnessed: seen at the bench by a mentor.
        question: the identity of the question; of attempts on the same one in a series only the first counts. "" for
            none, as for work at the bench.
    """

    skill: str
    series: int
    right: bool
    critical: bool
    at: datetime
    witnessed: bool = False
    question: str = ""

    @property
    def failed(self) -> bool:
        """Not right, or with a critical error."""
        return self.critical or not self.right


@dataclass(frozen=True)
class ClassReadiness:
    """Where a person stands in one element class.

    Args:
        element: the class.
        series: the series that counts, the newest; before the first attempt the one that may be run first.
        attempts: the attempts in it that counted.
        failures: those of them that failed.
        decision: what the series says; a failure after passing can take a pass back.
        decided_at: when the series came to its decision, None while it goes on.
        plan: the plan it runs by.
        to_be_right: skills of the class that must still be right in this series.
        witnessed: right attempts of the series seen by a mentor.
        witnessed_needed: how many there must be.
        false_pass: the risk that the owner of the programme allows for this class, over all series.
        poor: the failure rate that the risk is stated for.
    """

    element: ElementClass
    series: int
    attempts: int
    failures: int
    decision: Decision
    decided_at: datetime | None
    plan: Plan
    to_be_right: tuple[str, ...]
    witnessed: int
    witnessed_needed: int
    false_pass: float
    poor: float

    @property
    def ready(self) -> bool:
        """Passed, and witnessed as often as the policy asks."""
        return self.decision is Decision.PASS and self.witnessed >= self.witnessed_needed

    @property
    def fewest_to_go(self) -> int:
        """The fewest further attempts, all right, after which the series could pass; 0 when it is decided."""
        if self.decision is not Decision.GO_ON:
            return 0
        needed = self.plan.passes_after(self.failures)
        return max((needed or self.plan.truncated_at) - self.attempts, len(self.to_be_right), 1)

    @property
    def exact_risk(self) -> float:
        """The exact probability that somebody at the poor rate passes in this or an earlier series."""
        return _risk(self.plan.p0, self.plan.p1, self.plan.alpha, self.false_pass, self.series)

    @property
    def shown_share(self) -> float | None:
        """The share of right attempts shown with a confidence of 1 less the risk of the series; None before the first."""
        if not self.attempts:
            return None
        return bounds.lower_bound(self.attempts - self.failures, self.attempts, 1 - self.plan.beta)

    @property
    def posterior(self) -> float:
        """The probability of failing less often than the poor rate, for a uniform prior; for display."""
        return bounds.posterior(self.attempts - self.failures, self.attempts, 1 - self.poor)

    @property
    def sentence(self) -> str:
        """What stands on the screen: the state, and what it means or what is missing."""
        counted = f"{_failures(self.failures)} in {_attempts(self.attempts)}"
        match self.decision:
            case Decision.PASS if self.ready:
                return f"Ready: at most {chance(self.false_pass)} who fail {times(self.poor)} would get this far."
            case Decision.PASS:
                missing = self.witnessed_needed - self.witnessed
                return f"Passed, {counted}; a mentor must still see {missing} right at the bench."
            case Decision.NOT_READY:
                return f"Not ready: {counted}. Practise, then begin series {self.series + 1}."
            case Decision.GO_ON:
                begun = counted if self.attempts else "not begun"
                return f"Undecided, {begun}; at least {self.fewest_to_go} more, all right."


@dataclass(frozen=True)
class Readiness:
    """Where a person stands in a whole procedure: ready when every class is."""

    classes: tuple[ClassReadiness, ...]

    @property
    def ready(self) -> bool:
        """Every class is ready, and there is one at all."""
        return bool(self.classes) and all(item.ready for item in self.classes)

    @property
    def passed(self) -> bool:
        """Every class is passed, whatever a mentor must still see; also when there is none."""
        return all(item.decision is Decision.PASS for item in self.classes)

    @property
    def false_pass(self) -> float:
        """The risk that somebody poor in any one class is found ready: no more than the largest risk of a class.

        Passing all classes implies passing the one somebody is poor in, so nothing has to be added up.
        """
        return max((item.false_pass for item in self.classes), default=0.0)

    @property
    def sentence(self) -> str:
        """What stands on the screen for the whole person."""
        if not self.classes:
            return "Not ready: the procedure gives nothing to assess."
        if self.ready:
            return (
                f"Ready in {_classes(len(self.classes))}: at most {chance(self.false_pass)} who fall short in one of"
                " them would get this far."
            )
        failed = [item.element.title for item in self.classes if item.decision is Decision.NOT_READY]
        if failed:
            return f"Not ready: {'; '.join(failed)}."
        count = sum(item.ready for item in self.classes)
        return f"Undecided: ready in {count} of {len(self.classes)} classes."

    def of_skill(self, skill: str) -> ClassReadiness | None:
        """Return the class that a skill stands in, None for a skill of no class."""
        return next((item for item in self.classes if skill in item.element.skills), None)


def assess(elements: Iterable[ElementClass], attempts: Iterable[Counted], policy: Policy) -> Readiness:
    """Return where a person stands, from everything that counts.

    Args:
        elements: the element classes of the procedure.
        attempts: all assessed and witnessed attempts of the person at the revision, in any order.
        policy: the numbers in force.
    """
    # The sort is stable: attempts of the same moment stay in the order in which they are given.
    in_time = sorted(attempts, key=lambda attempt: attempt.at)
    return Readiness(tuple(class_readiness(element, in_time, policy) for element in elements))


def class_readiness(
    element: ElementClass, attempts: Sequence[Counted], policy: Policy, *, first: int = 1
) -> ClassReadiness:
    """Return where a person stands in one class; attempts on other skills are passed over.

    Args:
        element: the class.
        attempts: attempts in the order of time.
        policy: the numbers in force.
        first: the series that may be run first; the risk of those before it is spent (`competency/rounds.py`).
    """
    mine = [attempt for attempt in attempts if attempt.skill in element.skills]
    series = max(first, *(attempt.series for attempt in mine)) if mine else first
    numbers = policy.of(element.skill_class)
    walk = _Walk(element, plan_for(policy, element.skill_class, series), policy.right_per_skill)
    for attempt in mine:
        if attempt.series == series:
            walk.take(attempt)
    return ClassReadiness(
        element=element,
        series=series,
        attempts=walk.attempts,
        failures=walk.failures,
        decision=walk.decision,
        decided_at=walk.decided_at,
        plan=walk.plan,
        to_be_right=walk.to_be_right,
        witnessed=walk.witnessed,
        witnessed_needed=numbers.observed,
        false_pass=float(numbers.false_pass),
        poor=float(numbers.poor),
    )


def series_for(readiness: ClassReadiness, policy: Policy) -> int | None:
    """Return the series that the next attempt belongs to; None when the policy allows no further one.

    Args:
        readiness: where the person stands in the class.
        policy: the numbers in force.
    """
    number = readiness.series + (readiness.decision is Decision.NOT_READY)
    return number if number <= policy.series_most else None


class _Walk:
    """A series, attempt by attempt.

    To go on after passing, and to hold a pass back until each skill was right, can only take passes away: whoever ends
    as passed has come to the line of passing before that of stopping. So the plan's risk still holds.
    """

    def __init__(self, element: ElementClass, plan: Plan, right_per_skill: int) -> None:
        self.plan = plan
        self.attempts = 0
        self.failures = 0
        self.witnessed = 0
        self.decision = Decision.GO_ON
        self.decided_at: datetime | None = None
        self._missing = dict.fromkeys(element.skills, right_per_skill)
        self._asked: set[str] = set()

    @property
    def to_be_right(self) -> tuple[str, ...]:
        return tuple(skill for skill, missing in self._missing.items() if missing > 0)

    def take(self, attempt: Counted) -> None:
        if self.decision is Decision.NOT_READY or attempt.question in self._asked:
            return
        if attempt.question:
            self._asked.add(attempt.question)
        self.attempts += 1
        if attempt.failed:
            self.failures += 1
        else:
            self._missing[attempt.skill] -= 1
            self.witnessed += attempt.witnessed
        before, self.decision = self.decision, self._decided()
        if self.decision is not before:
            self.decided_at = None if self.decision is Decision.GO_ON else attempt.at

    def _decided(self) -> Decision:
        found = self.plan.decide(self.attempts, self.failures)
        if found is Decision.PASS and self.to_be_right:
            return Decision.NOT_READY if self.attempts >= self.plan.truncated_at else Decision.GO_ON
        return found


@lru_cache(maxsize=256)
def _risk(p0: float, p1: float, alpha: float, beta: float, series: int) -> float:
    from trainer.competency.sequential import Plan

    none = 1.0
    for number in range(1, series + 1):
        none *= 1 - Plan(p0, p1, alpha, beta / 2**number).operating(p1).passes
    return 1 - none


def _attempts(count: int) -> str:
    return "1 attempt" if count == 1 else f"{count} attempts"


def _failures(count: int) -> str:
    return {0: "no failure", 1: "1 failure"}.get(count, f"{count} failures")


def _classes(count: int) -> str:
    return {1: "the one class", 2: "both classes"}.get(count, f"all {count} classes")
