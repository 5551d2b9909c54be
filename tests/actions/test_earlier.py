"""Qualifications from earlier papers: put down by one, held against the paper by another, ended by one of our own.

Methods and dates are those that 49 CFR 192.807(a)(1)-(4) asks for; work history and observation on the job cannot be the
only method (192.809(d) and (e), read through the twin section 195.509).
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DatabaseError

from tests.actions import bench
from tests.actions.bench import NOW
from tests.people import AMA, BEN, CREW, INES, KIT, MIRA, SOL
from trainer.actions import (
    accounts,
    crew,
    earlier,
    earlier_in,
    evaluate,
    evaluator,
    life,
    mentor,
    printing,
    qualified,
    rebuilding,
)
from trainer.actions import people as register
from trainer.actions.actor import SYSTEM, NotAllowed, NotFound
from trainer.actions.permissions import Role
from trainer.actions.table_in import LinesRefused
from trainer.records.life_cycle import Act
from trainer.records.qualification import Standing
from trainer.records.suspension import Cause
from trainer.store import earlier as kept_earlier
from trainer.store import events, life_events
from trainer.store import qualifications as kept_own

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.actions.opening import Database

HEADER = (
    "person,task,paper,issued_by,evaluated_on,valid_from,valid_until,methods,abnormal,evaluator,supervisor\n"
)
LINE = {
    "person": "ben",
    "task": "T-31",
    "paper": "Folder 7 sheet 12",
    "issued_by": "Marlpit Gas (invented)",
    "evaluated_on": "2025-05-01",
    "valid_from": "2025-05-02",
    "valid_until": "2028-04-30",
    "methods": "oral on_the_job",
    "abnormal": "yes",
    "evaluator": "Old Hand",
    "supervisor": "Old Boss",
}


def table(*changes: dict[str, str]) -> bytes:
    return (HEADER + "".join(",".join({**LINE, **change}.values()) + "\n" for change in changes)).encode()


def transcribed(db: Database, *changes: dict[str, str]) -> tuple[str, ...]:
    return earlier_in.take_over(db, bench.enter(db, KIT), table(*(changes or ({},))), now=NOW)


def checked(db: Database, *changes: dict[str, str]) -> str:
    number = transcribed(db, *changes)[0]
    earlier.check(db, bench.enter(db, SOL), [number], password=SOL.password, now=NOW)
    return number


def cell(db: Database, person: str) -> tuple[str, date | None]:
    sheet = crew.crew_sheet(db, bench.enter(db, SOL), CREW, now=NOW)
    found = next(row.cells[0] for row in sheet.rows if row.person_id == person)
    return found.letter, found.until


def test_it_counts_only_after_a_supervisor_held_it_against_the_paper(db: Database) -> None:
    number = transcribed(db)[0]
    assert number == "EQ-2027-0001"
    assert cell(db, BEN.id)[0] == "–"
    assert on_day(db, NOW.date()) == []
    sol = bench.enter(db, SOL)
    assert [line.record.number for line in earlier.waiting(db, sol, now=NOW)] == [number]
    earlier.check(db, sol, [number], password=SOL.password, now=NOW)
    assert earlier.waiting(db, sol, now=NOW) == ()
    assert cell(db, BEN.id) == ("S°", date(2028, 4, 30))
    view = earlier.record(db, bench.enter(db, BEN), number, now=NOW)
    assert view.standing is Standing.SIGNED
    assert view.checked is not None
    assert (view.checked.name, view.record.transcribed.name) == (SOL.display_name, KIT.display_name)


def on_day(db: Database, day: date) -> list[str]:
    sheet = qualified.on_day(db, bench.enter(db, INES), "T-31", day, now=NOW + timedelta(days=900))
    return [line.evidence.number for line in sheet.qualified]


def test_who_was_qualified_on_a_day_names_the_paper(db: Database) -> None:
    number = checked(db)
    assert on_day(db, date(2025, 5, 1)) == []
    assert on_day(db, date(2025, 5, 2)) == [number]
    assert on_day(db, date(2028, 4, 30)) == [number]
    assert on_day(db, date(2028, 5, 1)) == []
    line = qualified.on_day(db, SYSTEM, "T-31", NOW.date(), now=NOW).lines[0]
    assert line.evidence.paper == "Folder 7 sheet 12 of Marlpit Gas (invented)"
    assert (line.evidence.evaluator, line.evidence.signed_by) == ("Old Hand", "Old Boss")
    # Nobody could know of it before it was held against the paper.
    early = qualified.on_day(db, SYSTEM, "T-31", date(2026, 1, 1), now=NOW).lines[0]
    assert (early.standing, early.known_then) == (Standing.SIGNED, Standing.NOT_ASSIGNED)


def test_a_withdrawn_one_qualifies_nobody_from_that_day_on(db: Database) -> None:
    number = checked(db)
    sol = bench.enter(db, SOL)
    with pytest.raises(earlier.ReasonMissing):
        earlier.withdraw(db, sol, number, because=" ", password=SOL.password, now=NOW)
    earlier.withdraw(db, sol, number, because="Seen to fail.", password=SOL.password, now=NOW)
    assert cell(db, BEN.id)[0] == "L°"
    assert on_day(db, NOW.date()) == []
    assert on_day(db, NOW.date() - timedelta(days=1)) == [number]
    with pytest.raises(NotFound):
        earlier.withdraw(db, bench.enter(db, SOL), number, because="Again.", password=SOL.password, now=NOW)
    with pytest.raises(NotAllowed):
        earlier.withdraw(db, bench.enter(db, MIRA), number, because="No.", password=MIRA.password, now=NOW)


def test_who_is_suspended_for_the_task_holds_nothing_on_paper_either(db: Database) -> None:
    bench.make_ready(db, AMA)
    bench.sign_by(db, bench.enter(db, SOL), AMA)
    number = checked(db, {"person": "ama"})
    life.suspend(
        db,
        bench.enter(db, SOL),
        AMA.id,
        "T-31",
        cause=Cause.REASONABLE_CAUSE,
        from_day=NOW.date(),
        reason="Seen to skip the zero check.",
        password=SOL.password,
        now=NOW,
    )
    assert on_day(db, NOW.date()) == []
    assert cell(db, AMA.id)[0] == Standing.SUSPENDED.letter
    view = earlier.record(db, bench.enter(db, SOL), number, now=NOW)
    assert view.standing is not Standing.SIGNED


def test_the_interval_of_the_register_ends_what_the_paper_would_let_run_on(db: Database) -> None:
    number = checked(db, {"valid_until": "2035-01-01"})
    record = earlier.record(db, bench.enter(db, INES), number, now=NOW).record
    # 36 months after the evaluation on 2025-05-01.
    assert (record.valid_until, record.until_on_paper) == (date(2028, 5, 1), date(2035, 1, 1))


def test_the_same_file_again_changes_nothing_and_another_word_is_refused(db: Database) -> None:
    transcribed(db)
    with db.reading() as unit:
        before = len(list(events.since(unit)))
    assert transcribed(db) == ()
    with db.reading() as unit:
        assert len(list(events.since(unit))) == before
    with pytest.raises(LinesRefused, match="is here as EQ-2027-0001 and says something else"):
        transcribed(db, {"evaluator": "Somebody Else"})


def test_what_was_turned_down_counts_for_nothing_and_can_be_put_down_anew(db: Database) -> None:
    number = transcribed(db)[0]
    sol = bench.enter(db, SOL)
    with pytest.raises(earlier.ReasonMissing):
        earlier.turn_down(db, sol, [number], because=" ", password=SOL.password, now=NOW)
    earlier.turn_down(db, sol, [number], because="The paper says 2024.", password=SOL.password, now=NOW)
    assert cell(db, BEN.id)[0] == "–"
    assert earlier.record(db, sol, number, now=NOW).state == "turned down: The paper says 2024."
    with pytest.raises(earlier.CheckedAlready):
        earlier.check(db, bench.enter(db, SOL), [number], password=SOL.password, now=NOW)
    assert transcribed(db, {"evaluated_on": "2024-05-01"}) == ("EQ-2027-0002",)


def test_two_people_and_nobody_for_themselves(db: Database) -> None:
    both = register.add(
        db,
        SYSTEM,
        "uma",
        "Uma Both",
        [Role.KEEPER, Role.SUPERVISOR],
        "",
        password="bench vice of uma",
        now=NOW,
    )
    uma = bench.enter(db, replace(KIT, id=both.person_id, sign_in_name="uma", display_name=both.name))
    uma = replace(uma, roles=frozenset({Role.KEEPER, Role.SUPERVISOR}))
    number = earlier_in.take_over(db, uma, table({}), now=NOW)[0]
    with pytest.raises(NotAllowed, match="two people"):
        earlier.check(db, uma, [number], password="bench vice of uma", now=NOW)
    with pytest.raises(LinesRefused, match="Nobody transcribes a record of their own"):
        earlier_in.take_over(db, uma, table({"person": "uma"}), now=NOW)
    for_sol = transcribed(db, {"person": SOL.id})[0]
    with pytest.raises(NotAllowed, match="Nobody signs for themselves"):
        earlier.check(db, bench.enter(db, SOL), [for_sol], password=SOL.password, now=NOW)
    for who in (KIT, MIRA, INES):
        with pytest.raises(NotAllowed):
            earlier.check(db, bench.enter(db, who), [number], password=who.password, now=NOW)
    for who in (SOL, MIRA, AMA):
        with pytest.raises(NotAllowed):
            earlier_in.take_over(db, bench.enter(db, who), table({}), now=NOW)


def test_a_wrong_password_signs_nothing(db: Database) -> None:
    number = transcribed(db)[0]
    with pytest.raises(earlier.NothingChosen):
        earlier.check(db, bench.enter(db, SOL), [], password=SOL.password, now=NOW)
    with pytest.raises(accounts.PasswordWrong):
        earlier.check(db, bench.enter(db, SOL), [number], password="not this one", now=NOW)
    assert len(earlier.waiting(db, bench.enter(db, SOL), now=NOW)) == 1


@pytest.mark.parametrize(
    ("change", "column", "sentence"),
    [
        ({"person": "nobody"}, "person", "'nobody' is nobody in the register."),
        ({"task": "T-99"}, "task", "'T-99' is no covered task of the register."),
        ({"paper": ""}, "paper", "The reference cannot be used: it is empty."),
        ({"issued_by": ""}, "issued_by", "The issuer cannot be used: it is empty."),
        ({"evaluator": ""}, "evaluator", "The evaluator's name cannot be used: it is empty."),
        ({"evaluator": BEN.display_name}, "evaluator", "Nobody evaluates themselves."),
        ({"methods": ""}, "methods", "No method of evaluation is named."),
        ({"methods": "guess"}, "methods", "'guess' is no method"),
        ({"methods": "work_history"}, "methods", "cannot be the only method (49 CFR 192.809(d))"),
        ({"methods": "on_the_job"}, "methods", "cannot be the only method (49 CFR 192.809(e))"),
        ({"abnormal": "no"}, "abnormal", "(49 CFR 192.803)"),
        ({"evaluated_on": "1.5.2025"}, "evaluated_on", "'1.5.2025' is no day"),
        ({"evaluated_on": "2025-02-30"}, "evaluated_on", "'2025-02-30' is no day"),
        ({"evaluated_on": "2027-05-01", "valid_from": "2027-05-02"}, "evaluated_on", "lies in the future"),
        ({"valid_from": "2025-04-30"}, "valid_from", "before the evaluation"),
        ({"valid_until": "2025-05-01"}, "valid_until", "ends before it begins"),
        ({"valid_from": "2028-06-01", "valid_until": "2029-06-01"}, "valid_from", "36 months"),
    ],
)
def test_a_line_that_is_no_record_is_told_and_nothing_is_put_down(
    db: Database, change: dict[str, str], column: str, sentence: str
) -> None:
    with pytest.raises(LinesRefused) as told:
        transcribed(db, {"person": "ama"}, change)
    assert [(fault.line, fault.column) for fault in told.value.faults] == [(3, column)]
    assert sentence in told.value.faults[0].sentence
    assert earlier.waiting(db, bench.enter(db, SOL), now=NOW) == ()


def test_it_gives_the_right_to_evaluate_and_says_where_from(db: Database) -> None:
    number = checked(db, {"person": "ines"})
    with db.reading() as unit:
        person = register.found(unit, BEN.id)
        task = evaluate.task_of(unit, "T-31")
        why_not, basis = evaluator.right_to_evaluate(unit, INES.id, person, task, NOW.date())
    assert why_not is None
    assert basis == f"qualified for T-31 under {number}, transcribed from an earlier paper"


def test_one_of_our_own_ends_it(db: Database) -> None:
    number = checked(db, {"person": "ama", "valid_until": "2027-04-01"})
    assert cell(db, AMA.id) == ("E°", date(2027, 4, 1))
    assert [line.number for line in crew.lapses(db, bench.enter(db, SOL), now=NOW)] == [number]
    bench.make_ready(db, AMA)
    signed = bench.sign_by(db, bench.enter(db, SOL), AMA)
    after = earlier.record(db, bench.enter(db, AMA), number, now=NOW)
    assert after.ended_on == signed.valid_from
    assert after.ended_because == f"Superseded by {signed.number}."
    assert cell(db, AMA.id)[0] == "S"
    assert crew.lapses(db, bench.enter(db, SOL), now=NOW) == ()
    day_before = signed.valid_from - timedelta(days=1)
    assert on_day(db, day_before) == [number]
    assert on_day(db, signed.valid_from) == [signed.number]
    sheet = crew.crew_sheet(db, bench.enter(db, SOL), CREW, now=NOW)
    assert not any(change.now is Standing.LAPSED for change in sheet.changes)


def test_the_log_has_all_of_it(db: Database) -> None:
    number = checked(db)
    with db.reading() as unit:
        logged = [(e.action, json.loads(e.payload)) for e in events.since(unit) if "earlier:" in e.action]
        record = kept_earlier.by_number(unit, number)
    assert [action for action, _ in logged] == ["earlier:transcribe", "earlier:check"]
    assert record is not None
    assert logged[0][1]["record"] == record.record.as_data()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE earlier_qualifications SET valid_until = '2040-01-01'",
        "UPDATE earlier_qualifications SET record = '{}'",
        "DELETE FROM earlier_checks",
        "UPDATE earlier_checks SET checker_name = 'x'",
        "DELETE FROM earlier_qualifications",
    ],
)
def test_nothing_of_it_changes_whatever_sql_comes(db: Database, statement: str) -> None:
    checked(db)
    with pytest.raises(DatabaseError, match="kept as written"), db.writing() as unit:
        unit.execute(text(statement))


def test_an_end_is_written_once(db: Database) -> None:
    number = checked(db)
    with db.writing() as unit:
        assert kept_earlier.end(unit, number, on=NOW.date(), because="Superseded.")
        assert not kept_earlier.end(unit, number, on=NOW.date(), because="Again.")
    with pytest.raises(DatabaseError, match="kept as written"), db.writing() as unit:
        unit.execute(text("UPDATE earlier_qualifications SET ended_on = NULL, ended_because = ''"))


def test_person_sheet_pocket_card_and_print_say_that_it_is_from_paper(db: Database) -> None:
    number = checked(db)
    sheet = mentor.person(db, bench.enter(db, SOL), BEN.id, now=NOW)
    assert [one.record.number for one in sheet.earlier] == [number]
    assert sheet.qualifications == ()
    printed = printing.print_sheet(db, bench.enter(db, BEN), "earlier_record", number, paper="a4", now=NOW)
    assert printed.data.startswith(b"%PDF")
    with pytest.raises(NotFound):
        printing.print_sheet(db, bench.enter(db, AMA), "earlier_record", number, paper="a4", now=NOW)
    (card,) = printing._PACKETS["pocket_card"](db, bench.enter(db, BEN), BEN.id, NOW).cards
    assert [line.number for line in card.held] == [number]
    assert card.held[0].title.endswith(" °")


DAY = timedelta(days=1)


def _una(db: Database, now: datetime) -> Actor:
    """A second supervisor, signed in."""
    bench.hire_second_supervisor(db, now)
    return bench.second_supervisor(db, now)


def _suspended(db: Database, now: datetime = NOW) -> None:
    sol = bench.enter(db, SOL, now)
    life.suspend(
        db,
        sol,
        BEN.id,
        "T-31",
        cause=Cause.INCIDENT,
        from_day=now.date(),
        reason="Gas was let into an open body.",
        password=SOL.password,
        now=now,
    )


def _stands(db: Database, now: datetime) -> set[Standing]:
    """Where Ben stands, asked in every place that tells it."""
    sol = bench.enter(db, SOL, now)
    sheet = crew.crew_sheet(db, sol, CREW, now=now)
    person = mentor.person(db, sol, BEN.id, now=now)
    line = next(line for line in mentor.people_of(db, sol, now=now) if line.person_id == BEN.id)
    told = qualified.on_day(db, sol, "T-31", now.date(), now=now).lines
    return {
        next(row.cells[0].standing for row in sheet.rows if row.person_id == BEN.id),
        *(module.standing for module in line.modules),
        *(module.standing for module in person.modules),
        *(one.standing for one in person.earlier if one.standing),
        *(one.standing for one in told),
        life.sheet(db, sol, BEN.id, "T-31", now=now).standing,
    }


def test_whoever_holds_a_paper_alone_is_suspended_and_lifted_by_the_same_steps(db: Database) -> None:
    number = checked(db)
    bench.give_module(db, BEN)
    assert _stands(db, NOW) == {Standing.SIGNED}
    _suspended(db)
    assert _stands(db, NOW) == {Standing.SUSPENDED}
    later = NOW + DAY
    sol, una = bench.enter(db, SOL, later), _una(db, later)
    with pytest.raises(NotAllowed, match="another supervisor"):
        life.lift(db, sol, BEN.id, "T-31", reason="Mistaken.", password=SOL.password, now=later)
    life.lift(db, una, BEN.id, "T-31", reason="The line-up was another's.", password=bench.SECOND, now=later)
    assert _stands(db, later) == {Standing.SIGNED}
    lines = life.sheet(db, una, BEN.id, "T-31", now=later).lines
    assert [(line.what, line.number) for line in lines] == [
        ("Qualified by an earlier paper", number),
        ("Suspended", number),
        ("Suspension lifted as unfounded", number),
    ]
    # The day that it held stays a day without.
    assert on_day(db, NOW.date()) == []
    with db.reading() as unit:
        told = {event.action: json.loads(event.payload) for event in events.since(unit)}
    assert told["qualification:suspend"]["qualification"] == number
    assert told["qualification:suspend"]["on_paper"] is True
    assert _astray(db) == []


def _astray(db: Database) -> list[str]:
    """The tables that do not follow from the log."""
    return [held.table for held in rebuilding.compare(db, SYSTEM) if held.differences]


def test_a_paper_is_withdrawn_with_the_task_and_nobody_knew_of_it_before(db: Database) -> None:
    checked(db)
    later = NOW + 9 * DAY
    sol = bench.enter(db, SOL, later)
    life.withdraw(
        db, sol, BEN.id, "T-31", reason="The paper was another's.", password=SOL.password, now=later
    )
    sheet = life.sheet(db, bench.enter(db, SOL, later), BEN.id, "T-31", now=later)
    assert [line.what for line in sheet.lines] == ["Qualified by an earlier paper", "Withdrawn"]
    assert sheet.may[Act.SUSPEND]
    [line] = qualified.on_day(db, SYSTEM, "T-31", later.date(), known_on=NOW.date(), now=later).lines
    assert (line.standing, line.known_then) == (Standing.LAPSED, Standing.SIGNED)
    [line] = qualified.on_day(db, SYSTEM, "T-31", later.date(), now=later).lines
    assert (line.standing, line.known_then) == (Standing.LAPSED, Standing.LAPSED)


@pytest.mark.parametrize("how", ["one paper alone", "the task is done no more", "one of our own"])
def test_when_the_end_of_a_paper_was_known(db: Database, how: str) -> None:
    number = checked(db)
    later = NOW + 9 * DAY
    if how == "one of our own":
        bench.make_ready(db, BEN, later)
        bench.sign_by(db, bench.enter(db, SOL, later), BEN, later)
    elif how == "one paper alone":
        sol = bench.enter(db, SOL, later)
        earlier.withdraw(db, sol, number, because="Forged.", password=SOL.password, now=later)
    else:
        sol = bench.enter(db, SOL, later)
        life.stop(db, sol, BEN.id, "T-31", reason="Moved to welding.", password=SOL.password, now=later)
        assert number not in [term.number for term in crew.lapses(db, sol, days=9999, now=later)]
    asked = qualified.on_day(db, SYSTEM, "T-31", later.date(), known_on=NOW.date(), now=later)
    assert [one.known_then for one in asked.lines] == [Standing.SIGNED]
    with db.reading() as unit:
        terms = qualified._terms_on_paper(
            kept_earlier.of_person(unit, BEN.id),
            kept_own.of_person(unit, BEN.id),
            life_events.of_person(unit, BEN.id),
        )
    assert [term.end_known_at for term in terms] == [later]
    assert _astray(db) == []


def test_the_list_of_people_marks_what_rests_on_a_paper(db: Database) -> None:
    bench.give_module(db, BEN)
    checked(db)
    assert _on_list(db) == [(Standing.SIGNED, True)]
    _suspended(db)
    assert _on_list(db) == [(Standing.SUSPENDED, False)]


def _on_list(db: Database) -> list[tuple[Standing, bool]]:
    lines = mentor.people_of(db, bench.enter(db, SOL), now=NOW)
    return [
        (module.standing, module.on_paper)
        for line in lines
        if line.person_id == BEN.id
        for module in line.modules
    ]
