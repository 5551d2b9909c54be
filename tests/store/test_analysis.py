"""Adding up answers in SQL, against adding them up by hand, on both databases."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.people import AMA, BEN, CLEO
from tests.store import samples
from tests.store.samples import NOON, REVISION
from trainer.store import analysis, attempts, sittings

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

HELD = "The nuts hold the cap"


@pytest.fixture
def practised(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
    return database


def wrong_order(
    unit: Unit, ticket: str, person: str, seed: int, *pairs: tuple[str, str], counts: bool = True
) -> None:
    """Keep a wrong answer to an order with these relations broken."""
    mark: dict[str, Any] = {
        "remarks": [
            {
                "about": "b",
                "text": HELD,
                "signal": "danger" if pair[0] == "vent" else None,
                "relation": list(pair),
            }
            for pair in pairs
        ]
        + [
            {"about": "c", "text": "of another sort", "signal": None, "relation": None},
            {"about": "d", "text": "old"},
        ],
        "lines": [{"text": "Vent the run"}, {"text": "Lift the cap"}],
    }
    attempts.add(
        unit,
        ticket=ticket,
        person_id=person,
        module_id="main-valve",
        address=attempts.Address(REVISION, "order", "DN 80", seed),
        skill="order:strip",
        answer=["b", "a"],
        mark=mark,
        right=False,
        critical=True,
        credit_thousandths=0,
        counts=counts,
        started_at=None,
        at=NOON,
    )


def test_relations_are_counted_by_answers_and_by_people(practised: Database) -> None:
    with practised.writing() as unit:
        wrong_order(unit, "1", AMA.id, 1, ("vent", "lift"), ("shut", "vent"))
        wrong_order(unit, "2", AMA.id, 2, ("vent", "lift"))
        wrong_order(unit, "3", BEN.id, 1, ("vent", "lift"))
        wrong_order(unit, "4", BEN.id, 1, ("vent", "lift"), counts=False)
        found = analysis.broken(unit, REVISION, skills=["order:strip", "order:none"], newest=9)
        assert found == (
            analysis.Broken("vent", "lift", HELD, "danger", times=3, people=2),
            analysis.Broken("shut", "vent", HELD, "", times=1, people=1),
        )
        assert analysis.lines_shown(unit, REVISION, skills=["order:strip"], newest=9) == {
            "Vent the run": 3,
            "Lift the cap": 3,
        }
        assert analysis.broken(unit, "b" * 64, skills=["order:strip"], newest=9) == ()
        assert analysis.broken(unit, REVISION, skills=[], newest=9) == ()
        assert analysis.lines_shown(unit, REVISION, skills=["order:strip"], newest=1) == {
            "Vent the run": 1,
            "Lift the cap": 1,
        }


def test_skills_tries_and_first_answers(practised: Database) -> None:
    with practised.writing() as unit:
        for number, right in enumerate((False, True, True), start=1):
            samples.attempt(unit, f"a{number}", seed=number, right=right)
        samples.attempt(unit, "b1", person=BEN.id, seed=1, right=True)
        samples.attempt(unit, "b2", person=BEN.id, seed=1, right=False, counts=False)
        samples.attempt(unit, "c1", person=CLEO.id, seed=9, right=False, skill="way-round")
        assert set(analysis.answered(unit, REVISION)) == {
            analysis.Answered("order:strip", 4, 3, 2),
            analysis.Answered("way-round", 1, 0, 1),
        }
        assert analysis.first_answers(unit, REVISION, people=9) == (
            (AMA.id, "order:strip", False),
            (BEN.id, "order:strip", True),
            (CLEO.id, "way-round", False),
        )
        assert analysis.by_try(unit, REVISION, most=2, people=9) == (
            analysis.Try("order:strip", 1, 2, 1),
            analysis.Try("order:strip", 2, 1, 1),
            analysis.Try("way-round", 1, 1, 0),
        )
        (newest,) = analysis.newest_at(unit, REVISION, "order:strip", limit=1)
        assert (newest.person_id, newest.address.seed, newest.answer) == (BEN.id, 1, ["vent", "lift"])
        assert analysis.shares_elsewhere(unit, REVISION, "way-round", [AMA.id, BEN.id, AMA.id]) == {
            AMA.id: pytest.approx(2 / 3),
            BEN.id: pytest.approx(1),
        }


def test_answers_after_some_days(practised: Database) -> None:
    days = (0, 0.1, 2, 12, 12.5, 60, 60.1, 90)
    rights = (True, True, True, False, True, True, True, False)
    with practised.writing() as unit:
        for number, (day, right) in enumerate(zip(days, rights, strict=True), start=1):
            samples.attempt(unit, f"a{number}", seed=number, right=right, at=NOON + timedelta(days=day))
        found = analysis.after_gaps(unit, REVISION, edges=(1, 8, 31), in_a_row=2, people=9)
    # Shown at .1: right 1.9 days later. Wrong 10 days after. Shown again at 60 and 60.1: wrong 29.9 days later.
    # Right at 60, 47.5 days after one right answer that showed nothing yet: left out.
    assert [(gap.bucket, gap.times, gap.right) for gap in found] == [(0, 1, 1), (1, 2, 0)]
    assert [gap.mean_days for gap in found] == pytest.approx([1.9, (10 + 29.9) / 2], abs=1e-4)


def test_only_who_practised_last_is_looked_at_when_there_are_many(practised: Database) -> None:
    with practised.writing() as unit:
        samples.attempt(unit, "a", right=False)
        samples.attempt(unit, "b", person=BEN.id, at=NOON + timedelta(days=1))
        assert analysis.first_answers(unit, REVISION, people=1) == ((BEN.id, "order:strip", True),)
        assert analysis.by_try(unit, REVISION, most=9, people=1) == (analysis.Try("order:strip", 1, 1, 1),)


def test_answers_in_sittings_are_counted_beside_those_in_practice(practised: Database) -> None:
    with practised.writing() as unit:
        assert analysis.assessed(unit, REVISION) == {}
        wrong_order(unit, "1", AMA.id, 1, ("vent", "lift"))
        number = samples.released(unit).id
        for position in (1, 2):
            samples.asked(unit, number, position)
        samples.answered(unit, number, 1)
        sittings.answer(
            unit,
            number,
            2,
            ticket="t2",
            answer=["b", "a"],
            mark={
                "remarks": [{"about": "b", "text": HELD, "signal": "danger", "relation": ["vent", "lift"]}],
                "lines": [{"text": "Lift the cap"}],
            },
            right=False,
            critical=True,
            credit_thousandths=0,
            at=NOON,
        )
        assert analysis.assessed(unit, REVISION) == {"order:strip": (2, 1)}
        assert analysis.assessed(unit, "b" * 64) == {}
        (one,) = analysis.broken(unit, REVISION, skills=["order:strip"], newest=9)
        assert (one.times, one.people) == (2, 1)
        assert analysis.lines_shown(unit, REVISION, skills=["order:strip"], newest=9) == {
            "Vent the run": 1,
            "Lift the cap": 2,
        }
        assert analysis.first_answers(unit, REVISION, people=9) == ()
