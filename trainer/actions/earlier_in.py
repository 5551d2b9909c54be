"""Taking over qualifications that people bring on paper from before: all lines or none; each waits for a second person."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from trainer.actions import journal, table_in
from trainer.actions.names import LONGEST, NameUnfit, must_be_fit, tidy, tidy_sign_in_name
from trainer.actions.permissions import Permission
from trainer.actions.table_in import Column, Fault, LinesRefused
from trainer.dates import add_months
from trainer.records.earlier import MEANING_TRANSCRIBED, EarlierRecord
from trainer.records.methods import Method, why_not_enough
from trainer.records.qualification import Signature
from trainer.store import earlier, people, sequences, tasks

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.table_in import Line, Table
    from trainer.records.qualification import CoveredTask
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

COLUMNS: Mapping[str, Column] = {
    "person": Column("sign-in name or number of the person (49 CFR 192.807(a)(1))"),
    "task": Column("covered task as the register has it, such as T-31 (192.807(a)(2))"),
    "paper": Column("reference by which the paper is found again"),
    "issued_by": Column("who issued the paper"),
    "evaluated_on": Column("day of the evaluation, as 2025-03-31"),
    "valid_from": Column("first day of the qualification (192.807(a)(3))"),
    "valid_until": Column("last day that the paper names"),
    "methods": Column(
        f"one or more of {', '.join(method.value for method in Method)}, with spaces between (192.807(a)(4))"
    ),
    "abnormal": Column(
        "yes, when the paper says that the abnormal operating conditions were part of it (192.803)"
    ),
    "evaluator": Column("name of the evaluator as on the paper"),
    "supervisor": Column("name of who signed, as on the paper"),
}
_TEXTS = {
    "paper": "reference",
    "issued_by": "issuer",
    "evaluator": "evaluator's name",
    "supervisor": "supervisor's name",
}
_DAYS = ("evaluated_on", "valid_from", "valid_until")
_BETWEEN = re.compile(r"[\s,;/+]+")
_A_DAY = re.compile(r"\d{4}-\d\d-\d\d")


@dataclass(frozen=True)
class EarlierLine:
    """One line as it would be transcribed; `number` is "" for what is not transcribed yet."""

    line: int
    person_id: str
    person_name: str
    task: CoveredTask
    paper: str
    issued_by: str
    evaluated_on: date
    methods: tuple[Method, ...]
    valid_from: date
    until_on_paper: date
    evaluator: str
    supervisor: str
    number: str = ""

    @property
    def is_new(self) -> bool:
        """It would be transcribed; otherwise the same is here already."""
        return not self.number

    @property
    def valid_until(self) -> date:
        """The last day that counts here: of the paper, or of the register's interval when that ends first."""
        return min(self.until_on_paper, add_months(self.evaluated_on, self.task.interval_months))

    def says_what(self, record: EarlierRecord) -> bool:
        """Whether a record that is here says the same as the line."""
        return (
            self.issued_by,
            self.evaluated_on,
            self.methods,
            self.valid_from,
            self.until_on_paper,
            self.evaluator,
            self.supervisor,
        ) == (
            record.issued_by,
            record.evaluated_on,
            record.methods,
            record.valid_from,
            record.until_on_paper,
            record.evaluator,
            record.supervisor,
        )


@dataclass(frozen=True)
class EarlierPlan:
    """What would happen: what would be transcribed, what is here already, and what is wrong."""

    lines: tuple[EarlierLine, ...]
    faults: tuple[Fault, ...]

    @property
    def new(self) -> tuple[EarlierLine, ...]:
        """What would be transcribed."""
        return tuple(line for line in self.lines if line.is_new)


def plan(db: Database, actor: Actor, data: bytes, *, now: datetime) -> EarlierPlan:
    """Return what taking over a table of earlier qualifications would do, without doing it.

    Raises:
        TableUnreadable: the file as a whole cannot be read.
    """
    actor.must(Permission.EARLIER_TRANSCRIBE)
    table = table_in.read(data, COLUMNS)
    with db.reading() as unit:
        return _planned(unit, actor, table, now.date())


