from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store import samples
from tests.store.samples import NOON, REVISION
from trainer.store import attempts, sittings, summaries
from trainer.store.schema.sittings import sitting_answers, sitting_ends
from trainer.store.schema.sittings import sittings as table
from trainer.store.sittings import How

if TYPE_CHECKING:
    from trainer.store.session import Database


@pytest.fixture
def filled(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
    return database


def test_a_sitting_comes_back_as_it_was_released_and_ended(filled: Database) -> None:
    with filled.writing() as unit:
        made = samples.released(unit)
        assert made.end is None
        assert sittings.open_of(unit, people.AMA.id) == made
        sittings.end(
            unit,
            made.id,
            how=How.BROKEN_OFF,
            results=[{"title": "Order", "attempts": 0}],
            because="The alarm went off.",
            by=people.MIRA.id,
            at=NOON,
        )
        found = sittings.by_id(unit, made.id)
        assert found is not None
        assert found.end == sittings.SittingEnd(
            How.BROKEN_OFF, ({"title": "Order", "attempts": 0},), "The alarm went off.", people.MIRA.id, NOON
        )
        assert sittings.open_of(unit, people.AMA.id) is None
        assert sittings.of_person(unit, people.AMA.id, "main-valve") == (found,)
        assert sittings.of_person(unit, people.AMA.id, "other") == ()
        assert sittings.by_id(unit, 99) is None


def test_questions_come_back_in_order_with_their_answers(filled: Database) -> None:
    with filled.writing() as unit:
        number = samples.released(unit).id
        assert sittings.newest_question(unit, number) is None
        for position in (1, 2):
            samples.asked(unit, number, position)
        samples.answered(unit, number, 1, right=False)
        first, second = sittings.questions(unit, number)
        assert (first.position, second.position, second.answer) == (1, 2, None)
        assert first.answer is not None
        assert (first.answer.answer, first.answer.right, first.answer.critical) == (
            ["vent", "lift"],
            False,
            True,
        )
        assert first.answer.mark["credit"] == "0.5"
        assert first.address == attempts.Address(REVISION, "order", "DN 80", 1)
        assert sittings.newest_question(unit, number) == second


@pytest.mark.parametrize(
    ("how", "counted"),
    [(None, [True]), (How.BROKEN_OFF, [True]), (How.TIME_UP, [True, False])],
)
def test_an_open_question_counts_as_failed_only_when_the_time_is_up(
    filled: Database, how: How | None, counted: list[bool]
) -> None:
    with filled.writing() as unit:
        number = samples.released(unit).id
        samples.asked(unit, number, 1)
        samples.answered(unit, number, 1)
        samples.asked(unit, number, 2)
        if how is not None:
            broken = how is How.BROKEN_OFF
            sittings.end(
                unit,
                number,
                how=how,
                results=[],
                because="So." if broken else "",
                by=people.MIRA.id if broken else "",
                at=NOON + timedelta(hours=1),
            )
        marks = sittings.marks(unit, people.AMA.id, REVISION)
        assert [mark.right for mark in marks] == counted
        assert all(mark.policy == "d" * 64 for mark in marks)
        late = sittings.marks(unit, people.AMA.id, REVISION, late=(number, NOON))
        assert [mark.right for mark in late] == [True, False]


def test_a_question_is_answered_once_for_ever(filled: Database) -> None:
    with filled.writing() as unit:
        number = samples.released(unit).id
        samples.asked(unit, number, 1)
        samples.answered(unit, number, 1)
    with pytest.raises(IntegrityError), filled.writing() as unit:
        samples.answered(unit, number, 1)


def test_what_was_never_put_cannot_be_answered(filled: Database) -> None:
    with filled.writing() as unit:
        number = samples.released(unit).id
    with pytest.raises(IntegrityError), filled.writing() as unit:
        samples.answered(unit, number, 1)


def test_what_was_asked_of_whom(filled: Database) -> None:
    with filled.writing() as unit:
        for person in (people.AMA.id, people.BEN.id):
            number = samples.released(unit, person=person).id
            samples.asked(unit, number, 1, seed=7)
            samples.asked(unit, number, 2, seed=8)
        samples.asked(unit, number, 3, seed=9, likeness="f")
        asked = attempts.Address(REVISION, "order", "DN 80", 9)
        assert sittings.was_asked(unit, people.BEN.id, asked)
        assert not sittings.was_asked(unit, people.AMA.id, asked)
        assert sittings.people_asked(unit, "e" * 64) == 2
        assert sittings.people_asked(unit, "f" * 64) == 1
        assert sittings.likenesses_of(unit, people.AMA.id, REVISION) == {"e" * 64}
        assert (
            sittings.asked_in_series(unit, people.BEN.id, REVISION, "order", 1)
            == (("order:strip", "DN 80"),) * 3
        )
        assert sittings.asked_in_series(unit, people.BEN.id, REVISION, "order", 2) == ()


def test_a_sitting_touches_no_summary_of_practice(filled: Database) -> None:
    with filled.writing() as unit:
        samples.attempt(unit, "one")
        before = summaries.every(unit)
        samples.sitting(unit)
        summaries.rebuild(unit)
        assert summaries.every(unit) == before


def test_nobody_releases_themselves_not_even_in_sql(filled: Database) -> None:
    with filled.reading() as unit:
        values = {
            "person_id": people.AMA.id,
            "module_id": "main-valve",
            "revision": REVISION,
            "policy": "d" * 64,
            "drawn_with": "c",
            "shown": 0,
            "skills": 0,
            "because": "So.",
            "released_at": NOON,
        }
    with pytest.raises(IntegrityError, match="not_by_oneself"), filled.writing() as unit:
        unit.execute(insert(table).values(released_by=people.AMA.id, **values))


def test_a_break_needs_a_reason_and_a_second_end_is_refused(filled: Database) -> None:
    with filled.writing() as unit:
        number = samples.sitting(unit)
        other = samples.released(unit).id
    with pytest.raises(IntegrityError), filled.writing() as unit:
        sittings.end(unit, number, how=How.FULL, results=[], at=NOON)
    with pytest.raises(IntegrityError, match="break_has"), filled.writing() as unit:
        sittings.end(unit, other, how=How.BROKEN_OFF, results=[], at=NOON)
    assert {column.name for column in sitting_ends.primary_key} == {"sitting_id"}
    assert {column.name for column in sitting_answers.primary_key} == {"sitting_id", "position"}
