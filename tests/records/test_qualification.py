"""Where a person stands on a day, and what a record and a crew sheet say."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime

import pytest
import rfc8785

from trainer.records.methods import Method
from trainer.records.qualification import (
    CoveredTask,
    CrewCell,
    CrewRow,
    CrewSheet,
    QualificationRecord,
    Signature,
    SkillShown,
    Standing,
    standing,
)

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("assigned", "ready", "until", "expected"),
    [
        (False, False, None, Standing.NOT_ASSIGNED),
        (True, False, None, Standing.IN_PRACTICE),
        (True, True, None, Standing.READY),
        (True, False, date(2027, 11, 25), Standing.SIGNED),
        (False, False, date(2027, 11, 25), Standing.SIGNED),
        (True, False, date(2027, 1, 24), Standing.ENDS_SOON),  # 60 days
        (True, False, date(2027, 1, 25), Standing.SIGNED),  # 61 days
        (True, True, TODAY, Standing.ENDS_SOON),  # the last day still counts
        (True, False, date(2026, 11, 24), Standing.LAPSED),
        (True, True, date(2026, 11, 24), Standing.READY),
    ],
)
def test_where_a_person_stands(assigned: bool, ready: bool, until: date | None, expected: Standing) -> None:
    assert standing(assigned=assigned, ready=ready, valid_until=until, today=TODAY) is expected


def test_only_the_signed_in_date_work_alone() -> None:
    """49 CFR 192.805(c), through its twin 195.505(c): others only while directed and observed."""
    assert {s for s in Standing if s.may_work_alone} == {Standing.SIGNED, Standing.ENDS_SOON}


def test_letters_and_words_tell_the_states_apart() -> None:
    assert len({s.letter for s in Standing}) == len(Standing)
    assert len({s.words for s in Standing}) == len(Standing)


def _record() -> QualificationRecord:
    signed = Signature("Ruth Example", "P-0009", datetime(2026, 11, 25, 9, 30, tzinfo=UTC), "meaning")
    return QualificationRecord(
        number="QR-2026-0001",
        company="Invented Gas",
        person="Ama Okoro",
        person_id="P-0001",
        task="T-31",
        task_title="Overhaul a main valve",
        module="small-valve",
        module_title="Overhaul a small invented valve",
        document="TEST-0001",
        revision="ab" * 32,
        sizes=("DN 50",),
        evaluated_on=date(2026, 11, 20),
        methods=(Method.WRITTEN, Method.ON_THE_JOB),
        abnormal_conditions=("gas alarm",),
        abnormal_passed=True,
        result="passed",
        valid_from=date(2026, 11, 25),
        valid_until=date(2029, 11, 20),
        interval_months=36,
        interval_because="Invented.",
        evaluator=signed,
        supervisor=signed,
        skills=(SkillShown("Order", 3, 4, date(2026, 11, 19)),),
    )


def test_the_record_is_plain_data_without_floats() -> None:
    data = _record().as_data()
    assert json.loads(rfc8785.dumps(data)) == data
    assert data["evaluated_on"] == "2026-11-20"
    assert data["supervisor"]["at"] == "2026-11-25T09:30:00+00:00"
    assert data["methods"][1] == {
        "method": "on_the_job",
        "words": "Observation on the job",
        "paragraph": "192.803 (d)(1)",
    }
    assert data["skills"] == [{"title": "Order", "clean": 3, "attempts": 4, "last": "2026-11-19"}]

    def floats(value: object) -> bool:
        if isinstance(value, dict):
            return any(floats(item) for item in value.values())
        if isinstance(value, list):
            return any(floats(item) for item in value)
        return isinstance(value, float)

    assert not floats(data)


def test_the_record_holds_the_four_things_the_law_asks_for() -> None:
    """49 CFR 192.807(a)(1)-(4): who, which covered tasks, dates of qualification, methods (read in a State mirror)."""
    data = _record().as_data()
    for wanted in ("person", "person_id", "task", "task_title", "valid_from", "evaluated_on", "methods"):
        assert data[wanted]


def test_a_crew_sheet_counts_who_may_work_alone() -> None:
    tasks = tuple(CoveredTask(f"T-{n}", "Do", 12, "Invented.", ("alarm",), needed=2) for n in (1, 2))
    soon = CrewCell(Standing.ENDS_SOON, date(2026, 12, 1))
    rows = (
        CrewRow("P-1", "Okoro, Ama", "II", (soon, CrewCell(Standing.LAPSED, date(2026, 11, 1)))),
        CrewRow(
            "P-2",
            "Adeyemi, Ben",
            "I",
            (CrewCell(Standing.SIGNED, date(2027, 5, 1)), CrewCell(Standing.READY)),
        ),
    )
    sheet = CrewSheet("Invented Gas", "Crew sheet", "CS-1", TODAY, tasks, rows, (), "Sol")
    assert sheet.signed_of_needed() == ((2, 2), (0, 2))
    assert [(row.signed, row.next_end) for row in rows] == [(1, date(2026, 12, 1)), (1, date(2027, 5, 1))]
