from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import MODULE, NOW
from tests.people import AMA, BEN, CLEO, KIT, MIRA, SOL
from trainer.actions import assign, practise
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database

APRIL = date(2027, 4, 1)


def test_assigning_again_changes_the_due_date(db: Database) -> None:
    mira = bench.enter(db, MIRA)
    assign.assign(db, mira, AMA.id, MODULE, None, now=NOW)
    assign.assign(db, mira, AMA.id, MODULE, APRIL, now=NOW)
    (line,) = practise.my_sheet(db, bench.enter(db, AMA), now=NOW).modules
    assert line.due == APRIL


def test_a_withdrawn_module_leaves_the_sheet_and_can_be_given_again(db: Database) -> None:
    mira, ama = bench.enter(db, MIRA), bench.enter(db, AMA)
    assign.assign(db, mira, AMA.id, MODULE, APRIL, now=NOW)
    bench.practise_once(db, ama)
    assign.withdraw(db, mira, AMA.id, MODULE, now=NOW)
    assert practise.my_sheet(db, ama, now=NOW).modules == ()
    with pytest.raises(NotFound):
        assign.withdraw(db, mira, AMA.id, MODULE, now=NOW)
    assign.assign(db, mira, AMA.id, MODULE, None, now=NOW)
    (line,) = practise.my_sheet(db, ama, now=NOW).modules
    assert sum(skill.attempts for skill in line.skills) == 1


def test_a_due_date_lies_ahead(db: Database) -> None:
    with pytest.raises(assign.DueInThePast, match="2027-03-16"):
        assign.assign(db, bench.enter(db, MIRA), AMA.id, MODULE, date(2027, 3, 16), now=NOW)
    assign.assign(db, bench.enter(db, MIRA), AMA.id, MODULE, NOW.date(), now=NOW)


def test_a_mentor_assigns_in_the_own_crew_a_supervisor_everywhere(db: Database) -> None:
    with pytest.raises(NotFound):
        assign.assign(db, bench.enter(db, MIRA), CLEO.id, MODULE, None, now=NOW)
    assign.assign(db, bench.enter(db, SOL), CLEO.id, MODULE, None, now=NOW)
    for someone in (AMA, KIT):
        with pytest.raises(NotAllowed):
            assign.assign(db, bench.enter(db, someone), BEN.id, MODULE, None, now=NOW)


def test_nothing_is_assigned_to_who_has_left_and_nothing_that_is_not_published(db: Database) -> None:
    register.retire(db, SYSTEM, BEN.id, now=NOW)
    with pytest.raises(assign.PersonHasLeft, match=BEN.display_name):
        assign.assign(db, bench.enter(db, MIRA), BEN.id, MODULE, None, now=NOW)
    with pytest.raises(NotFound):
        assign.assign(db, bench.enter(db, MIRA), AMA.id, "no-such-module", None, now=NOW)


def test_it_stands_in_the_log_who_assigned_what(db: Database) -> None:
    assign.assign(db, bench.enter(db, MIRA), AMA.id, MODULE, APRIL, now=NOW)
    with db.reading() as unit:
        (entry,) = [event for event in events.since(unit) if event.action == "module:assign"]
    assert entry.person_id == MIRA.id
    assert entry.payload == f'{{"assignment":1,"due":"2027-04-01","module":"{MODULE}","person":"{AMA.id}"}}'
