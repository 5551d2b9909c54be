"""What a plan of cover is, as it is asked for, written and shown: frozen values, days in UTC."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.cover_views import ShortTask
    from trainer.records.cover import Means
    from trainer.records.qualification import CoveredTask


@dataclass(frozen=True)
class PlanAsk:
    """What a plan is to reach: the cover of some tasks within some weeks.

    `cover` is how many people each task shall have, None for as many as the register asks for. `refresher_weeks` and
    `new_weeks` are how long each takes, from its beginning to the signature.
    """

    tasks: tuple[str, ...]
    weeks: int
    cover: int | None
    any_one_away: bool
    refresher_weeks: int
    new_weeks: int


@dataclass(frozen=True)
class PlanLine:
    """One measure: who is to be able to do which task alone, how, in how many weeks, who sees to it, and by when."""

    person_id: str
    task_id: str
    means: Means
    weeks: int
    responsible: str
    due: date


@dataclass(frozen=True)
class PlanRoom:
    """What a plan for a crew is made from; `asked` is what is proposed to ask for, `kept` the plans there are.

    `people` and `responsible` are (number, name).
    """

    crew: str
    day: date
    people: tuple[tuple[str, str], ...]
    responsible: tuple[tuple[str, str], ...]
    tasks: tuple[CoveredTask, ...]
    asked: PlanAsk


@dataclass(frozen=True)
class PlanHead:
    """A kept plan in one line: its newest version."""

    number: int
    version: int
    kept_by: str
    at: datetime
    lines: int


@dataclass(frozen=True)
class LineShown:
    """A line of a kept plan and how far it is; `assigned` are the (title, due day) of what is assigned for it.

    `to_assign` are the (id, title) of the modules in force for the task that are not assigned yet; `done` tells that the
    person may do the task alone on the plan's day, as far as is signed.
    """

    position: int
    line: PlanLine
    person: str
    task: CoveredTask
    responsible: str
    done: bool
    assigned: tuple[tuple[str, date | None], ...]
    to_assign: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PlanSheet:
    """A kept plan at one version; `then_short` is what is short on its day with every line done."""

    head: PlanHead
    newest: int
    crew: str
    made_on: date
    for_day: date
    ask: PlanAsk
    lines: tuple[LineShown, ...]
    then_short: tuple[ShortTask, ...]
    may_keep: bool
    may_assign: bool
