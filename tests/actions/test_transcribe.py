"""A paper card: who filled it in and when, who entered it, and the order that stands on it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from tests.actions import bench as company
from tests.actions.bench import MODULE, NOW, enter
from tests.people import AMA, BEN, CLEO, MIRA, SOL
from trainer.actions import bench, observe, publish
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.bench import ObservationUnfit
from trainer.actions.transcribe import CardRow, in_order_done, transcribe
from trainer.records.observation import StepMark
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database

UNAIDED = StepMark.UNAIDED
CARD = {
    "shut": CardRow(UNAIDED, note="both ends"),
    "vent": CardRow(UNAIDED),
    "relax": CardRow(StepMark.WORD),
    "cap": CardRow(note="not done that day"),
}


@pytest.fixture(autouse=True)
def _on_their_sheets(db: Database) -> None:
    """What is evaluated or watched has been assigned before."""
    for someone in (AMA, BEN):
        company.give_module(db, someone)


def revision(db: Database) -> str:
    return publish.current_modules(db, SYSTEM)[0].revision


def typed(db: Database, actor: Actor, **changed: Any) -> int:
    values: dict[str, Any] = {
        "evaluator_id": MIRA.id,
        "filled_on": date(2027, 3, 15),
        "revision": revision(db)[:8],
        "rows": CARD,
        "ticket": "card",
        "now": NOW,
    } | changed
    size = values.pop("size", "DN 80")
    return transcribe(db, actor, values.pop("person", AMA.id), MODULE, size, **values)


def test_a_card_entered_by_another_waits_for_who_filled_it_in(db: Database) -> None:
    sol = enter(db, SOL)
    number = typed(db, sol)
    assert typed(db, sol) == number
    mira = enter(db, MIRA)
    assert [line.observation_id for line in bench.my_bench(db, mira).open] == [number]
    with pytest.raises(NotFound):
        observe.close(db, sol, number, order=(), result="x", password=SOL.password, now=NOW)
    closed = observe.close(
        db, mira, number, order=(), result="As on the card.", password=MIRA.password, now=NOW
    )
    assert (closed.filled_on, closed.transcribed_by) == (date(2027, 3, 15), SOL.display_name)
    assert closed.signature is not None
    assert closed.signature.person == MIRA.id
    assert [(item.step, item.mark) for item in closed.seen] == [
        ("shut", UNAIDED),
        ("vent", UNAIDED),
        ("relax", StepMark.WORD),
        ("cap", None),
    ]
    assert closed.seen[0].note == "both ends"
    with db.reading() as unit:
        (told,) = [event for event in events.since(unit) if event.action == "observation:transcribe"]
    assert told.person_id == SOL.id
    assert f'"evaluator":"{MIRA.id}"' in told.payload


def test_done_as_puts_steps_into_the_order_in_which_they_were_done() -> None:
    steps = ["a", "b", "c", "d"]
    rows = {step: CardRow(UNAIDED) for step in steps}
    assert in_order_done(rows, steps) == steps
    assert in_order_done({**rows, "d": CardRow(UNAIDED, "2")}, steps) == ["a", "d", "b", "c"]
    moved = {**rows, "a": CardRow(UNAIDED, "4"), "c": CardRow(UNAIDED, " 1 ")}
    assert in_order_done(moved, steps) == ["c", "b", "d", "a"]
    # A step that was not seen takes no place.
    assert in_order_done({**rows, "b": CardRow(None, "1")}, steps) == ["a", "c", "d"]


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        (
            {"a": CardRow(UNAIDED, "3"), "b": CardRow(UNAIDED)},
            "Step 1, done as '3': there are 2 ticked steps",
        ),
        ({"a": CardRow(UNAIDED, "first")}, "done as 'first'"),
        ({"a": CardRow(UNAIDED, "0")}, "done as '0'"),
        ({"a": CardRow(UNAIDED, "2"), "b": CardRow(UNAIDED, "2")}, "Steps 1 and 2 cannot both"),
    ],
)
def test_a_place_that_cannot_be_is_told(rows: dict[str, CardRow], sentence: str) -> None:
    with pytest.raises(ObservationUnfit, match=sentence):
        in_order_done(rows, ["a", "b"])


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"rows": {}}, "No box is ticked"),
        ({"rows": {"dance": CardRow(UNAIDED)}}, "No box is ticked"),
        ({"filled_on": NOW.date() + timedelta(days=1)}, "lies in the future"),
        ({"revision": "0" * 8}, "of the revision in force"),
        ({"revision": ""}, "of the revision in force"),
        ({"ticket": ""}, "ticket"),
        ({"size": ""}, "which size"),
        ({"rows": {"shut": CardRow(UNAIDED, note="x" * 501)}}, "500 characters"),
    ],
)
def test_a_card_that_does_not_fit_is_told_in_one_sentence(
    db: Database, changed: dict[str, Any], sentence: str
) -> None:
    with pytest.raises(ObservationUnfit, match=sentence):
        typed(db, enter(db, MIRA), **changed)
    assert bench.my_bench(db, enter(db, MIRA)).open == ()


def test_who_filled_it_in_had_the_right_on_that_day(db: Database) -> None:
    mira = enter(db, MIRA)
    with pytest.raises(NotAllowed, match="Sol Harrowgate: To evaluate"):
        typed(db, mira, evaluator_id=SOL.id)
    with pytest.raises(NotFound, match="evaluator"):
        typed(db, mira, evaluator_id=BEN.id)
    with pytest.raises(NotFound):
        typed(db, mira, person=CLEO.id)
    company.qualify_supervisor(db)
    # Qualified from today on: the card of two days ago came too early.
    with pytest.raises(NotAllowed, match="Sol Harrowgate: To evaluate"):
        typed(db, mira, evaluator_id=SOL.id)
    assert typed(db, enter(db, MIRA), evaluator_id=SOL.id, filled_on=NOW.date()) > 0


def test_nobody_enters_a_card_of_their_own_work(db: Database) -> None:
    with pytest.raises(NotAllowed, match="of their own work"):
        typed(db, enter(db, MIRA), person=MIRA.id, evaluator_id=SOL.id)
