"""The record of one qualification, and where a person stands with a covered task on a given day."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.records.conditions import Conditions, Grounds

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.records.methods import Method

ENDS_SOON_DAYS = 60
_SOON = timedelta(days=ENDS_SOON_DAYS)

DUTY_OF_CARE = (
    "Practice and record keeping only. This never replaces the manufacturer's instructions, the operator's "
    "procedures, local codes or licensed supervision."
)
MEANING_EVALUATED = "I evaluated this person by the methods named here, and the result is as recorded."
MEANING_SIGNED = "I have read the evidence and qualify this person to do this covered task without being directed and observed."


class Standing(StrEnum):
    """Where a person stands with a covered task; each has a letter and a hatch on the crew sheet."""

    NOT_ASSIGNED = "not_assigned"
    IN_PRACTICE = "in_practice"
    READY = "ready"
    SIGNED = "signed"
    ENDS_SOON = "ends_soon"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"

    @property
    def letter(self) -> str:
        """The letter on the sheet."""
        return _LETTERS[self]

    @property
    def words(self) -> str:
        """The standing in words, as the key of the sheet has it."""
        return _TITLES[self]

    @property
    def may_work_alone(self) -> bool:
        """Qualified on that day; everybody else works only while directed and observed (49 CFR 192.805(c))."""
        return self in _ALONE


# The letter of a standing that rests on a record transcribed from an earlier paper carries this mark; keys say so.
MARK = "°"
MARK_WORDS = "on an earlier paper, transcribed"
_ALONE = (Standing.SIGNED, Standing.ENDS_SOON)
# Standings that rest on a record; the others are about practice.
ON_RECORD = frozenset({Standing.SIGNED, Standing.ENDS_SOON, Standing.LAPSED})

_LETTERS = {
    Standing.NOT_ASSIGNED: "–",
    Standing.IN_PRACTICE: "P",
    Standing.READY: "A",
    Standing.SIGNED: "S",
    Standing.ENDS_SOON: "E",
    Standing.LAPSED: "L",
    Standing.SUSPENDED: "X",
}
_TITLES = {
    Standing.NOT_ASSIGNED: "not assigned",
    Standing.IN_PRACTICE: "in practice",
    Standing.READY: "ready, waits for sign-off",
    Standing.SIGNED: "signed, in date",
    Standing.ENDS_SOON: f"signed, ends within {ENDS_SOON_DAYS} days",
    Standing.LAPSED: "lapsed",
    Standing.SUSPENDED: "suspended",
}


def standing(
    *, assigned: bool, ready: bool, valid_until: date | None, today: date, suspended: bool = False
) -> Standing:
    """Return where a person stands on a day.

    Args:
        assigned: a module that serves the task is assigned.
        ready: nothing but the signature is missing.
        valid_until: last day of the newest qualification, None without one.
        today: the day asked about.
        suspended: a suspension holds on that day; whatever else is true, it goes before.
    """
    if suspended:
        return Standing.SUSPENDED
    if valid_until is not None and valid_until >= today:
        soon = valid_until - today <= _SOON
        return Standing.ENDS_SOON if soon else Standing.SIGNED
    if ready:
        return Standing.READY
    if valid_until is not None:
        return Standing.LAPSED
    return Standing.IN_PRACTICE if assigned else Standing.NOT_ASSIGNED


@dataclass(frozen=True)
class CoveredTask:
    """A covered task of the operator's programme (49 CFR 192.801(b)), with all that its owner sets for it."""

    id: str
    title: str
    interval_months: int
    interval_because: str
    abnormal_conditions: tuple[str, ...]
    group: str = ""
    needed: int = 1
    grounds: Grounds = field(default_factory=Grounds)
    conditions: Conditions = field(default_factory=Conditions)

    def as_data(self) -> dict[str, Any]:
        """Return the task as plain JSON values."""
        return {
            **self.__dict__,
            "abnormal_conditions": list(self.abnormal_conditions),
            "grounds": self.grounds.as_data(),
            "conditions": self.conditions.as_data(),
        }

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> CoveredTask:
        """Return what `as_data` wrote; entries from before there were grounds and conditions have the defaults."""
        later = {}
        if "grounds" in data:
            later = {
                "grounds": Grounds.read(data["grounds"]),
                "conditions": Conditions.read(data["conditions"]),
            }
        return cls(**{**data, "abnormal_conditions": tuple(data["abnormal_conditions"]), **later})


