"""What an inspector's packet is made from: records, what stands behind each, procedures, and proofs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from datetime import date, datetime

    from trainer.drills.question import Question
    from trainer.exports.packets import RecordPacket
    from trainer.procedure.model import Module
    from trainer.records.earlier import EarlierRecord
    from trainer.records.key_file import LogKey
    from trainer.records.packet import Growth
    from trainer.records.proof import EntryProof


@dataclass(frozen=True)
class Told:
    """An entry of the log, read: its number, when it was, who did it (number and name, "" for the host), what, its payload."""

    number: int
    at: datetime
    person: str
    by: str
    action: str
    payload: Mapping[str, Any]


@dataclass(frozen=True)
class AnsweredQuestion:
    """A question of a sitting as it was asked, the answer and its mark as plain values; `entry` is its place in the log.

    `asked` are the moments of the question as this program makes them again from revision and seed, one unless it is a run;
    it is empty where what comes out is not what the log holds.
    """

    entry: int
    sitting: int
    position: int
    at: datetime
    question: Mapping[str, Any]
    answer: Any
    mark: Mapping[str, Any]
    asked: tuple[Question, ...] = ()


@dataclass(frozen=True)
class ObservationShown:
    """A signed observation at the bench: its record in canonical JSON, as the log holds it, and what it speaks of.

    `steps` has the words of each step of the procedure, `photographs` the files by their hash.
    """

    entry: int
    number: int
    written: str
    record: Mapping[str, Any]
    steps: Mapping[str, str]
    photographs: Mapping[str, bytes]


@dataclass(frozen=True)
class Behind:
    """What stands behind a record: the evaluation, what was seen at the bench, what was answered, and what came after.

    `rights` has for each evaluator by what right they evaluated.
    """

    evaluation: Told | None
    rights: tuple[Right, ...]
    observations: tuple[ObservationShown, ...]
    sittings: tuple[Told, ...]
    answers: tuple[AnsweredQuestion, ...]
    life: tuple[Told, ...]
    notices: tuple[Told, ...]


@dataclass(frozen=True)
class Right:
    """By what right somebody evaluated: in words as it was kept, and what shows it: a record here, or an entry of the log."""

    who: str
    basis: str
    record: str = ""
    entry: int = 0


@dataclass(frozen=True)
class RevisionShown:
    """A procedure as it was published: its text, its canonical form, its module for the drawings, and its entry."""

    revision: str
    file: str
    source: str
    canonical: str
    module: Module
    published: Told | None = None


@dataclass(frozen=True)
class PolicyShown:
    """Numbers that a decision was made by, in canonical JSON whose hash names them, and the entries that set them."""

    sha256: str
    written: str
    set_by: tuple[Told, ...]


@dataclass(frozen=True)
class PaperShown:
    """A qualification transcribed from an earlier paper, held against it, and the entries that tell of that."""

    record: EarlierRecord
    told: tuple[Told, ...]


@dataclass(frozen=True)
class InspectorPacket:
    """Everything that an inspector gets about somebody, a crew or a task in a period, and the key that signs it.

    `behind` is by the number of the record, `others` are records of those who evaluated, without what stands behind them,
    `papers` what was transcribed from earlier papers, never mixed up with records of our own;
    `print_record(records, paper=…)` gives records as PDF, `keys` are the lines that others check with; `gone` has a sentence
    for each person and task of which nothing is kept any more.
    """

    company: str
    about: str
    first: date
    last: date
    made_on: date
    issued_by: str
    records: tuple[RecordPacket, ...]
    others: tuple[RecordPacket, ...]
    papers: tuple[PaperShown, ...]
    behind: Mapping[str, Behind]
    print_record: Callable[..., bytes]
    entries: tuple[EntryProof, ...]
    growth: tuple[Growth, ...]
    revisions: tuple[RevisionShown, ...]
    policies: tuple[PolicyShown, ...]
    keys: tuple[str, ...]
    key: LogKey
    gone: tuple[str, ...] = ()
