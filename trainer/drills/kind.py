"""What every kind of drill provides, and what it is given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from trainer.procedure.draw import Draw

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.competency.evidence import Skill
    from trainer.drills.answer_forms import Answer, Form
    from trainer.drills.mark import Mark
    from trainer.drills.sketch import Sketch
    from trainer.procedure.model import Caution, Module
    from trainer.procedure.window import Procedure


@dataclass(frozen=True)
class Setting:
    """What a question is made from: the same setting gives the same question for ever."""

    procedure: Procedure
    skill: Skill
    size: str
    seed: int

    @property
    def module(self) -> Module:
        """The module asked about."""
        return self.procedure.module

    def draw(self, purpose: str = "") -> Draw:
        """Return a fresh source of choices; it always starts at the same place.

        Choices that have nothing to do with each other take sources of different purposes: two that begin at the
        same place would go hand in hand.
        """
        return Draw(f"{self.module.id}/{self.skill.id}/{self.size}/{self.seed}/{purpose}")


@dataclass(frozen=True)
class Asked:
    """A question without its address, as a kind makes it; see `Question` for the fields."""

    ask: str
    given: str
    form: Form
    cautions: tuple[Caution, ...] = ()
    guess: float = 0.0
    picture: Sketch | None = None


@dataclass(frozen=True)
class Moment:
    """The moment when a wrong answer goes wrong, for whoever draws it: the step, what was done before, what gets free."""

    step: str
    done: tuple[str, ...]
    energy: str


class Kind(Protocol):
    """A module of `drills/kinds`: one kind of drill.

    A kind works out the whole problem, key included, from the setting each time it is called; nothing of the key
    is in what `make` returns.
    """

    KIND: str
    TITLE: str

    def skills(self, procedure: Procedure) -> tuple[Skill, ...]:
        """Return the skills that this kind can ask for in a module; none when it cannot ask anything."""

    def missing(self, procedure: Procedure) -> str:
        """Return what to add to a module so that this kind can ask more, empty when it can."""

    def make(self, setting: Setting) -> Asked:
        """Return the question."""

    def key(self, setting: Setting) -> Answer:
        """Return one answer that earns full marks."""

    def mark(self, setting: Setting, answer: Answer) -> Mark:
        """Return the mark of an answer already read by the question's form."""


class RunKind(Kind, Protocol):
    """A kind whose question unfolds, moment by moment, as the answer is given; its form is NextStep."""

    def go_on(self, setting: Setting, picked: Sequence[str]) -> Asked | None:
        """Return the question at the moment that these picks lead to; None when the run is over.

        Raises:
            AnswerUnreadable: the picks are not those of a run.
        """
