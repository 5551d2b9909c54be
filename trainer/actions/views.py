"""What the actions give back: frozen values with everything a page, a command or a printed sheet may show.

Nothing here is a row of the database, and nothing here can be changed. Times are UTC and aware; days are days
in UTC. `person_id` is the number a person keeps for ever (`P-0007`); `revision` is the 64 hexadecimal figures
of a published revision; `attempt_id` and `evaluation_id` are numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trainer.competency.evidence import tallies

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.observation_views import PhotographShown
    from trainer.actions.permissions import Role
    from trainer.actions.readiness import Assessed
    from trainer.actions.sitting_views import SittingLine
    from trainer.competency.evidence import Shown, Tally
    from trainer.competency.next_drill import Rank
    from trainer.drills.answer_forms import Answer
    from trainer.drills.mark import Mark
    from trainer.drills.question import Question
    from trainer.errors import TrainerError
    from trainer.records.conditions import Span
    from trainer.records.earlier import EarlierRecord
    from trainer.records.methods import Method
    from trainer.records.qualification import CoveredTask, Signature, Standing


# Accounts


@dataclass(frozen=True)
class SignedIn:
    """A fresh session: the token goes into the cookie and is nowhere else; only its hash is stored."""

    token: str
    actor: Actor


# People


@dataclass(frozen=True)
class PersonView:
    """A person as the register has them."""

    person_id: str
    sign_in_name: str
    name: str
    roles: tuple[Role, ...]
    crew: str
    grade: str
    evaluator: bool
    retired_at: datetime | None = None


# Modules


@dataclass(frozen=True)
class Published:
    """What publishing did; `new` is false when this very revision was already in force.

    `asked` is how many people have to show the change.
    """

    module_id: str
    revision: str
    title: str
    new: bool
    asked: int = 0


@dataclass(frozen=True)
class PublishedModule:
    """A module in force; `sizes` and `steps` tell how much of it there is."""

    module_id: str
    title: str
    document: str
    revision: str
    task_id: str
    task_title: str
    sizes: tuple[str, ...]
    steps: int
    published_at: datetime
    published_by: str


# Practice


@dataclass(frozen=True)
class NextSkill:
    """What to practise next, and why in one sentence."""

    skill_id: str
    title: str
    why: str


@dataclass(frozen=True)
class SheetDrill:
    """One drill of a short practice sheet: of which skill, how long it takes, and why it stands there."""

    skill_id: str
    title: str
    minutes: float
    why: str


@dataclass(frozen=True)
class SkillStands:
    """The numbers behind a choice: how surely a skill is known, and what a minute in it is expected to tell.

    `right_today` is the share predicted to be right, by the half-life; `right_by_spacing` the same by the model that knows
    all earlier sessions. None where there is nothing to predict from.
    """

    skill_id: str
    title: str
    known: float
    guess: float
    minutes: float
    bits_a_minute: float
    due: date | None
    due_words: str
    reason: Rank
    right_today: float | None
    right_by_spacing: float | None


@dataclass(frozen=True)
class PracticeSheet:
    """A short practice sheet that mixes skills; `skills` are all of the module, the one needed most first.

    `half_life_days` is that of the person, from so many refreshers of their own; without any it is the policy's.
    """

    module_id: str
    title: str
    day: date
    minutes: int
    half_life_days: int
    refreshers: int
    least_guess: float
    drills: tuple[SheetDrill, ...]
    skills: tuple[SkillStands, ...]


@dataclass(frozen=True)
class ModuleOnSheet:
    """One assigned module: how far it is shown, what is missing (a sentence each) and what to practise next.

    `days_left` counts to `due` and is negative once it has passed; both are None without a due date.
    `due_again` has, by skill, the day on which a shown one has to be shown again.
    `valid_until` is the last day of the newest qualification for the task, None without one. `assessment` says in one
    sentence where the assessed and witnessed attempts stand, "" before the first; `sittings` are those of the module,
    newest first. `on_paper`: the standing rests on a record transcribed from an earlier paper. `renewal` says what the
    next signature of somebody qualified takes, "" for everybody else; `change` what of a new revision has to be shown.
    """

    module_id: str
    title: str
    document: str
    revision: str
    task_id: str
    task_title: str
    sizes: tuple[str, ...]
    due: date | None
    days_left: int | None
    standing: Standing
    valid_until: date | None
    skills: tuple[Shown, ...]
    missing: tuple[str, ...]
    next: NextSkill | None
    due_again: Mapping[str, date]
    assessment: str
    sittings: tuple[SittingLine, ...]
    span: Span
    on_paper: bool = False
    renewal: str = ""
    change: str = ""

    @property
    def open_sitting(self) -> SittingLine | None:
        """The sitting that is released or under way, None without one."""
        return next((line for line in self.sittings if line.is_open), None)

    @property
    def shown(self) -> int:
        """How many of the skills are shown."""
        return sum(skill.is_shown for skill in self.skills)

    @property
    def ordinary(self) -> Tally:
        """How many of the skills that are not about abnormal conditions are shown."""
        return tallies(self.skills)[0]

    @property
    def abnormal(self) -> Tally:
        """How many of the skills about abnormal conditions are shown; they are counted by themselves."""
        return tallies(self.skills)[1]

    @property
    def overdue(self) -> bool:
        """The due date has passed and the person may not yet do the task alone."""
        return self.days_left is not None and self.days_left < 0 and not self.standing.may_work_alone


@dataclass(frozen=True)
class MySheet:
    """A person's own sheet on a day; modules with the nearest due date first. `minutes`: how long a short sheet lasts."""

    person_id: str
    name: str
    crew: str
    grade: str
    day: date
    minutes: int
    modules: tuple[ModuleOnSheet, ...]


