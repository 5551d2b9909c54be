"""What people did and what was done about their qualifications, as values: each can be told in one activity statement."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.drills.question import Question


@dataclass(frozen=True)
class Entry:
    """The entry of the log that a statement goes back to: its number, when it was, and where the log is kept.

    `home` is the address of the installation, without a slash at its end.
    """

    home: str
    number: int
    at: datetime


@dataclass(frozen=True)
class Item:
    """Which question was answered: its address and its skill, and the question itself.

    The question is None where this program can no longer make it; what was answered is told all the same.
    """

    module: str
    revision: str
    kind: str
    size: str
    seed: int
    skill: str
    question: Question | None


@dataclass(frozen=True)
class Answered:
    """An item answered: in practice, or in the sitting with a number."""

    entry: Entry
    person: str
    item: Item
    answer: Any
    right: bool
    critical: bool
    credit_thousandths: int
    headline: str
    started_at: datetime | None
    counts: bool = True
    sitting: int | None = None


@dataclass(frozen=True)
class Decided:
    """An element class decided by the end of a sitting."""

    entry: Entry
    person: str
    sitting: int
    module: str
    revision: str
    element_class: str
    title: str
    passed: bool
    attempts: int
    failures: int
    sentence: str


@dataclass(frozen=True)
class Qualified:
    """A qualification signed."""

    entry: Entry
    person: str
    signer: str
    number: str
    task: str
    title: str
    valid_until: date


@dataclass(frozen=True)
class Sat:
    """A sitting that has ended; `passed` is None while an element class is undecided, `whole` tells that nothing cut it off."""

    entry: Entry
    person: str
    sitting: int
    module: str
    revision: str
    passed: bool | None
    whole: bool
    broken_off: bool


@dataclass(frozen=True)
class Watched:
    """A job watched at the bench and signed for: how many steps were marked, and whether all of it went right."""

    entry: Entry
    person: str
    evaluator: str
    number: int
    module: str
    title: str
    revision: str
    size: str
    steps: int
    right: bool


@dataclass(frozen=True)
class Evaluated:
    """An evaluation recorded; `methods` are the paragraphs of the law that list them."""

    entry: Entry
    person: str
    evaluator: str
    number: int
    task: str
    title: str
    module: str
    revision: str
    evaluated_on: str
    methods: tuple[str, ...]
    abnormal_passed: bool
    passed: bool


@dataclass(frozen=True)
class Halted:
    """A qualification suspended, or ended when `ended` is set: which record, from which day. Reasons stay in the log."""

    entry: Entry
    person: str
    by: str
    number: str
    task: str
    title: str
    on: str
    ended: bool


@dataclass(frozen=True)
class Undone:
    """What an earlier entry told turned out unfounded."""

    entry: Entry
    person: str
    by: str
    of: Entry


Done = Answered | Decided | Qualified | Sat | Watched | Evaluated | Halted | Undone
