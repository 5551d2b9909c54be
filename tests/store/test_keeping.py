"""What two people decided may go, and nothing else: whatever SQL comes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store import samples
from trainer.records.keeping import Word
from trainer.records.observation import StepSeen
from trainer.records.photograph import Photograph
from trainer.store import destruction, earlier, events, observations, outbox, photographs, qualifications
from trainer.store.schema import metadata

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

DECIDED = samples.NOON + timedelta(hours=3)
LATER = samples.NOON + timedelta(days=1)
# Parts before what they are parts of.
TABLES = (
    "change_steps",
    "change_demands",
    "life_events",
    "earlier_checks",
    "earlier_qualifications",
    "qualifications",
    "evaluation_observations",
    "evaluations",
    "observation_entries",
    "observation_photographs",
    "observations",
    "sitting_answers",
    "sitting_questions",
    "sitting_ends",
    "sittings",
    "attempts",
)


def _everything(unit: Unit, person: people.Someone, place: int) -> None:
    """Keep one of each for a person at the task."""
    samples.attempt(unit, "one", person=person.id, seed=place)
    evaluation = samples.evaluation(unit, person=person.id)
    number = f"QR-2027-000{place}"
    qualifications.add(unit, samples.qualification(evaluation, number, person=person.id))
    samples.suspended(unit, number, person=person.id)
    samples.change_not_shown(unit, number, person=person.id)
    samples.sitting(unit, person=person.id)
    seen = observations.begin(
        unit,
        ticket=person.id,
        person_id=person.id,
        module_id="main-valve",
        revision=samples.REVISION,
        task_id=samples.TASK.id,
        size="DN 80",
        evaluator_id=people.MIRA.id,
        beside=None,
        begun_at=samples.NOON,
    ).id
    observations.enter(unit, seen, [observations.Entry("m", _VENT)], kept_at=samples.NOON)
    for ticket, data in (("own", person.id.encode()), ("shared", b"the same picture")):
        photographs.add(
            unit, seen, ticket, Photograph(data, 4, 3), ticket=ticket, at=samples.NOON, kept_at=samples.NOON
        )
    observations.rest_on(unit, evaluation, seen)
    paper = f"EQ-2027-000{place}"
    earlier.add(unit, samples.transcribed(paper, person))
    earlier.add_check(unit, paper, earlier.Check("", people.SOL.id, "Sol", samples.NOON, "Same."))


_VENT = StepSeen("vent", None, "A note.", samples.NOON)


@pytest.fixture
def filled(database: Database) -> Database:
    """Ama and Ben have one of each; about Ama it is decided. The log has three entries, the first of Ama's."""
    with database.writing() as unit:
        samples.publish(unit)
        _everything(unit, people.AMA, 1)
        _everything(unit, people.BEN, 2)
        for someone in (people.AMA, people.BEN, people.AMA):
            events.add(unit, at=samples.NOON, person_id=someone.id, action="a:b", payload={"n": 1})
        proposed = samples.said(unit, Word.PROPOSED, at=DECIDED)
        samples.said(unit, Word.CONFIRMED, about=proposed, at=DECIDED)
    return database


def _count(unit: Unit, name: str) -> int:
    number: int = unit.execute(select(func.count()).select_from(metadata.tables[name])).scalar_one()
    return number


def test_what_was_decided_about_goes_and_all_else_stays(filled: Database) -> None:
    with filled.writing() as unit:
        before = {name: _count(unit, name) for name in TABLES}
        pictures = _count(unit, "photographs")
        destruction.rows(unit, people.AMA.id, samples.TASK.id)
    with filled.reading() as unit:
        assert {name: _count(unit, name) for name in TABLES} == {
            name: number // 2 for name, number in before.items()
        }
        # The one that Ben's job has too is still his.
        assert (pictures, _count(unit, "photographs")) == (3, 2)
    for name in (*TABLES, "photographs"):
        with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
            unit.execute(delete(metadata.tables[name]))


def test_what_came_after_the_decision_stays(filled: Database) -> None:
    with filled.writing() as unit:
        destruction.rows(unit, people.AMA.id, samples.TASK.id)
        samples.attempt(unit, "later", person=people.AMA.id, seed=9, at=LATER)
        evaluation = samples.evaluation(unit, at=LATER)
        later = samples.qualification(evaluation, "QR-2027-0009", valid_from=date(2027, 3, 18))
        qualifications.add(unit, later)
        samples.released(unit, at=LATER)
    for name in ("attempts", "evaluations", "qualifications", "sittings"):
        table = metadata.tables[name]
        with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
            unit.execute(delete(table).where(table.c.person_id == people.AMA.id))


