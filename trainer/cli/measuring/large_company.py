"""A company as large as the program is planned for, invented from beginning to end.

The shipped procedures and one person of each role are put in by actions, as people would; the crews beside them are
written as rows, because half a million qualifications signed one by one would take a night.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from trainer.actions import covered_tasks, people, publish, upkeep
from trainer.actions.actor import SYSTEM
from trainer.actions.opening import open_database
from trainer.actions.permissions import Role
from trainer.procedure import library
from trainer.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from trainer.actions.opening import Database

NOW = datetime(2027, 1, 13, 9, 0, tzinfo=UTC)
PASSWORD = "an invented password"  # noqa: S105  # of invented people in a folder that is thrown away
CREW_SIZE, COLUMNS, TASKS = 60, 40, 300
_ADDED = "2022-01-03 08:00:00.000000"
_DAYS = 1095
_OVERDUE = 60
"""How many days of the three years that a qualification holds have gone by already for those that have lapsed."""


@dataclass(frozen=True)
class Company:
    """How many people work in crews, and how many attempts each of them has behind them."""

    people: int
    attempts_each: int = 0


def make(folder: Path, company: Company) -> Settings:
    """Make the company in a folder and return the settings that serve it; the time is NOW."""
    settings = Settings(instance=folder)
    upkeep.upgrade(settings)
    with open_database(settings) as db:
        _begin(db)
        if company.people:
            _put_beside(db, company)
            upkeep.rebuild_summaries(db, SYSTEM, now=NOW)
    return settings


def _begin(db: Database) -> None:
    covered_tasks.register(db, SYSTEM, library.tables().tasks.values(), now=NOW)
    for path in library.shipped_procedures().values():
        publish.publish(db, SYSTEM, path.read_text(encoding="utf-8"), file=path.name, now=NOW)
    for role in Role:
        name = f"Invented, {role.value.title()}"
        people.add(
            db, SYSTEM, role.value, name, (role,), crew_name(0), evaluator=True, password=PASSWORD, now=NOW
        )


def crew_name(number: int) -> str:
    """Return the name of an invented crew."""
    return f"Crew {number:03d}"


def _put_beside(db: Database, company: Company) -> None:
    with closing(sqlite3.connect(str(db.url.database))) as file:
        file.execute("PRAGMA synchronous=OFF")
        _put_people(file, company)
        _put_qualifications(file, company)
        _put_practice(file, company)
        file.commit()
        # As an installation that has run for a while: the planner knows how the values lie.
        file.execute("ANALYZE")


def _put_people(file: sqlite3.Connection, company: Company) -> None:
    people = [
        (
            _number(i),
            f"invented{i}",
            f"Invented, Person {i:05d}",
            crew_name(i // CREW_SIZE),
            "II",
            "-",
            _ADDED,
        )
        for i in range(company.people)
    ]
    file.executemany(
        "INSERT INTO people (id, sign_in_name, display_name, crew, grade, password_hash, added_at) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        people,
    )
    file.executemany(
        "INSERT INTO person_roles (person_id, role) VALUES (?, 'technician')", [row[:1] for row in people]
    )


def _put_qualifications(file: sqlite3.Connection, company: Company) -> None:
    file.executemany(
        "INSERT INTO covered_tasks (id, title, group_title, interval_months, interval_because, abnormal_conditions, "
        "needed) VALUES (?, ?, ?, 36, 'Invented.', '[]', 0)",
        [(f"Y-{i:03d}", f"Invented task {i}", f"Group {i // 20}") for i in range(TASKS)],
    )
    revision, module, served = file.execute(
        "SELECT revision, module_id, (SELECT count(DISTINCT covered_task_id) FROM module_revisions "
        "JOIN current_revisions USING (revision)) FROM current_revisions ORDER BY module_id LIMIT 1"
    ).fetchone()
    signer = file.execute("SELECT person_id FROM person_roles WHERE role = 'supervisor'").fetchone()[0]
    record = json.dumps(
        {"module": module, "module_title": "Invented", "revision": revision, "task_title": "Invented"}
    )
    rows = list(_held(company, COLUMNS - served))
    file.executemany(
        "INSERT INTO evaluations VALUES (?, ?, ?, ?, ?, ?, '[\"oral\"]', '[]', 1, 1, 'Invented.', ?, 'Invented', "
        "'appointed as evaluator', 'Invented.', ? || ' 12:00:00.000000')",
        [
            (i + 1, person, module, revision, task, on, signer, on)
            for i, (person, task, on, _) in enumerate(rows)
        ],
    )
    file.executemany(
        "INSERT INTO qualifications VALUES (?, ?, ?, ?, ?, ?, ?, ?, 'Invented', ? || ' 13:00:00.000000', 'Invented.', "
        "NULL, ?, NULL, '')",
        [
            (f"QX-{i + 1}", person, task, i + 1, on, on, until, signer, on, record)
            for i, (person, task, on, until) in enumerate(rows)
        ],
    )


def _held(company: Company, tasks: int) -> Iterator[tuple[str, str, str, str]]:
    """Yield person, task, first and last day; nine of ten cells of a crew's sheet are filled."""
    today = NOW.date()
    for i in range(company.people):
        crew = i // CREW_SIZE
        for place in range(tasks):
            if (i + place) % 10 == 0:
                continue
            until = today + timedelta(days=(i * 37 + place * 101) % _DAYS - _OVERDUE)
            yield _number(i), f"Y-{(crew * tasks + place) % TASKS:03d}", _day(until, -_DAYS), _day(until, 0)


def _put_practice(file: sqlite3.Connection, company: Company) -> None:
    file.execute(
        "INSERT INTO assignments (person_id, module_id, due, assigned_at) SELECT people.id, current_revisions.module_id, "
        "'2027-06-01', ? FROM people JOIN current_revisions WHERE people.sign_in_name LIKE 'invented%' "
        "AND (substr(people.id, 3) + current_revisions.rowid) % 3 = 0",
        (_ADDED,),
    )
    if not company.attempts_each:
        return
    # Each person meets twenty skills in turn; one answer in seven is wrong.
    file.execute(
        "WITH RECURSIVE turn(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM turn WHERE i + 1 < ?) "
        "INSERT INTO attempts (ticket, person_id, module_id, revision, kind, skill, size, seed, answer, mark, is_right, "
        "critical, credit_thousandths, counts, at) "
        "SELECT 'invented ' || i, people.id, module_id, revision, 'order', 'invented:' || (i % 20), '', i, "
        '\'["d","e","b","a","c"]\', \'{"headline":"Invented.","remarks":[]}\', i % 7 <> 0, 0, 1000, 1, '
        "datetime('2026-01-05', '+' || i || ' minutes') || '.000000' "
        "FROM people JOIN (SELECT * FROM current_revisions ORDER BY module_id LIMIT 1) JOIN turn "
        "WHERE people.sign_in_name LIKE 'invented%'",
        (company.attempts_each,),
    )


def _number(i: int) -> str:
    return f"P-{i + 10_000}"


def _day(day: date, later: int) -> str:
    return (day + timedelta(days=later)).isoformat()
