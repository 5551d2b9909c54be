"""What the owner of a programme sets for a covered task: why it is one, methods, span of control, who may evaluate.

The four tests are those of 49 CFR 192.801(b), read in a stored public copy; compare with the current text of the law
before anything is relied on. A span of control stands nowhere in the rule (192.805(c) only asks that somebody qualified
directs and observes); that one is set for each task is common practice. Conditions on evaluators are the owner's choice.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from trainer.records.methods import Method, why_not_enough

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

MOST_DIRECTED = 9
MOST_MONTHS = 120
NOTHING_SET = "Nothing is set for it; then nobody works at it unqualified."


class Ground(StrEnum):
    """One of the four tests by which a task is a covered task (49 CFR 192.801(b)); all have to be met."""

    ON_A_FACILITY = "on_a_facility"
    OPERATION_OR_MAINTENANCE = "operation_or_maintenance"
    REQUIRED = "required"
    AFFECTS = "affects"

    @property
    def words(self) -> str:
        """The test in words."""
        return _GROUNDS[self]

    @property
    def paragraph(self) -> str:
        """Where the law has it."""
        return f"192.801(b)({list(Ground).index(self) + 1})"


_GROUNDS = {
    Ground.ON_A_FACILITY: "It is done on a pipeline facility",
    Ground.OPERATION_OR_MAINTENANCE: "It is an operations or maintenance task",
    Ground.REQUIRED: "It is done because Part 192 requires it",
    Ground.AFFECTS: "It affects the operation or integrity of the pipeline",
}


@dataclass(frozen=True)
class Finding:
    """What the owner found of one test, and why."""

    ground: Ground
    met: bool
    because: str


@dataclass(frozen=True)
class Grounds:
    """Why a task is covered: the tests that were answered, in the order of the law, and the paragraph that requires the task."""

    findings: tuple[Finding, ...] = ()
    required_by: str = ""

    def of(self, ground: Ground) -> Finding | None:
        """Return what was found of a test, None when nobody has written it down."""
        return next((found for found in self.findings if found.ground is ground), None)

    @property
    def sentence(self) -> str:
        """What the answers come to."""
        left = len(Ground) - len(self.findings)
        if left:
            return f"{left} of the four tests {'is' if left == 1 else 'are'} not written down yet."
        if all(found.met for found in self.findings):
            return "All four tests are met: it is a covered task."
        return "Not all four tests are met: the programme covers it of its own accord."

    def as_data(self) -> dict[str, Any]:
        """Return the same as plain JSON values."""
        tests = {found.ground.value: {"met": found.met, "because": found.because} for found in self.findings}
        return {"tests": tests, "required_by": self.required_by}

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Grounds:
        """Return what `as_data` wrote."""
        tests = data["tests"]
        found = (Finding(g, tests[g]["met"], tests[g]["because"]) for g in Ground if g in tests)
        return cls(tuple(found), data["required_by"])


@dataclass(frozen=True)
class Methods:
    """By which methods an evaluation is made: those allowed, those that every one uses, and those of which it uses one."""

    allowed: tuple[Method, ...] = tuple(Method)
    always: tuple[Method, ...] = ()
    one_of: tuple[Method, ...] = ()

    def why_unsound(self) -> str | None:
        """Return why nobody could be evaluated by this, or None when it can be put in force."""
        if not self.allowed:
            return "No method is allowed, so nobody could be evaluated."
        for method in (*self.always, *self.one_of):
            if method not in self.allowed:
                return f"{method.words} is asked for but not allowed."
        alone = why_not_enough(self.allowed)
        return f"Nobody could be qualified by what is allowed. {alone}" if alone else None

    def why_not(self, used: Iterable[Method], task: str) -> str | None:
        """Return why an evaluation for a task cannot be made by these methods, or None when it can."""
        named = tuple(used)
        for method in named:
            if method not in self.allowed:
                return f"{method.words} is not allowed for {task}; allowed: {_listed(self.allowed, 'and')}."
        for method in self.always:
            if method not in named:
                return f"Every evaluation for {task} uses this method: {_small(method)}."
        if self.one_of and not set(self.one_of) & set(named):
            return f"An evaluation for {task} uses at least one of these: {_listed(self.one_of, 'or')}."
        return None

    @property
    def sentences(self) -> tuple[str, ...]:
        """The same in words."""
        left_out = [method for method in Method if method not in self.allowed]
        told = [f"Allowed: {_listed(self.allowed, 'and')}."] if self.allowed else []
        if len(left_out) < len(self.allowed):
            but = f" but {_listed(left_out, 'and')}" if left_out else ""
            told = [f"All methods of the law's list are allowed{but}."]
        if self.always:
            told.append(f"Every evaluation uses: {_listed(self.always, 'and')}.")
        if self.one_of:
            told.append(f"At least one of: {_listed(self.one_of, 'or')}.")
        return tuple(told)


def _small(method: Method) -> str:
    return f"{method.words[:1].lower()}{method.words[1:]}"


def _listed(methods: Sequence[Method], joint: str) -> str:
    words = [_small(method) for method in methods]
    return f" {joint} ".join(part for part in (", ".join(words[:-1]), words[-1]) if part)


@dataclass(frozen=True)
class Span:
    """Span of control: how many people who are not qualified one qualified person may direct and observe at the task."""

    most: int = 0
    because: str = NOTHING_SET

    @property
    def words(self) -> str:
        """How somebody works at the task who is not qualified for it."""
        if not self.most:
            return "nobody works at it unqualified, not even directed and observed"
        people = "one person" if self.most == 1 else f"{self.most} people"
        return f"only while directed and observed by somebody qualified, who directs {people} at most"

    @property
    def sentence(self) -> str:
        """The same as a sentence, with its reason."""
        return f"{self.words[:1].upper()}{self.words[1:]}. {self.because}"


@dataclass(frozen=True)
class Evaluator:
    """What is known of somebody who is to evaluate a person for a task on a day.

    `qualified_since` is the first day of the time that they have been qualified without a break, None when they are not.
    """

    appointed: bool
    qualified_since: date | None
    months_held: int
    same_crew: bool
    assigned_it: bool


@dataclass(frozen=True)
class Evaluators:
    """Who may evaluate for a task, beyond the house rules that hold for every one; one reason for all that is asked.

    `appointment_enough`: an appointment as evaluator serves without being qualified for the task. `months_held`: so long
    must somebody have been qualified without a break who evaluates by being qualified.
    """

    appointment_enough: bool = True
    months_held: int = 0
    other_crew: bool = False
    not_who_assigned: bool = False
    because: str = ""

    @property
    def asks_anything(self) -> bool:
        """Something is asked beyond the house rules."""
        return (
            not self.appointment_enough or bool(self.months_held) or self.other_crew or self.not_who_assigned
        )

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is asked, in words."""
        told = ["Qualified for the task on that day, or appointed as evaluator."]
        if not self.appointment_enough:
            told = ["Qualified for the task on that day; an appointment as evaluator is not enough."]
        if self.months_held:
            by_right = " (whoever evaluates by being qualified)" if self.appointment_enough else ""
            told.append(f"Qualified for {_months(self.months_held)} without a break{by_right}.")
        if self.other_crew:
            told.append("Of another crew than the person evaluated.")
        if self.not_who_assigned:
            told.append("Not whoever put the procedure on the person's sheet.")
        return tuple(told)

    def why_not(self, evaluator: Evaluator, task: str) -> str | None:
        """Return why somebody may not evaluate for a task, in one sentence with the reason set, or None when they may."""
        by_appointment = self.appointment_enough and evaluator.appointed
        if not by_appointment and evaluator.qualified_since is None:
            return self._refusal(
                f"To evaluate '{task}' you must be qualified for it that day, an appointment is not enough"
            )
        if not by_appointment and evaluator.months_held < self.months_held:
            since = evaluator.qualified_since.isoformat() if evaluator.qualified_since else ""
            return self._refusal(
                f"To evaluate '{task}' you must have been qualified for it for {_months(self.months_held)} without a "
                f"break, and that began on {since}"
            )
        if self.other_crew and evaluator.same_crew:
            return self._refusal(f"Somebody of another crew evaluates '{task}'")
        if self.not_who_assigned and evaluator.assigned_it:
            return self._refusal(
                f"Whoever put the procedure on the person's sheet does not evaluate '{task}'"
            )
        return None

    def _refusal(self, rule: str) -> str:
        return f"{rule}; the programme's reason: {self.because.rstrip('.')}."


def _months(count: int) -> str:
    return "one month" if count == 1 else f"{count} months"


@dataclass(frozen=True)
class Conditions:
    """All that the owner sets for evaluation and direction at a task."""

    methods: Methods = Methods()
    span: Span = Span()
    evaluators: Evaluators = Evaluators()

    def as_data(self) -> dict[str, Any]:
        """Return the same as plain JSON values."""
        return {
            "methods": {
                "allowed": [method.value for method in self.methods.allowed],
                "always": [method.value for method in self.methods.always],
                "one_of": [method.value for method in self.methods.one_of],
            },
            "span": dict(self.span.__dict__),
            "evaluators": dict(self.evaluators.__dict__),
        }

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Conditions:
        """Return what `as_data` wrote."""
        methods = {name: tuple(Method(value) for value in listed) for name, listed in data["methods"].items()}
        return cls(Methods(**methods), Span(**data["span"]), Evaluators(**data["evaluators"]))