@dataclass(frozen=True)
class Signature:
    """Who signed, when (UTC) and what the signature means."""

    name: str
    person: str
    at: datetime
    meaning: str


@dataclass(frozen=True)
class SkillShown:
    """A skill of the module, and the practice behind it."""

    title: str
    clean: int
    attempts: int
    last: date | None


@dataclass(frozen=True)
class ClassShown:
    """An element class, what its series came to, and the numbers it was decided by.

    `of_risk` is the risk allowed of ever passing somebody who fails at the rate `poor`, both as decimal text; `policy`
    is the hash that names all numbers.
    """

    title: str
    weight: str
    series: int
    attempts: int
    failures: int
    witnessed: int
    decided_on: date | None
    poor: str
    of_risk: str
    policy: str
    sentence: str


@dataclass(frozen=True)
class QualificationRecord:
    """Everything a printed qualification record says (49 CFR 192.807(a)(1)-(4) and the house's own additions).

    `conditions` are those in force when it was signed; records from before there were any have None.
    """

    number: str
    company: str
    person: str
    person_id: str
    task: str
    task_title: str
    module: str
    module_title: str
    document: str
    revision: str
    sizes: tuple[str, ...]
    evaluated_on: date
    methods: tuple[Method, ...]
    abnormal_conditions: tuple[str, ...]
    abnormal_passed: bool
    result: str
    valid_from: date
    valid_until: date
    interval_months: int
    interval_because: str
    evaluator: Signature
    supervisor: Signature
    supersedes: str = ""
    skills: tuple[SkillShown, ...] = field(default=())
    statement: str = ""
    classes: tuple[ClassShown, ...] = field(default=())
    conditions: Conditions | None = None

    def as_data(self) -> dict[str, Any]:
        """Return the record as plain JSON values without floats: what is attached to the printed record."""
        data = _plain(self.__dict__)
        data["methods"] = [
            {"method": m.value, "words": m.words, "paragraph": m.paragraph} for m in self.methods
        ]
        # Nothing is added to an earlier record: what was signed has to give the same bytes for ever.
        data.pop("conditions")
        if self.conditions is not None:
            data["conditions"] = self.conditions.as_data()
        return {"record": "qualification", "form": 1, **data}


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (ClassShown, Signature, SkillShown)):
        return _plain(value.__dict__)
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    return value


class CrewCell(NamedTuple):
    """One person and one task on the crew sheet; `on_paper`: the record behind it was transcribed from an earlier paper.

    A tuple, because a sheet has thousands of them.
    """

    standing: Standing
    until: date | None = None
    on_paper: bool = False

    @property
    def letter(self) -> str:
        """The letter on the sheet, with its mark when the record behind it was transcribed."""
        return f"{self.standing.letter}{MARK}" if self.on_paper else self.standing.letter

    @property
    def words(self) -> str:
        """The standing in words, and that the record behind it was transcribed."""
        return f"{self.standing.words}, {MARK_WORDS}" if self.on_paper else self.standing.words


@dataclass(frozen=True)
class CrewRow:
    """One person's row; cells in the order of the sheet's tasks."""

    person_id: str
    name: str
    grade: str
    cells: tuple[CrewCell, ...]

    @property
    def signed(self) -> int:
        """How many tasks this person may do alone."""
        return sum(cell.standing.may_work_alone for cell in self.cells)

    @property
    def next_end(self) -> date | None:
        """The next day on which one of the person's qualifications ends, lapsed ones left out."""
        ends = [cell.until for cell in self.cells if cell.until and cell.standing.may_work_alone]
        return min(ends, default=None)


@dataclass(frozen=True)
class CrewChange:
    """One line of the list of changes beside the crew sheet."""

    on: date
    name: str
    task: str
    was: Standing
    now: Standing


@dataclass(frozen=True)
class CrewSheet:
    """The crew by its tasks on one day."""

    company: str
    title: str
    document: str
    day: date
    tasks: tuple[CoveredTask, ...]
    rows: tuple[CrewRow, ...]
    changes: tuple[CrewChange, ...]
    issued_by: str

    def signed_of_needed(self) -> tuple[tuple[int, int], ...]:
        """Return for each task how many may do it alone and how many are needed."""
        return tuple(
            (sum(row.cells[index].standing.may_work_alone for row in self.rows), task.needed)
            for index, task in enumerate(self.tasks)
        )
