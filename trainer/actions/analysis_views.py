"""What is shown of how a procedure is answered: never of one person, always of everybody."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trainer.competency.evidence import Skill
    from trainer.competency.item_analysis import Choice
    from trainer.procedure.model import Hazard


@dataclass(frozen=True)
class Rate:
    """A share of right answers with its 95 % interval (Wilson)."""

    times: int
    right: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share right."""
        return self.right / self.times if self.times else 0.0


@dataclass(frozen=True)
class StepLine:
    """A step in the list: its number in the procedure, what is done, and in how many answers it stood."""

    id: str
    number: int
    do: str
    shown: int


@dataclass(frozen=True)
class PhaseLines:
    """The steps of a phase in the order of the file."""

    title: str
    steps: tuple[StepLine, ...]


@dataclass(frozen=True)
class BrokenRelation:
    """A relation that was broken: `after` stood before `before`; why that is wrong, how often, by how many people.

    `of` is the number of answers in which the later step stood.
    """

    before: StepLine
    after: StepLine
    text: str
    signal: Hazard | None
    times: int
    people: int
    of: int


@dataclass(frozen=True)
class SkillLine:
    """How a skill is answered in practice, and in sittings if it was.

    `with_rest` is the correlation of first answers with the number right at all other skills, `place` the difficulty on the
    scale of a skill that is normal over people; each None where the answers do not allow it.
    """

    skill: Skill
    rate: Rate
    people: int
    assessed: Rate | None
    with_rest: float | None
    place: float | None


@dataclass(frozen=True)
class TryPoint:
    """How the nth answers of people to a skill went."""

    number: int
    rate: Rate


@dataclass(frozen=True)
class GapPoint:
    """How answers went some days after their skill had been shown, and what the programme's half-life predicts for these days.

    `last` is None where the range is open.
    """

    first: int
    last: int | None
    mean_days: float
    rate: Rate
    predicted: float


@dataclass(frozen=True)
class Together:
    """What all first answers say together; `why_not` tells in a sentence why there are no numbers.

    `complete` people have answered every skill; `reliability` is KR-20 of their numbers right.
    """

    complete: int
    reliability: float | None
    why_not: str
    people: int
    why_no_places: str


@dataclass(frozen=True)
class ModuleAnalysis:
    """How a procedure is answered at its revision in force; `bounded` says what was left out for its number, if anything."""

    module_id: str
    title: str
    document: str
    revision: str
    answers: int
    bounded: str
    phases: tuple[PhaseLines, ...]
    broken: tuple[BrokenRelation, ...]
    skills: tuple[SkillLine, ...]
    together: Together
    tries: tuple[TryPoint, ...]
    gaps: tuple[GapPoint, ...]
    half_life_days: int
    in_a_row: int


@dataclass(frozen=True)
class RowChoices:
    """One row that something is chosen in, and how often each choice was taken."""

    text: str
    times: int
    choices: tuple[Choice, ...]


@dataclass(frozen=True)
class SkillAnalysis:
    """How one skill is answered; `looked_at` of its newest answers were looked at for the choices."""

    module_id: str
    title: str
    document: str
    revision: str
    skill: Skill
    rate: Rate
    tries: tuple[TryPoint, ...]
    looked_at: int
    rows: tuple[RowChoices, ...]
    why_no_choices: str


@dataclass(frozen=True)
class ModelCut:
    """The share right at which the line is drawn: of a kept sheet of a panel, or of the programme's numbers (None)."""

    share: float
    panel_id: int | None


@dataclass(frozen=True)
class Placed:
    """A skill in one model: difficulty and slope with their standard errors, and its information at the cut.

    An error is None where the answers do not determine it.
    """

    difficulty: float
    difficulty_error: float | None
    slope: float
    slope_error: float | None
    information: float


@dataclass(frozen=True)
class ModelledSkill:
    """A skill in both models; `part` is by how much the share right is larger among those who pass (B-index)."""

    skill: Skill
    people: int
    share: float
    rasch: Placed
    free: Placed
    part: float | None


@dataclass(frozen=True)
class CurvePoint:
    """At one place of the scale: the share right of all skills, and the information of both models."""

    skill: float
    share: float
    rasch: float
    free: float


@dataclass(frozen=True)
class Decisions:
    """How surely a cut parts people: `passed` of `people` who answered every skill had `needed` or more right.

    `reliability` is KR-20 and `alike` KR-21. `again` is the share for whom the same decision would fall again, `kappa` that
    beyond chance (Subkoviak 1976); `again_normal` and `kappa_normal` the same for normal sums (Subkoviak 1988); `about_cut`
    the reliability about the cut (Livingston 1972), `dependable` phi(lambda) (Brennan).
    """

    people: int
    needed: int
    passed: int
    reliability: float
    alike: float
    again: float
    kappa: float
    again_normal: float
    kappa_normal: float
    about_cut: float
    dependable: float | None


@dataclass(frozen=True)
class Models:
    """Two models of the same first answers; pairs are (Rasch, two-parameter).

    `gain` is twice what the second gains in log-likelihood, on `freedom` more numbers; `by_chance` the probability of as much
    when slopes are all alike. `decisions` is a sentence where they cannot be told.
    """

    people: int
    skills: tuple[ModelledSkill, ...]
    slope: float
    aic: tuple[float, float]
    bic: tuple[float, float]
    gain: float
    freedom: int
    by_chance: float
    cut: ModelCut
    skill_at_cut: tuple[float, float]
    information_at_cut: tuple[float, float]
    curve: tuple[CurvePoint, ...]
    decisions: Decisions | str


@dataclass(frozen=True)
class WaitingSkill:
    """A skill that is in no model yet, how many people have answered it, and what is missing."""

    skill: Skill
    people: int
    why: str


@dataclass(frozen=True)
class ModelSheet:
    """What models say of a procedure; without them `why_not` tells what is missing."""

    module_id: str
    title: str
    document: str
    revision: str
    fewest: int
    models: Models | None
    why_not: str
    waiting: tuple[WaitingSkill, ...]