def take_over(db: Database, actor: Actor, data: bytes, *, now: datetime) -> tuple[str, ...]:
    """Transcribe every line that is not here yet; return the numbers. None counts before a supervisor has checked it.

    Raises:
        TableUnreadable: the file as a whole cannot be read.
        LinesRefused: a line cannot be taken over; then none is.
    """
    actor.must(Permission.EARLIER_TRANSCRIBE)
    table = table_in.read(data, COLUMNS)
    digest = hashlib.sha256(data).hexdigest()
    numbers = []
    with db.writing() as unit:
        for person_id in sorted({line.person_id for line in _planned(unit, actor, table, now.date()).lines}):
            people.lock(unit, person_id)
        planned = _planned(unit, actor, table, now.date())
        if planned.faults:
            raise LinesRefused(planned.faults)
        for line in planned.new:
            number = f"EQ-{now.year}-{sequences.take(unit, f'EQ-{now.year}'):04d}"
            record = _record(db.company, actor, line, number, now)
            earlier.add(unit, record)
            journal.note(
                unit,
                actor,
                "earlier:transcribe",
                at=now,
                record=record.as_data(),
                file=digest,
                line=line.line,
            )
            numbers.append(number)
    return tuple(numbers)


def _record(company: str, actor: Actor, line: EarlierLine, number: str, now: datetime) -> EarlierRecord:
    return EarlierRecord(
        number=number,
        company=company,
        person=line.person_name,
        person_id=line.person_id,
        task=line.task.id,
        task_title=line.task.title,
        paper=line.paper,
        issued_by=line.issued_by,
        evaluated_on=line.evaluated_on,
        methods=line.methods,
        valid_from=line.valid_from,
        valid_until=line.valid_until,
        until_on_paper=line.until_on_paper,
        interval_months=line.task.interval_months,
        evaluator=line.evaluator,
        supervisor=line.supervisor,
        transcribed=Signature(actor.display_name, actor.person_id, now, MEANING_TRANSCRIBED),
    )


def _planned(unit: Unit, actor: Actor, table: Table, today: date) -> EarlierPlan:
    register = _Register(unit)
    faults = list(table.faults)
    lines: list[EarlierLine] = []
    first_on: dict[tuple[str, str, str], int] = {}
    for line in table.lines:
        found = list(_faults(line, register, actor, today))
        if found:
            faults += found
            continue
        wanted = _wanted(line, register)
        if wanted.valid_until < wanted.valid_from:
            months = wanted.task.interval_months
            sentence = f"The register allows {months} months after the evaluation; that is over before the first day."
            faults.append(Fault(line.number, "valid_from", sentence))
            continue
        key = (wanted.person_id, wanted.task.id, wanted.paper)
        if key in first_on:
            faults.append(
                Fault(
                    line.number,
                    "paper",
                    f"'{wanted.paper}' stands for this person and task on line {first_on[key]} already.",
                )
            )
            continue
        first_on[key] = line.number
        kept = register.kept(*key)
        if kept is None:
            lines.append(wanted)
        elif wanted.says_what(kept):
            lines.append(replace(wanted, number=kept.number))
        else:
            sentence = (
                f"'{wanted.paper}' is here as {kept.number} and says something else; turn that down first."
            )
            faults.append(Fault(line.number, "paper", sentence))
    return EarlierPlan(tuple(lines), tuple(sorted(faults, key=lambda fault: (fault.line, fault.column))))


class _Register:
    """The people and tasks that lines may name, and what is transcribed already."""

    def __init__(self, unit: Unit) -> None:
        self.unit = unit
        self.tasks = tasks.every(unit)
        everybody = people.everybody(unit, with_retired=True)
        self._by_id = {person.id: person for person in everybody}
        self._by_name = {person.sign_in_name: person for person in everybody}

    def person(self, cell: str) -> Person | None:
        return self._by_id.get(cell.upper()) or self._by_name.get(tidy_sign_in_name(cell))

    def kept(self, person_id: str, task_id: str, paper: str) -> EarlierRecord | None:
        """Return what is transcribed from a paper and was not turned down."""
        for kept in earlier.of_person(self.unit, person_id):
            turned_down = kept.check is not None and not kept.stands
            if kept.record.task == task_id and kept.record.paper == paper and not turned_down:
                return kept.record
        return None


