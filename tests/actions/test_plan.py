"""Plans of cover: proposed from what people have, changed, kept in versions, turned into assignments."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.actions import bench
from tests.actions.bench import NOW, TASK
from tests.exports import reading
from tests.people import AMA, BEN, CLEO, CREW, INES, MIRA, OTHER_CREW, SOL
from trainer.actions import assign, crew, plan, printing
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.plan import PlanChanged, PlanUnfit
from trainer.actions.plan_views import PlanAsk, PlanLine
from trainer.records.cover import CoverOutOfReach, Means
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database

ASK = PlanAsk((TASK.id,), 13, None, any_one_away=False, refresher_weeks=2, new_weeks=8)
DUE = NOW.date() + timedelta(weeks=8)
LINE = PlanLine(AMA.id, TASK.id, Means.NEW, 8, MIRA.id, DUE)
OTHER = replace(LINE, person_id=BEN.id, means=Means.REFRESHER, weeks=2)


def test_what_falls_short_is_proposed_with_the_weeks_of_the_programme(db: Database) -> None:
    room = plan.room(db, bench.enter(db, SOL), CREW, now=NOW)
    assert room.asked == PlanAsk((TASK.id,), 13, None, any_one_away=False, refresher_weeks=2, new_weeks=12)
    assert [name for _, name in room.responsible] == [
        MIRA.display_name,
        SOL.display_name,
        AMA.display_name,
        BEN.display_name,
    ]


def test_candidates_come_from_what_people_have(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, AMA)
    bench.sign_by(db, sol, AMA)
    with pytest.raises(CoverOutOfReach, match=r"covers T-31:"):
        plan.propose(db, sol, CREW, ASK, now=NOW)
    bench.give_module(db, BEN)
    assert plan.propose(db, sol, CREW, ASK, now=NOW) == (
        PlanLine(BEN.id, TASK.id, Means.NEW, 8, MIRA.id, DUE),
    )
    # After three years Ama's has lapsed: a refresher for her, a new qualification for Ben.
    later = datetime(2030, 6, 1, 7, tzinfo=UTC)
    lines = plan.propose(db, bench.enter(db, SOL, later), CREW, ASK, now=later)
    assert [(line.person_id, line.means, line.weeks) for line in lines] == [
        (AMA.id, Means.REFRESHER, 2),
        (BEN.id, Means.NEW, 8),
    ]


def test_who_waits_for_a_signature_needs_no_weeks_and_who_has_cover_needs_no_plan(db: Database) -> None:
    sol = bench.enter(db, SOL)
    bench.make_ready(db, AMA)
    (line,) = plan.propose(db, sol, CREW, replace(ASK, cover=1, weeks=1), now=NOW)
    assert (line.person_id, line.weeks) == (AMA.id, 0)
    bench.sign_by(db, sol, AMA)
    assert plan.propose(db, sol, CREW, replace(ASK, cover=1), now=NOW) == ()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"tasks": ()}, "Choose at least one task"),
        ({"tasks": ("T-99",)}, "no task T-99"),
        ({"weeks": 0}, "weeks there are must be"),
        ({"refresher_weeks": 105}, "weeks of a refresher must be"),
        ({"new_weeks": 0}, "weeks of a new qualification must be"),
        ({"cover": 4}, "from 1 to 3"),
    ],
)
def test_what_cannot_be_asked_is_told(db: Database, changed: dict[str, object], sentence: str) -> None:
    with pytest.raises(PlanUnfit, match=sentence):
        plan.propose(db, bench.enter(db, SOL), CREW, replace(ASK, **changed), now=NOW)  # type: ignore[arg-type]


def test_every_version_stays_and_the_log_has_all_of_it(db: Database) -> None:
    sol = bench.enter(db, SOL)
    first = plan.keep(db, sol, CREW, ASK, [LINE], now=NOW)
    second = plan.keep(
        db, sol, CREW, ASK, [LINE, OTHER], number=first.number, after=1, now=NOW + timedelta(days=1)
    )
    assert (first.version, second.version, second.number) == (1, 2, first.number)
    mira = bench.enter(db, MIRA)
    newest = plan.sheet(db, mira, first.number, now=NOW)
    assert [shown.line for shown in newest.lines] == [LINE, OTHER]
    assert newest.then_short == ()
    assert newest.for_day == NOW.date() + timedelta(weeks=13)
    old = plan.sheet(db, mira, first.number, version=1, now=NOW)
    assert ([shown.line for shown in old.lines], old.newest) == ([LINE], 2)
    assert [short.have for short in old.then_short] == [1]
    (head,) = plan.of_crew(db, mira, CREW)
    assert (head.number, head.version, head.lines, head.kept_by) == (first.number, 2, 2, SOL.display_name)
    with db.reading() as unit:
        logged = [json.loads(event.payload) for event in events.since(unit) if event.action == "plan:keep"]
    assert [(entry["plan"], entry["version"], len(entry["sheet"]["lines"])) for entry in logged] == [
        (first.number, 1, 1),
        (first.number, 2, 2),
    ]


def test_nobody_goes_over_what_somebody_else_kept_meanwhile(db: Database) -> None:
    sol = bench.enter(db, SOL)
    number = plan.keep(db, sol, CREW, ASK, [LINE], now=NOW).number
    plan.keep(db, sol, CREW, ASK, [OTHER], number=number, after=1, now=NOW)
    with pytest.raises(PlanChanged, match="Sol Harrowgate kept version 2"):
        plan.keep(db, sol, CREW, ASK, [LINE], number=number, after=1, now=NOW)
    with pytest.raises(NotFound):
        plan.keep(db, sol, OTHER_CREW, ASK, [LINE], number=number, after=2, now=NOW)


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ([], "at least one line"),
        ([LINE] * 201, "200 lines at most"),
        ([LINE, LINE], "Line 2: Ama Fenwright and T-31 stand in the plan already"),
        ([replace(LINE, person_id=CLEO.id)], "Line 1: choose a person of the crew"),
        ([replace(LINE, task_id="T-99")], "Line 1: choose a task"),
        ([replace(LINE, responsible=INES.id)], "Line 1: choose who sees to it"),
        ([replace(LINE, weeks=105)], "Line 1: the weeks must be"),
        ([replace(LINE, due=date(2027, 1, 1))], "2027-01-01 has passed"),
    ],
)
def test_a_line_that_cannot_be_used_is_told_by_its_number(
    db: Database, lines: list[PlanLine], sentence: str
) -> None:
    sol = bench.enter(db, SOL)
    with pytest.raises(PlanUnfit, match=sentence):
        plan.keep(db, sol, CREW, ASK, lines, now=NOW)
    assert plan.of_crew(db, sol, CREW) == ()


def test_a_line_becomes_an_assignment_once(db: Database) -> None:
    sol = bench.enter(db, SOL)
    number = plan.keep(db, sol, CREW, ASK, [LINE], now=NOW).number
    (before,) = plan.sheet(db, sol, number, now=NOW).lines
    assert [module for module, _ in before.to_assign] == [bench.MODULE]
    plan.assign_line(db, sol, number, 1, bench.MODULE, now=NOW)
    (after,) = plan.sheet(db, sol, number, now=NOW).lines
    assert ([due for _, due in after.assigned], after.to_assign, after.done) == ([DUE], (), False)
    for position, module in ((1, bench.MODULE), (2, bench.MODULE), (1, "nothing")):
        with pytest.raises(NotFound):
            plan.assign_line(db, sol, number, position, module, now=NOW)
    late = datetime(2027, 12, 1, 7, tzinfo=UTC)
    assign.withdraw(db, sol, AMA.id, bench.MODULE, now=NOW)
    with pytest.raises(assign.DueInThePast):
        plan.assign_line(db, bench.enter(db, SOL, late), number, 1, bench.MODULE, now=late)


def test_a_line_is_done_when_it_is_signed(db: Database) -> None:
    sol = bench.enter(db, SOL)
    number = plan.keep(db, sol, CREW, ASK, [LINE], now=NOW).number
    bench.make_ready(db, AMA)
    bench.sign_by(db, sol, AMA)
    assert plan.sheet(db, sol, number, now=NOW).lines[0].done


def test_plans_are_kept_by_supervisors_and_read_by_who_reads_the_crew(db: Database) -> None:
    number = plan.keep(db, bench.enter(db, SOL), CREW, ASK, [LINE], now=NOW).number
    for someone in (AMA, MIRA, INES):
        actor = bench.enter(db, someone)
        with pytest.raises(NotAllowed):
            plan.keep(db, actor, CREW, ASK, [LINE], now=NOW)
        with pytest.raises(NotAllowed):
            plan.propose(db, actor, CREW, ASK, now=NOW)
    assert plan.sheet(db, bench.enter(db, INES), number, now=NOW).may_assign is False
    with pytest.raises(NotAllowed):
        plan.sheet(db, bench.enter(db, CLEO), number, now=NOW)
    with pytest.raises(NotFound):
        plan.sheet(db, bench.enter(db, MIRA), number + 1, now=NOW)
    assert crew.crews(db, bench.enter(db, SOL), now=NOW)


def test_a_kept_plan_is_printed_at_each_of_its_versions(db: Database) -> None:
    sol = bench.enter(db, SOL)
    number = plan.keep(db, sol, CREW, ASK, [LINE], now=NOW).number
    plan.keep(db, sol, CREW, ASK, [LINE, OTHER], number=number, after=1, now=NOW + timedelta(days=1))

    def said(subject: str) -> str:
        return reading.text(printing.print_sheet(db, sol, "plan_sheet", subject, paper="a4", now=NOW).data)

    assert all(name in said(str(number)) for name in (AMA.display_name, BEN.display_name))
    assert AMA.display_name in said(f"{number} / 1")
    assert BEN.display_name not in said(f"{number} / 1")
