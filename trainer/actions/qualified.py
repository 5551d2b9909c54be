"""Who was qualified for a task on a day, and on what evidence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.actions import rounds
from trainer.actions.evaluate import task_of
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.records.qualification import Standing
from trainer.records.qualified_on import HeldTerm, answer
from trainer.store import (
    changes,
    earlier,
    evaluations,
    keeping,
    life_events,
    observations,
    people,
    qualifications,
    sittings,
    tasks,
)
from trainer.store.changes import Step
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.records.methods import Method
    from trainer.records.qualification import CoveredTask
    from trainer.records.qualified_on import Answer
    from trainer.records.suspension import Suspension
    from trainer.store.changes import Demand
    from trainer.store.earlier import Earlier
    from trainer.store.life_events import LifeEvent
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit


class DayAhead(TrainerError):
    """The day lies in the future."""

    def __init__(self, day: date) -> None:
        super().__init__(f"{day.isoformat()} is still to come; ask about today or an earlier day.")


@dataclass(frozen=True)
class Evidence:
    """What a record stands on; `paper` says which earlier paper it was transcribed from, "" for one of our own."""

    number: str
    module: str
    module_title: str
    revision: str
    evaluation: int
    evaluated_on: date
    evaluator: str
    methods: tuple[Method, ...]
    abnormal_passed: bool
    observation: int | None
    statement: str
    sittings: tuple[int, ...]
    signed_by: str
    signed_at: datetime
    valid_until: date
    paper: str = ""


@dataclass(frozen=True)
class QualifiedLine:
    """One person on that day: by all that is known now, and by what was known then.

    `changes` says of each change of the procedure that had to be shown since the signature what had become of it.
    """

    person_id: str
    person_name: str
    crew: str
    standing: Standing
    suspension: Suspension | None
    evidence: Evidence
    known_then: Standing
    changes: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """What is known now is not what was known then."""
        return self.standing is not self.known_then


@dataclass(frozen=True)
class NoLongerKept:
    """Somebody whose records of the task were destroyed after their time, on the day `since`."""

    person_id: str
    person_name: str
    since: date


@dataclass(frozen=True)
class QualifiedSheet:
    """Who was qualified for a task on a day; `known_on` is the day up to whose end the second answer looks.

    Of `no_longer_kept` nobody can say any more how they stood on that day.
    """

    task: CoveredTask
    day: date
    known_on: date
    lines: tuple[QualifiedLine, ...]
    no_longer_kept: tuple[NoLongerKept, ...] = ()

    @property
    def qualified(self) -> tuple[QualifiedLine, ...]:
        """Who could do the task alone, by all that is known."""
        return tuple(line for line in self.lines if line.standing.may_work_alone)

    @property
    def others(self) -> tuple[QualifiedLine, ...]:
        """Who had been qualified before, and was suspended or lapsed on that day."""
        return tuple(line for line in self.lines if not line.standing.may_work_alone)

    def as_data(self) -> dict[str, Any]:
        """Return the sheet as plain JSON values."""
        return {
            "task": self.task.id,
            "title": self.task.title,
            "day": self.day.isoformat(),
            "known_on": self.known_on.isoformat(),
            "people": [_data(line) for line in self.lines],
            "no_longer_kept": [
                {"person": one.person_id, "name": one.person_name, "since": one.since.isoformat()}
                for one in self.no_longer_kept
            ],
        }


def choices(db: Database, actor: Actor) -> tuple[CoveredTask, ...]:
    """Return the tasks that can be asked about."""
    actor.must(Permission.QUALIFICATION_READ)
    with db.reading() as unit:
        return tuple(tasks.every(unit).values())


def on_day(
    db: Database, actor: Actor, task_id: str, day: date, *, known_on: date | None = None, now: datetime
) -> QualifiedSheet:
    """Return who was qualified for a task on a day, who was suspended or lapsed, and on what evidence.

    Args:
        db: the database.
        actor: who asks.
        task_id: the covered task.
        day: the day, today or earlier.
        known_on: also answer by what was written down up to the end of this day (UTC); the day itself unless given.
        now: the time.

    Raises:
        NotFound: there is no such task.
        DayAhead: a day lies in the future.
    """
    actor.must(Permission.QUALIFICATION_READ)
    then = known_on or day
    for asked in (day, then):
        if asked > now.date():
            raise DayAhead(asked)
    known = datetime.combine(then, time.max, tzinfo=UTC)
    with db.reading() as unit:
        task = task_of(unit, task_id)
        events = life_events.of_task(unit, task_id)
        ends = {
            event.number: event.at for event in events if event.act in (Happened.WITHDRAWN, Happened.STOPPED)
        }
        held: dict[str, list[Qualification]] = {}
        for item in qualifications.of_task(unit, task_id):
            held.setdefault(item.person_id, []).append(item)
            if item.supersedes:
                ends.setdefault(item.supersedes, item.signed_at)
        papers: dict[str, list[Earlier]] = {}
        for paper in earlier.of_task(unit, task_id):
            if paper.stands:
                papers.setdefault(paper.record.person_id, []).append(paper)
        told = life_events.suspensions(events)
        demands = changes.of_task(unit, task_id)
        by_change = changes.suspensions(demands)
        lines = []
        for person_id in {**held, **papers}:
            mine, brought = held.get(person_id, []), papers.get(person_id, [])
            terms = [*_terms(mine, ends), *_terms_on_paper(brought, mine, events)]
            suspensions = (*told.get((person_id, task_id), ()), *by_change.get((person_id, task_id), ()))
            found = answer(terms, suspensions, day)
            if found.standing is not Standing.NOT_ASSIGNED:
                before = answer(terms, suspensions, day, known=known)
                shown = [one for one in demands if one.person_id == person_id and one.at.date() <= day]
                lines.append(_line(unit, person_id, mine, brought, found, before, shown, day))
        gone = tuple(_gone(unit, task_id, day))
    return QualifiedSheet(
        task, day, then, tuple(sorted(lines, key=lambda line: (line.person_name, line.person_id))), gone
    )


def _gone(unit: Unit, task_id: str, day: date) -> Iterator[NoLongerKept]:
    """Yield whose records from before some later day were destroyed."""
    last = {
        event.person_id: event.on for event in keeping.confirmed(unit, task_id=task_id) if event.on >= day
    }
    for person_id, since in sorted(last.items()):
        person = people.by_id(unit, person_id)
        yield NoLongerKept(person_id, person.display_name if person else person_id, since)


def _terms(held: Sequence[Qualification], ends: Mapping[str, datetime]) -> list[HeldTerm]:
    return [
        HeldTerm(
            item.number,
            item.valid_from,
            item.valid_until,
            item.signed_at,
            item.ended_on,
            ends.get(item.number),
        )
        for item in held
    ]


def _line(
    unit: Unit,
    person_id: str,
    held: Sequence[Qualification],
    papers: Sequence[Earlier],
    found: Answer,
    before: Answer,
    demands: Sequence[Demand],
    day: date,
) -> QualifiedLine:
    person = people.by_id(unit, person_id)
    paper = next((item for item in papers if item.record.number == found.number), None)
    return QualifiedLine(
        person_id=person_id,
        person_name=person.display_name if person else person_id,
        crew=person.crew if person else "",
        standing=found.standing,
        suspension=found.suspension,
        evidence=_on_paper(paper)
        if paper
        else _evidence(unit, next(item for item in held if item.number == found.number)),
        known_then=before.standing,
        changes=tuple(_change(one, day) for one in demands if one.number == found.number),
    )


def _change(demand: Demand, day: date) -> str:
    """Return what a change that had to be shown had come to by a day."""
    asked = f"Revision {demand.revision[:10]}, to be shown by {demand.due.isoformat()}"
    done = [step for step in demand.steps if step.on <= day]
    told = "; ".join(f"{_OF_CHANGE[step.act]} on {step.on.isoformat()}, {step.by_name}" for step in done)
    return f"{asked}: {told or 'not shown yet'}."


_OF_CHANGE = {
    Step.SHOWN: "shown and confirmed",
    Step.NOT_SHOWN: "found not shown",
    Step.SIGNED_ANEW: "signed anew",
    Step.RECALLED: "recalled",
}


def _terms_on_paper(
    papers: Sequence[Earlier], own: Sequence[Qualification], events: Sequence[LifeEvent]
) -> list[HeldTerm]:
    """A transcribed record is known from the moment it was held against its paper."""
    return [
        HeldTerm(
            item.record.number,
            item.record.valid_from,
            item.record.valid_until,
            item.check.at,
            item.ended_on,
            _end_known_at(item, own, events),
        )
        for item in papers
        if item.check
    ]


def _end_known_at(
    paper: Earlier, own: Sequence[Qualification], events: Sequence[LifeEvent]
) -> datetime | None:
    """Return when the end of a transcribed record was written: withdrawn, stopped, or one of our own signed in its place."""
    written = [
        event.at
        for event in events
        if event.person_id == paper.record.person_id
        and event.act in (Happened.WITHDRAWN, Happened.STOPPED)
        and event.on == paper.ended_on
    ]
    written += [item.signed_at for item in own if item.valid_from == paper.ended_on]
    return min(written, default=None)


def _on_paper(kept: Earlier) -> Evidence:
    record = kept.record
    return Evidence(
        number=record.number,
        module="",
        module_title="",
        revision="",
        evaluation=0,
        evaluated_on=record.evaluated_on,
        evaluator=record.evaluator,
        methods=record.methods,
        abnormal_passed=True,
        observation=None,
        statement="",
        sittings=(),
        signed_by=record.supervisor,
        signed_at=kept.check.at if kept.check else record.transcribed.at,
        valid_until=record.valid_until,
        paper=f"{record.paper} of {record.issued_by}",
    )


def _evidence(unit: Unit, kept: Qualification) -> Evidence:
    evaluation = evaluations.by_id(unit, kept.evaluation_id)
    module, revision = str(kept.record["module"]), str(kept.record["revision"])
    under = observations.under(unit, kept.evaluation_id)
    # What an earlier signature stood on is no evidence for this one.
    of_it = rounds.of_person(unit, kept.person_id, kept.task_id, before=kept.signed_at)
    return Evidence(
        number=kept.number,
        module=module,
        module_title=str(kept.record["module_title"]),
        revision=revision,
        evaluation=kept.evaluation_id,
        evaluated_on=kept.evaluated_on,
        evaluator=evaluation.evaluator_name if evaluation else "",
        methods=evaluation.methods if evaluation else (),
        abnormal_passed=bool(evaluation and evaluation.abnormal_passed),
        observation=under.id if under else None,
        statement=str(kept.record.get("statement", "")),
        sittings=tuple(
            sat.id
            for sat in sittings.of_person(unit, kept.person_id)
            if sat.revision == revision
            and sat.released_at <= kept.signed_at
            and (sat.end is None or of_it.counts(sat.end.at))
        ),
        signed_by=kept.signer_name,
        signed_at=kept.signed_at,
        valid_until=kept.valid_until,
    )


def _data(line: QualifiedLine) -> dict[str, Any]:
    held = line.evidence
    return {
        "person": line.person_id,
        "name": line.person_name,
        "qualified": line.standing.may_work_alone,
        "standing": line.standing.value,
        "standing_as_known": line.known_then.value,
        "suspension": None
        if line.suspension is None
        else {
            "from": line.suspension.from_day.isoformat(),
            "cause": line.suspension.cause.value,
            "reason": line.suspension.reason,
            "by": line.suspension.by_name,
            "written": line.suspension.at.isoformat(timespec="seconds"),
        },
        "record": held.number,
        "module": held.module,
        "revision": held.revision,
        "evaluation": held.evaluation,
        "evaluated_on": held.evaluated_on.isoformat(),
        "evaluator": held.evaluator,
        "methods": [method.value for method in held.methods],
        "abnormal_passed": held.abnormal_passed,
        "observation": held.observation,
        "assessment": held.statement,
        "sittings": list(held.sittings),
        "signed_by": held.signed_by,
        "signed_at": held.signed_at.isoformat(timespec="seconds"),
        "valid_until": held.valid_until.isoformat(),
        "transcribed_from": held.paper,
        "changes": list(line.changes),
    }