def _faults(line: Line, register: _Register, actor: Actor, today: date) -> Iterator[Fault]:
    cells = line.cells
    person = register.person(cells["person"])
    if person is None:
        yield Fault(line.number, "person", f"'{cells['person'][:LONGEST]}' is nobody in the register.")
    elif person.id == actor.person_id:
        yield Fault(line.number, "person", "Nobody transcribes a record of their own.")
    if cells["task"] not in register.tasks:
        sentence = f"'{cells['task'][:LONGEST]}' is no covered task of the register."
        yield Fault(line.number, "task", sentence)
    for column, what in _TEXTS.items():
        try:
            must_be_fit(cells[column], what)
        except NameUnfit as unfit:
            yield Fault(line.number, column, str(unfit))
    if person is not None and tidy(cells["evaluator"]).casefold() == person.display_name.casefold():
        yield Fault(line.number, "evaluator", "Nobody evaluates themselves.")
    if cells["abnormal"].casefold() != "yes":
        sentence = "It must say yes: nobody is qualified who was not evaluated on abnormal conditions too (49 CFR 192.803)."
        yield Fault(line.number, "abnormal", sentence)
    yield from _faults_of_methods(line)
    yield from _faults_of_days(line, today)


def _faults_of_methods(line: Line) -> Iterator[Fault]:
    named = _methods(line.cells["methods"])
    unknown = [name for name in named if name not in list(Method)]
    if unknown:
        sentence = (
            f"'{unknown[0][:40]}' is no method; it must be one of {', '.join(m.value for m in Method)}."
        )
        yield Fault(line.number, "methods", sentence)
    else:
        why_not = why_not_enough(Method(name) for name in named)
        if why_not:
            yield Fault(line.number, "methods", why_not)


def _faults_of_days(line: Line, today: date) -> Iterator[Fault]:
    days = {column: _day(line.cells[column]) for column in _DAYS}
    for column, day in days.items():
        if day is None:
            sentence = f"'{line.cells[column][:40]}' is no day; write it as 2025-03-31."
            yield Fault(line.number, column, sentence)
    evaluated_on, valid_from, valid_until = (days[column] for column in _DAYS)
    if evaluated_on and evaluated_on > today:
        yield Fault(line.number, "evaluated_on", "The evaluation lies in the future.")
    if evaluated_on and valid_from and valid_from < evaluated_on:
        sentence = "Nobody is qualified before the evaluation."
        yield Fault(line.number, "valid_from", sentence)
    if valid_from and valid_until and valid_until < valid_from:
        yield Fault(line.number, "valid_until", "It ends before it begins.")


def _methods(cell: str) -> list[str]:
    return [name for name in _BETWEEN.split(cell.casefold()) if name]


def _day(cell: str) -> date | None:
    if not _A_DAY.fullmatch(cell):
        return None
    try:
        return date.fromisoformat(cell)
    except ValueError:
        return None


def _wanted(line: Line, register: _Register) -> EarlierLine:
    cells = line.cells
    person = register.person(cells["person"])
    if person is None:  # pragma: no cover -- a line with a fault comes no further
        raise RuntimeError("a line that names nobody was planned")
    return EarlierLine(
        line=line.number,
        person_id=person.id,
        person_name=person.display_name,
        task=register.tasks[cells["task"]],
        paper=tidy(cells["paper"]),
        issued_by=tidy(cells["issued_by"]),
        evaluated_on=date.fromisoformat(cells["evaluated_on"]),
        methods=tuple(method for method in Method if method.value in _methods(cells["methods"])),
        valid_from=date.fromisoformat(cells["valid_from"]),
        until_on_paper=date.fromisoformat(cells["valid_until"]),
        evaluator=tidy(cells["evaluator"]),
        supervisor=tidy(cells["supervisor"]),
    )
