"""What the sheets of a job are made from, where no other room has a value that says it all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.records import canonical

if TYPE_CHECKING:
    from datetime import date

    from trainer.exports.activity.done import Done
    from trainer.procedure.model import Module, Step
    from trainer.records.earlier import EarlierRecord
    from trainer.records.proof import EntryProof
    from trainer.records.qualification import QualificationRecord, Signature


class SizeNotInModule(TrainerError):
    """A sheet was asked for at a size that the procedure does not cover."""

    def __init__(self, module: Module, size: str) -> None:
        super().__init__(f"'{module.title}' has no size '{size}'; it covers {', '.join(module.sizes)}.")


class StepNotInModule(TrainerError):
    """An order of work names a step that the procedure does not have."""

    def __init__(self, module: Module, step: str) -> None:
        super().__init__(f"'{module.title}' has no step '{step}'.")


@dataclass(frozen=True)
class JobCardPacket:
    """One job: a procedure at one size on one piece of plant.

    `order` names the steps in the order of work, all or some of them; without it they stand as in the file. `directed`
    says how somebody works at it who is not qualified, with the reason.

    Raises:
        SizeNotInModule: the procedure lists its sizes, and this is none of them.
        StepNotInModule: `order` names a step that is not there.
    """

    module: Module
    size: str
    company: str
    issued_by: str
    approved_by: str
    plant_item: str
    issued_on: date
    order: tuple[str, ...] = ()
    directed: str = ""

    def __post_init__(self) -> None:
        """Refuse a size or a step that the procedure does not have."""
        if self.module.sizes and self.size not in self.module.sizes:
            raise SizeNotInModule(self.module, self.size)
        for step in self.order:
            if step not in self.module.steps:
                raise StepNotInModule(self.module, step)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of this job in the order of work."""
        return tuple(self.module.steps[step] for step in self.order or self.module.steps)


@dataclass(frozen=True)
class RecordPacket:
    """A qualification record and what proves it: its entry of the log under a signed checkpoint, and the credential.

    `proof` is None where no log holds the record; `credential` is canonical JSON, empty where no key signs.
    """

    record: QualificationRecord
    proof: EntryProof | None = None
    credential: bytes = b""

    @property
    def entry(self) -> int:
        """The number of the entry, from 1; 0 where no log holds the record."""
        return self.proof.number if self.proof else 0

    @cached_property
    def data(self) -> bytes:
        """The record in canonical JSON (RFC 8785): what is hashed, signed and carried along."""
        return canonical.written(self.record.as_data()).encode()


@dataclass(frozen=True)
class Lapse:
    """One line of the lapse list: the last day of a qualification, and how many days are left to it (below 0: over).

    `directed` says how the person works at the task when it is over, with the reason.
    """

    until: date
    days: int
    person: str
    task: str
    number: str
    crew: str = ""
    directed: str = ""


@dataclass(frozen=True)
class LapseListPacket:
    """What of a crew, or of several, is over or ends within some days, the earliest first."""

    company: str
    crew: str
    document: str
    issued_by: str
    on: date
    ahead_days: int
    lines: tuple[Lapse, ...]


@dataclass(frozen=True)
class BenchDayPacket:
    """A day at the bench: the crew's people as (number, name, grade), and the procedure that is gone through.

    `directed` says how somebody works at its task who is not qualified, with the reason.
    """

    company: str
    crew: str
    number: str
    issued_by: str
    on: date
    module: str
    module_title: str
    document: str
    task: str
    people: tuple[tuple[str, str, str], ...]
    directed: str = ""
    approved_by: str = ""


@dataclass(frozen=True)
class EarlierPacket:
    """A record transcribed from an earlier paper, who held it against the paper (None yet), and whether it stands."""

    record: EarlierRecord
    state: str
    checked: Signature | None
    stands: bool


@dataclass(frozen=True)
class Held:
    """One line of a pocket card: a covered task, the last day, the record behind it and the SHA-256 of its data."""

    task: str
    title: str
    until: date
    number: str
    sha256: bytes


@dataclass(frozen=True)
class PocketCard:
    """What one person may do alone, small enough to carry."""

    person: str
    person_id: str
    crew: str
    held: tuple[Held, ...]


@dataclass(frozen=True)
class PocketCardPacket:
    """Pocket cards of a day, of one person or of a crew, which `about` names; `log` is the name of the log, "" for none."""

    company: str
    about: str
    number: str
    on: date
    issued_by: str
    log: str
    cards: tuple[PocketCard, ...]


@dataclass(frozen=True)
class ActivityPacket:
    """What one person did, in the order of the log."""

    person_id: str
    done: tuple[Done, ...]


@dataclass(frozen=True)
class QuestionBankPacket:
    """Which questions of a module are wanted; without a size each seed chooses its own."""

    company: str
    module: Module
    kinds: tuple[str, ...]
    size: str
    seeds: tuple[int, ...]
