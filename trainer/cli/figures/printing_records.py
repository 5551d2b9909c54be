"""Qualification records on paper: one beside the bare compiler, and many in one file beside one by one."""

from __future__ import annotations

from datetime import UTC, date, datetime
from itertools import count
from typing import TYPE_CHECKING

from trainer.cli.measuring.timing import Effort, Goal, Reading, in_turn, slower
from trainer.exports.kinds import qualification_record
from trainer.exports.packets import RecordPacket
from trainer.exports.pdf import STANDARDS, new_compiler
from trainer.records import canonical, credential, merkle, signed_note
from trainer.records.key_file import LogKey
from trainer.records.methods import Method
from trainer.records.proof import EntryProof
from trainer.records.qualification import QualificationRecord, Signature, SkillShown
from trainer.records.signed_note import Checkpoint
from trainer.records.signing_key import SigningKey

if TYPE_CHECKING:
    from collections.abc import Iterator

TITLE = "Print qualification records"

TIMES = 1.2
MANY = 500
# The first after a large file pays for what the compiler then forgets.
IN_A_ROW = 25
TIMES_THE_RATE = 3
_AT = datetime(2027, 3, 18, 8, 41, tzinfo=UTC)
_KEY = LogKey("invented.example/log", SigningKey(bytes(range(32))))


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times longer a record takes than the bare compiler, and the rate of many in one file.

    No record is printed twice: the compiler would remember it.
    """
    numbers = count()
    bare = new_compiler()

    def floor() -> None:
        # What the sheet is set from is made outside of what is timed, as far as a run of several allows.
        sheet, inputs = sheets.pop()
        bare.compile(
            input=sheet.file,
            format="pdf",
            sys_inputs=inputs,
            pdf_standards=STANDARDS,
            timestamp=sheet.timestamp,
        )

    def one() -> None:
        qualification_record.write(ready.pop(), paper="a4")

    def one_by_one() -> None:
        for _ in range(IN_A_ROW):
            one()

    def many() -> None:
        qualification_record.write(crowd.pop(), paper="a4")

    # One run to learn how long it takes, then one a round: a record takes longer than any sample.
    runs = effort.rounds + 1
    single = Effort(rounds=effort.rounds, sample=0)
    sheets = [
        (laid := qualification_record.laid_out([invented(next(numbers))], "a4"), laid.inputs())
        for _ in range(runs)
    ]
    ready = [[invented(next(numbers))] for _ in range(runs)]
    yield slower(f"{TITLE}: one, times the bare compiler", floor, one, single, TIMES)
    few = Effort(rounds=min(effort.rounds, 5), sample=0)
    ready = [[invented(next(numbers))] for _ in range((few.rounds + 1) * IN_A_ROW)]
    crowd = [tuple(invented(next(numbers)) for _ in range(MANY)) for _ in range(few.rounds + 1)]
    in_a_row, together = in_turn(one_by_one, many, few)
    alone, each = in_a_row / IN_A_ROW, together / MANY
    yield Reading(
        f"{TITLE}: {MANY} in one file, times the rate of one by one",
        alone,
        each,
        alone / each,
        Goal("at least", TIMES_THE_RATE),
    )


def invented(number: int) -> RecordPacket:
    """Return an invented record with its proof: a log of one entry."""
    record = QualificationRecord(
        number=f"QR-2027-{number:06d}",
        company="Invented Gas",
        person=f"Invented Person {number}",
        person_id=f"P-{number:06d}",
        task=f"T-{number % 40:02d}",
        task_title="Overhaul an invented regulator",
        module="invented-regulator",
        module_title="Overhaul the invented regulator",
        document="IG-0001",
        revision="0123456789abcdef" * 4,
        sizes=("DN 50", "DN 80"),
        evaluated_on=date(2027, 3, 16),
        methods=(Method.WRITTEN, Method.SIMULATION),
        abnormal_conditions=("The gauge does not return to zero", "Gas is heard at a joint"),
        abnormal_passed=True,
        result="Shown on the bench.",
        valid_from=date(2027, 3, 18),
        valid_until=date(2030, 3, 17),
        interval_months=36,
        interval_because="Invented.",
        evaluator=Signature("Invented Evaluator", "P-900001", _AT, "I evaluated this person."),
        supervisor=Signature("Invented Supervisor", "P-900002", _AT, "I qualify this person."),
        supersedes="",
        skills=tuple(SkillShown(f"Skill {n}", n, n + 1, date(2027, 3, 1)) for n in range(1, 5)),
        statement="",
        classes=(),
    )
    entry = canonical.written({"number": 1, "payload": {"record": record.as_data()}})
    checkpoint = Checkpoint(_KEY.name, 1, merkle.leaf_hash(entry.encode()))
    note = signed_note.signed(checkpoint.text, _KEY.name, _KEY.key)
    document = canonical.written(credential.issued(record, _KEY)).encode()
    return RecordPacket(record, EntryProof(1, entry, (), note), document)