def test_another_task_of_the_same_person_stays(filled: Database) -> None:
    evaluations = metadata.tables["evaluations"]
    with filled.writing() as unit:
        tasks = metadata.tables["covered_tasks"]
        row = dict(unit.execute(select(tasks)).one()._mapping)
        unit.execute(insert(tasks).values(row | {"id": "T-32"}))
        kept = dict(unit.execute(select(evaluations).limit(1)).one()._mapping)
        unit.execute(insert(evaluations).values(kept | {"id": 77, "covered_task_id": "T-32"}))
        destruction.rows(unit, people.AMA.id, samples.TASK.id)
    with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
        unit.execute(delete(evaluations).where(evaluations.c.id == 77))


@pytest.mark.parametrize(
    "values",
    [
        {"payload": "{}"},
        {"payload": "", "action": "b:a"},
        {"payload": "", "at": LATER},
        {"payload": "", "person_id": people.KIT.id},
        {"payload": "", "number": 7},
    ],
)
def test_of_an_entry_that_is_named_nothing_but_the_payload_goes(
    filled: Database, values: dict[str, object]
) -> None:
    table, named = metadata.tables["events"], metadata.tables["destroyed_entries"]
    with filled.writing() as unit:
        unit.execute(insert(named), {"number": 1, "confirmation": 2, "act": "confirmed"})
    with pytest.raises(IntegrityError, match="events are kept as written"), filled.writing() as unit:
        unit.execute(update(table).where(table.c.number == 1).values(values))
    with pytest.raises(IntegrityError, match="events are kept as written"), filled.writing() as unit:
        unit.execute(update(table).values(payload=""))
    with filled.writing() as unit:
        unit.execute(update(table).where(table.c.number == 1).values(payload=""))
    # Nor does it come back.
    with pytest.raises(IntegrityError, match="events are kept as written"), filled.writing() as unit:
        unit.execute(update(table).where(table.c.number == 1).values(payload='{"n":1}'))


def test_entries_are_named_by_a_confirmation_alone(filled: Database) -> None:
    named = metadata.tables["destroyed_entries"]
    for act in ("confirmed", "proposed"):
        with pytest.raises(IntegrityError), filled.writing() as unit:
            unit.execute(insert(named), {"number": 1, "confirmation": 1, "act": act})


def test_statements_that_wait_lose_what_they_tell(filled: Database) -> None:
    with filled.writing() as unit:
        for entry in (1, 2):
            outbox.add(unit, statement_id=f"s{entry}", entry=entry, statement="told", at=samples.NOON)
        destruction.entries(unit, [1], 2)
    with filled.reading() as unit:
        assert [one.statement for one in outbox.waiting(unit, limit=9)] == ["told"]
        assert [one.why for one in outbox.refusals(unit, limit=9)] == [destruction.NOT_SENT]


def test_no_confirmation_without_all_it_needs(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        proposed = samples.said(unit, Word.PROPOSED)
        of_ben = samples.said(unit, Word.PROPOSED, person=people.BEN)
        about_a_hold = samples.said(unit, Word.HELD, person=people.CLEO)
    ahead = samples.NOON.date() + timedelta(days=1)
    unfit: tuple[dict[str, object], ...] = (
        {"about": None},
        {"about": of_ben},
        {"about": about_a_hold, "person": people.CLEO},
        {"about": proposed, "by": people.SOL.id},
        {"about": proposed, "by": people.AMA.id},
        {"about": proposed, "earliest": ahead},
        {"about": proposed, "earliest": None},
        {"about": proposed, "reason": ""},
    )
    for changed in unfit:
        with pytest.raises(IntegrityError), database.writing() as unit:
            samples.said(unit, Word.CONFIRMED, **changed)  # type: ignore[arg-type]
    with database.writing() as unit:
        held = samples.said(unit, Word.HELD)
    with pytest.raises(IntegrityError, match="keeping_events are kept"), database.writing() as unit:
        samples.said(unit, Word.CONFIRMED, about=proposed)
    with database.writing() as unit:
        samples.said(unit, Word.LIFTED, about=held)
        samples.said(unit, Word.CONFIRMED, about=proposed)
    with pytest.raises(IntegrityError), database.writing() as unit:
        samples.said(unit, Word.CONFIRMED, about=proposed)
