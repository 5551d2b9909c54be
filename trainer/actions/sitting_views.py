"""What the actions on sittings give back; frozen values like those of `views`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.store.sittings import How as How  # noqa: TC001  # handed on to who may not ask the store

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.changes import ChangeDue
    from trainer.competency.readiness import Readiness
    from trainer.drills.mark import Mark
    from trainer.drills.question import Question
    from trainer.store.sittings import Sitting


@dataclass(frozen=True)
class ReleaseSheet:
    """What a mentor has in front of them before they release a sitting.

    `advice` is what practice says, `why_not` why nothing can be released now, or "". `readiness` is None while a sitting
    is open: it would give the marks away before the end. `change` is what the person has to show of a change of this
    procedure, None without one, and `why_not_change` why no sitting for that alone can be released now.
    """

    person_id: str
    person_name: str
    module_id: str
    module_title: str
    document: str
    revision: str
    shown: int
    skills: int
    advice: str
    readiness: Readiness | None
    most: int
    minutes: int
    why_not: str
    change: ChangeDue | None = None
    why_not_change: str = ""


@dataclass(frozen=True)
class ClassResult:
    """What an element class had come to at the end of a sitting, in the words of that day."""

    title: str
    skill_class: str
    series: int
    attempts: int
    failures: int
    decision: str
    sentence: str


@dataclass(frozen=True)
class AskedLine:
    """A question of a sitting in one line; `right` is None where it was not answered."""

    position: int
    skill_title: str
    size: str
    right: bool | None
    critical: bool
    headline: str


@dataclass(frozen=True)
class SittingSheet:
    """A sitting: waiting, under way, or ended with its result. `position` is the open question, None without one.

    What was answered is told when it has ended, and before that to nobody.
    """

    sitting: Sitting
    person_name: str
    module_title: str
    document: str
    task_id: str
    released_by: str
    answered: int
    most: int
    minutes: int
    state: str
    position: int | None
    begun_at: datetime | None
    results: tuple[ClassResult, ...]
    asked: tuple[AskedLine, ...]
    may_break_off: bool

    @property
    def how(self) -> How | None:
        """How it ended."""
        return self.sitting.end.how if self.sitting.end else None


@dataclass(frozen=True)
class PutQuestion:
    """A question as it is put in a sitting, without its key."""

    sitting_id: int
    position: int
    question: Question


@dataclass(frozen=True)
class SittingLine:
    """A sitting in one line of a person's page."""

    sitting_id: int
    module_id: str
    module_title: str
    revision: str
    released_at: datetime
    state: str
    is_open: bool


@dataclass(frozen=True)
class SatView:
    """A question of an ended sitting as it was asked, answered and marked; `mark` is None where no answer came."""

    sitting_id: int
    position: int
    person_id: str
    person_name: str
    question: Question
    answer: object
    mark: Mark | None
    skill_title: str
    at: datetime | None
    document: str
