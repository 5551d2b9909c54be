from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN, CREW, MIRA, OTHER_CREW
from tests.store import samples
from tests.store.samples import NEXT_REVISION, NOON, TASK
from trainer.records.methods import Method
from trainer.store import evaluations, people, qualifications

if TYPE_CHECKING:
    from trainer.store.session import Database


@pytest.fixture
def published(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
    return database


def test_an_evaluation_is_kept_as_recorded(published: Database) -> None:
    with published.writing() as unit:
        number = samples.evaluation(unit)
        kept = evaluations.by_id(unit, number)
        assert evaluations.of_person(unit, AMA.id) == (kept,)
        assert evaluations.by_id(unit, number + 1) is None
    assert kept is not None
    assert kept.methods == (Method.SIMULATION, Method.ORAL)
    assert (kept.abnormal_conditions, kept.evaluated_on) == (TASK.abnormal_conditions, NOON.date())
    assert (kept.evaluator_id, kept.evaluator_name, kept.at) == (MIRA.id, MIRA.display_name, NOON)


def test_the_newest_passed_evaluation_waits_for_a_signature(published: Database) -> None:
    with published.writing() as unit:
        samples.evaluation(unit)
        newest = samples.evaluation(unit)
        samples.evaluation(unit, person=BEN.id, passed=False)
        assert [e.id for e in evaluations.waiting(unit)] == [newest]
        assert [e.id for e in evaluations.waiting(unit, crew=CREW, person_id=AMA.id)] == [newest]
        assert evaluations.waiting(unit, crew=OTHER_CREW) == ()


def test_what_no_signature_can_stand_on_does_not_wait(published: Database) -> None:
    with published.writing() as unit:
        samples.evaluation(unit, abnormal_passed=False)
        assert evaluations.waiting(unit) == ()
        used = samples.evaluation(unit)
        qualifications.add(unit, samples.qualification(used))
        assert evaluations.waiting(unit) == ()
        samples.evaluation(unit)
        samples.publish(unit, NEXT_REVISION)
        assert evaluations.waiting(unit) == ()
        samples.evaluation(unit, revision=NEXT_REVISION, at=NOON + timedelta(days=2))
        assert len(evaluations.waiting(unit)) == 1
        people.retire(unit, AMA.id, NOON)
        assert evaluations.waiting(unit) == ()


def test_a_qualification_is_kept_as_signed_and_ended_once(published: Database) -> None:
    with published.writing() as unit:
        signed = samples.qualification(samples.evaluation(unit))
        qualifications.add(unit, signed)
        assert qualifications.by_number(unit, signed.number) == signed
        assert qualifications.by_number(unit, "QR-2000-0001") is None
        assert qualifications.of_person(unit, AMA.id) == (signed,)
        assert qualifications.of_person(unit, AMA.id, task_id=TASK.id) == (signed,)
        assert qualifications.of_person(unit, AMA.id, task_id="another task") == ()
        assert qualifications.of_person(unit, BEN.id, task_id=TASK.id) == ()
        assert qualifications.end(unit, signed.number, on=date(2028, 5, 1), because="Incident.")
        ended = qualifications.by_number(unit, signed.number)
    assert ended == replace(signed, ended_on=date(2028, 5, 1), ended_because="Incident.")


def test_on_which_days_a_qualification_holds(published: Database) -> None:
    with published.writing() as unit:
        signed = samples.qualification(samples.evaluation(unit))
        qualifications.add(unit, signed)
        qualifications.end(unit, signed.number, on=date(2028, 5, 1), because="Incident.")
        for day, holds in (
            (date(2027, 3, 16), False),
            (date(2027, 3, 17), True),
            (date(2028, 4, 30), True),
            (date(2028, 5, 1), False),
            (date(2030, 3, 18), False),
        ):
            found = qualifications.holds(unit, AMA.id, TASK.id, day)
            assert (found is not None) is holds, day
            kept = qualifications.by_number(unit, signed.number)
            assert kept is not None
            assert kept.holds_on(day) is holds
        assert qualifications.holds(unit, BEN.id, TASK.id, date(2027, 3, 17)) is None


def test_what_ends_until_a_day(published: Database) -> None:
    with published.writing() as unit:
        early = samples.qualification(samples.evaluation(unit), "QR-2027-0001", valid_until=date(2027, 5, 1))
        late = samples.qualification(
            samples.evaluation(unit, person=BEN.id),
            "QR-2027-0002",
            person=BEN.id,
            valid_until=date(2027, 9, 1),
        )
        for signed in (early, late):
            qualifications.add(unit, signed)
        (term,) = qualifications.ending(unit, until=date(2027, 6, 1))
        assert (term.number, term.person_id, term.last_day) == (early.number, AMA.id, date(2027, 5, 1))
        assert qualifications.ending(unit, until=date(2027, 6, 1), crew=OTHER_CREW) == ()
        assert qualifications.terms(unit, crew=CREW)[AMA.id, TASK.id] == (term,)
        assert set(qualifications.terms(unit)) == {(AMA.id, TASK.id), (BEN.id, TASK.id)}
        qualifications.end(unit, late.number, on=date(2027, 4, 1), because="Incident.")
        ending = qualifications.ending(unit, until=date(2027, 6, 1))
        assert [term.last_day for term in ending] == [date(2027, 3, 31), date(2027, 5, 1)]


def test_what_was_renewed_does_not_end(published: Database) -> None:
    with published.writing() as unit:
        old = samples.qualification(samples.evaluation(unit), "QR-2027-0001", valid_until=date(2027, 5, 1))
        new = samples.qualification(samples.evaluation(unit), "QR-2027-0002", supersedes=old.number)
        qualifications.add(unit, old)
        qualifications.add(unit, new)
        assert qualifications.ending(unit, until=date(2027, 6, 1)) == ()
        assert [term.number for term in qualifications.terms(unit)[AMA.id, TASK.id]] == [
            new.number,
            old.number,
        ]


@pytest.mark.parametrize(
    "broken",
    [
        {"signed_by": AMA.id},
        {"valid_until": date(2027, 3, 16)},
        {"ended_on": date(2028, 1, 1)},
        {"ended_because": "No day."},
        {"evaluation_id": 9999},
        {"supersedes": "QR-1999-0001"},
    ],
)
def test_the_database_itself_refuses_a_qualification_that_makes_no_sense(
    published: Database, broken: dict[str, object]
) -> None:
    with published.writing() as unit:
        evaluation = samples.evaluation(unit)
    signed = replace(samples.qualification(evaluation), **broken)  # type: ignore[arg-type]  # on purpose
    with pytest.raises(IntegrityError), published.writing() as unit:
        qualifications.add(unit, signed)


def test_one_evaluation_and_one_predecessor_carry_one_qualification(published: Database) -> None:
    with published.writing() as unit:
        evaluation, other, third = (samples.evaluation(unit) for _ in range(3))
        qualifications.add(unit, samples.qualification(evaluation, "QR-2027-0001"))
        qualifications.add(unit, samples.qualification(other, "QR-2027-0002", supersedes="QR-2027-0001"))
    with pytest.raises(IntegrityError), published.writing() as unit:
        qualifications.add(unit, samples.qualification(evaluation, "QR-2027-0003"))
    with pytest.raises(IntegrityError), published.writing() as unit:
        qualifications.add(unit, samples.qualification(third, "QR-2027-0004", supersedes="QR-2027-0001"))


def test_nobody_evaluates_themselves_in_the_database_either(published: Database) -> None:
    with pytest.raises(IntegrityError), published.writing() as unit:
        samples.evaluation(unit, person=MIRA.id, at=NOON + timedelta(days=1))