@dataclass(frozen=True)
class DrillAddress:
    """Which question: the same address, the same question for ever. `size` is "" where a module has none."""

    module_id: str
    revision: str
    kind: str
    size: str
    seed: int


@dataclass(frozen=True)
class AttemptResult:
    """A marked answer. `counts` is false when this person had answered this very question before."""

    attempt_id: int
    mark: Mark
    question: Question
    counts: bool


@dataclass(frozen=True)
class AttemptView:
    """An attempt as asked, answered and marked then; `is_current` tells whether its revision is in force."""

    attempt_id: int
    person_id: str
    person_name: str
    module_id: str
    module_title: str
    address: DrillAddress
    is_current: bool
    skill_id: str
    skill_title: str
    question: Question
    answer: Answer
    mark: Mark
    counts: bool
    started: datetime | None
    at: datetime


# Mentor


@dataclass(frozen=True)
class ModuleShown:
    """A module in one line: shown n of m; `on_paper`: the standing rests on an earlier paper."""

    module_id: str
    title: str
    shown: int
    of: int
    due: date | None
    overdue: bool
    standing: Standing
    on_paper: bool = False


@dataclass(frozen=True)
class PersonLine:
    """A person in one line of a list."""

    person_id: str
    name: str
    crew: str
    grade: str
    modules: tuple[ModuleShown, ...]
    last_practice: datetime | None

    @property
    def overdue(self) -> bool:
        """At least one module is past its due date."""
        return any(module.overdue for module in self.modules)


@dataclass(frozen=True)
class AttemptLine:
    """An attempt in one line: when, what, and what was said first."""

    attempt_id: int
    at: datetime
    module_id: str
    module_title: str
    skill_title: str
    size: str
    right: bool
    critical: bool
    counts: bool
    headline: str
    remark: str


@dataclass(frozen=True)
class WentWrong:
    """One thing that goes wrong and how often; `critical` when it can hurt somebody."""

    text: str
    times: int
    critical: bool
    skill_title: str


@dataclass(frozen=True)
class PersonSheet:
    """One person as a mentor sees them: newest attempts and records first, most frequent errors first."""

    person: PersonView
    day: date
    modules: tuple[ModuleOnSheet, ...]
    attempts: tuple[AttemptLine, ...]
    went_wrong: tuple[WentWrong, ...]
    evaluations: tuple[EvaluationView, ...]
    qualifications: tuple[QualificationView, ...]
    earlier: tuple[EarlierView, ...] = ()


