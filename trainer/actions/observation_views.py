"""What the actions give back of observations at the bench: frozen values, like those in `views`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from trainer.actions.views import PersonView
    from trainer.competency.witnessed import Witnessed
    from trainer.procedure.order_mark import OrderMark
    from trainer.records.observation import StepSeen
    from trainer.records.qualification import CoveredTask, Signature


@dataclass(frozen=True)
class ObservationLine:
    """An observation in one line of a list; `signed` is None while it is open."""

    observation_id: int
    person_id: str
    person_name: str
    module_id: str
    module_title: str
    size: str
    evaluator_name: str
    begun_at: datetime
    on_paper: bool
    signed: datetime | None
    steps: int
    of: int


@dataclass(frozen=True)
class BenchList:
    """What an evaluator has at the bench, and what they closed last."""

    open: tuple[ObservationLine, ...]
    closed: tuple[ObservationLine, ...]


@dataclass(frozen=True)
class ObserveSheet:
    """What an evaluator has in front of them before they begin; `why_not` says why they may not, or is "".

    `beside` are observations of the same person's work by others that may be of the same job.
    `evaluators` are those who may have filled in a card of this person's work: (number, name).
    `steps` are the steps of the procedure: (id, what is done).
    """

    person: PersonView
    module_id: str
    module_title: str
    document: str
    revision: str
    task: CoveredTask
    sizes: tuple[str, ...]
    why_not: str
    beside: tuple[ObservationLine, ...]
    evaluators: tuple[tuple[str, str], ...]
    steps: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PhotographShown:
    """A photograph of a step of an observation: the step's number and words, the hash under which the file is had."""

    observation_id: int
    step: str
    number: int
    words: str
    sha256: str
    width: int
    height: int


@dataclass(frozen=True)
class ObservationView:
    """One observation. `seen` are the marked steps in the order done, then what else was written.

    `order` judges that order (None for fewer than two steps), `critical` names the critical steps, each with what
    makes it so, `witnessed` is what it says of skills. `why_not_close` says why this actor may not close it, or is "".
    `is_stale`: it is open, and its job began before the last signature or break, so that it counts for no signature.
    `signature` is None until it is closed. `token` is set only in what `close` gives back.
    """

    observation_id: int
    person_id: str
    person_name: str
    module_id: str
    module_title: str
    document: str
    revision: str
    task_id: str
    size: str
    evaluator_id: str
    evaluator_name: str
    begun_at: datetime
    filled_on: date | None
    transcribed_by: str
    given_up_because: str
    is_open: bool
    seen: tuple[StepSeen, ...]
    order: OrderMark | None
    critical: Mapping[str, str]
    witnessed: tuple[Witnessed, ...]
    skill_titles: Mapping[str, str]
    result: str
    basis: str
    signature: Signature | None
    why_not_close: str
    may_mark: bool
    job: int
    photographs: tuple[PhotographShown, ...] = ()
    others: tuple[ObservationLine, ...] = ()
    is_stale: bool = False
    token: str | None = field(default=None, repr=False)

    @property
    def on_paper(self) -> bool:
        """It came in on a paper card."""
        return self.filled_on is not None
