from __future__ import annotations

import random
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN, CLEO, CREW
from tests.store import samples
from tests.store.samples import NOON, REVISION
from trainer.store import attempts, people, summaries
from trainer.store.attempts import Address

if TYPE_CHECKING:
    from trainer.store.session import Database


@pytest.fixture
def practised(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
    return database


def test_an_attempt_is_kept_as_it_was(practised: Database) -> None:
    with practised.writing() as unit:
        number = samples.attempt(unit, "t", seed=2**53 - 1, right=False)
    with practised.reading() as unit:
        kept = attempts.by_id(unit, number)
        assert attempts.by_ticket(unit, AMA.id, "t") == kept
        assert attempts.by_ticket(unit, BEN.id, "t") is None
        assert attempts.by_id(unit, number + 1) is None
    assert kept is not None
    assert kept.address == Address(REVISION, "order", "DN 80", 2**53 - 1)
    assert (kept.answer, kept.mark) == (["vent", "lift"], {"right": False, "credit": "0.5"})
    assert (kept.right, kept.critical, kept.credit_thousandths, kept.counts) == (False, False, 500, True)
    assert (kept.started_at, kept.at) == (None, NOON)


def test_a_ticket_is_used_once_by_each_person(practised: Database) -> None:
    with practised.writing() as unit:
        samples.attempt(unit, "t")
        samples.attempt(unit, "t", person=BEN.id)
    with pytest.raises(IntegrityError), practised.writing() as unit:
        samples.attempt(unit, "t", seed=2)


def test_a_question_counts_once_for_each_person(practised: Database) -> None:
    with practised.writing() as unit:
        samples.attempt(unit, "a")
        samples.attempt(unit, "b", counts=False)
        samples.attempt(unit, "c", person=BEN.id)
        assert attempts.was_asked(unit, AMA.id, Address(REVISION, "order", "DN 80", 1))
        assert not attempts.was_asked(unit, AMA.id, Address(REVISION, "order", "DN 50", 1))
        assert not attempts.was_asked(unit, CLEO.id, Address(REVISION, "order", "DN 80", 1))
        assert attempts.count(unit, AMA.id, REVISION) == 1
    with pytest.raises(IntegrityError), practised.writing() as unit:
        samples.attempt(unit, "d")


def test_lists_come_in_the_order_they_promise(practised: Database) -> None:
    with practised.writing() as unit:
        ids = [
            samples.attempt(
                unit, f"{n}", seed=n, size=("DN 50", "DN 80")[n % 2], at=NOON + timedelta(minutes=n)
            )
            for n in range(5)
        ]
        assert [a.id for a in attempts.newest_of(unit, AMA.id, limit=3)] == ids[:1:-1]
        assert [a.id for a in attempts.counted_of(unit, AMA.id, REVISION)] == ids
        assert attempts.sizes_used(unit, AMA.id, REVISION, "order:strip") == {"DN 50": 3, "DN 80": 2}


def test_the_last_practice_of_everybody_still_here(practised: Database) -> None:
    with practised.writing() as unit:
        for n, someone in enumerate((AMA, AMA, BEN, CLEO)):
            samples.attempt(unit, f"{n}", seed=n, person=someone.id, at=NOON + timedelta(hours=n))
        people.retire(unit, BEN.id, NOON)
        assert attempts.last_practice(unit) == {
            AMA.id: NOON + timedelta(hours=1),
            CLEO.id: NOON + timedelta(hours=3),
        }
        assert attempts.last_practice(unit, crew=CREW) == {AMA.id: NOON + timedelta(hours=1)}


def test_the_summary_follows_and_the_rebuilt_one_is_equal(practised: Database) -> None:
    chance = random.Random(7)  # noqa: S311  # the same walk each time
    with practised.writing() as unit:
        for n in range(120):
            samples.attempt(
                unit,
                f"{n}",
                seed=n,
                right=chance.random() < 0.6,
                counts=chance.random() < 0.9,
                person=chance.choice([AMA, BEN, CLEO]).id,
                skill=chance.choice(["order:strip", "way_round"]),
                at=NOON + timedelta(minutes=n),
            )
        kept = summaries.every(unit)
        by_hand: dict[tuple[str, str], tuple[int, int, int, datetime | None]] = {}
        for someone in (AMA, BEN, CLEO):
            for attempt in attempts.counted_of(unit, someone.id, REVISION):
                tried, clean, row, _ = by_hand.get((someone.id, attempt.skill), (0, 0, 0, None))
                by_hand[someone.id, attempt.skill] = (
                    tried + 1,
                    clean + attempt.right,
                    row + 1 if attempt.right else 0,
                    attempt.at,
                )
        assert {(s.person_id, s.skill): (s.attempts, s.clean, s.in_a_row, s.last_at) for s in kept} == by_hand
        assert len(kept) == 6
        assert summaries.rebuild(unit) == 6
        assert summaries.every(unit) == kept


def test_how_many_skills_are_shown(practised: Database) -> None:
    with practised.writing() as unit:
        for n, skill in enumerate(["a", "a", "b", "c", "c", "c"]):
            samples.attempt(unit, f"{n}", seed=n, skill=skill)
        samples.attempt(unit, "other", seed=9, skill="a", person=CLEO.id)
        assert summaries.shown_counts(unit, in_a_row=2) == {(AMA.id, REVISION): 2}
        assert summaries.shown_counts(unit, in_a_row=1, crew=CREW) == {(AMA.id, REVISION): 3}
        assert set(summaries.of_person(unit, AMA.id)) == {(REVISION, "a"), (REVISION, "b"), (REVISION, "c")}
        assert summaries.of_person(unit, AMA.id, "0" * 64) == {}


def test_an_attempt_belongs_to_somebody_and_to_a_revision(practised: Database) -> None:
    with pytest.raises(IntegrityError), practised.writing() as unit:
        samples.attempt(unit, "t", person="P-9999")