# Evaluation and sign-off


@dataclass(frozen=True)
class EvaluationSheet:
    """What an evaluator has in front of them; `why_not` says why this actor may not evaluate, or is "".

    `observations` are the signed ones at this revision: (number, size, evaluator, when).
    """

    person: PersonView
    module_id: str
    module_title: str
    document: str
    revision: str
    task: CoveredTask
    skills: tuple[Shown, ...]
    why_not: str
    observations: tuple[tuple[int, str, str, datetime], ...] = ()


@dataclass(frozen=True)
class EvaluationView:
    """A recorded evaluation; `basis` says by what right the evaluator evaluated.

    `observation` is the number of the observation at the bench that it rests on, None without one.

    `token` is set only in what `record_evaluation` gives back: the session's new token, for the cookie.
    """

    evaluation_id: int
    person_id: str
    person_name: str
    module_id: str
    module_title: str
    revision: str
    task_id: str
    evaluated_on: date
    methods: tuple[Method, ...]
    abnormal_conditions: tuple[str, ...]
    abnormal_passed: bool
    passed: bool
    note: str
    evaluator: Signature
    basis: str
    observation: int | None = None
    token: str | None = field(default=None, repr=False)


@dataclass(frozen=True)
class QueueLine:
    """Somebody ready for sign-off and the evidence; `refused` is why this actor may not sign, None when they may.

    `assessed` is where the assessed and witnessed attempts stand, `sittings` are those at this revision, newest first.
    `photographs` are those of the observation that the evaluation rests on.
    `replaces_paper` is the number of the transcribed record that a signature would end, "" without one.
    """

    person_id: str
    person_name: str
    crew: str
    grade: str
    task_id: str
    task_title: str
    module_id: str
    module_title: str
    document: str
    revision: str
    skills: tuple[Shown, ...]
    assessed: Assessed
    sittings: tuple[SittingLine, ...]
    evaluation: EvaluationView
    valid_until: date
    supersedes: str
    refused: TrainerError | None
    photographs: tuple[PhotographShown, ...] = ()
    replaces_paper: str = ""

    @property
    def why_not(self) -> str:
        """Why this actor may not sign, in words, "" when they may."""
        return str(self.refused or "")


@dataclass(frozen=True)
class NotYetLine:
    """Somebody who has been evaluated or is through the sittings, and what is missing before a signature."""

    person_id: str
    person_name: str
    crew: str
    task_id: str
    module_title: str
    missing: tuple[str, ...]


@dataclass(frozen=True)
class QualificationView:
    """A qualification as a line of a list; `record(db, actor, number)` has all of it.

    `token` is set only in what `sign` gives back: the session's new token, for the cookie.
    """

    number: str
    person_id: str
    person_name: str
    task_id: str
    task_title: str
    module_id: str
    module_title: str
    revision: str
    evaluated_on: date
    valid_from: date
    valid_until: date
    standing: Standing
    signed_by: str
    signed_at: datetime
    supersedes: str
    ended_on: date | None
    ended_because: str
    token: str | None = field(default=None, repr=False)


# Crew and paper


@dataclass(frozen=True)
class CrewLine:
    """A crew in one line: how many people, how many of them may work alone on at least one task."""

    crew: str
    people: int
    qualified: int


@dataclass(frozen=True)
class EarlierView:
    """A record transcribed from an earlier paper; it counts only when `state` is that it stands.

    `standing` is None while it waits or after it was turned down; `why_not` says why this actor may not put their name
    to it, or is "".
    """

    record: EarlierRecord
    person_name: str
    standing: Standing | None
    state: str
    checked: Signature | None
    ended_on: date | None
    ended_because: str
    why_not: str = ""


@dataclass(frozen=True)
class LapseLine:
    """A qualification that has ended or ends soon; `days` to its last day, negative once past."""

    person_id: str
    person_name: str
    crew: str
    task_id: str
    task_title: str
    number: str
    valid_until: date
    days: int
    span: Span


@dataclass(frozen=True)
class PrintedFile:
    """A printed sheet, ready to be sent or written."""

    name: str
    media_type: str
    data: bytes
