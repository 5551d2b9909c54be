"""The keys of a covered task: what they say becomes its conditions, and a slip is told at its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.procedure.test_shared_tables import tables_of
from trainer.procedure.task_keys import TASK
from trainer.records.conditions import Conditions, Evaluators, Finding, Ground, Grounds, Methods, Span
from trainer.records.methods import Method

if TYPE_CHECKING:
    from pathlib import Path

FULL = """\
tasks:
  T-31:
    title: Overhaul a main valve
    tests:
      affects: The outlet follows it
      on_a_facility: {because: At the bench alone, met: false}
    required_by: 192.739(a)
    interval_months: 36
    interval_because: Done monthly
    abnormal_conditions: [gas alarm]
    methods:
      allowed: [simulation, oral, written]
      always: oral
      one_of: [simulation]
    span: {most: 2, because: Both are seen}
    evaluators: {months_held: 12, not_who_assigned: true, because: Nobody marks their own teaching}
"""


def test_everything_that_the_owner_sets_is_read(tmp_path: Path) -> None:
    tables = tables_of(tmp_path, tasks=FULL)
    assert tables.findings == ()
    task = tables.tasks["T-31"]
    assert task.grounds == Grounds(
        (
            Finding(Ground.ON_A_FACILITY, False, "At the bench alone"),
            Finding(Ground.AFFECTS, True, "The outlet follows it"),
        ),
        "192.739(a)",
    )
    # In the order of the law's list, however they are written.
    allowed = (Method.WRITTEN, Method.ORAL, Method.SIMULATION)
    assert task.conditions == Conditions(
        Methods(allowed, (Method.ORAL,), (Method.SIMULATION,)),
        Span(2, "Both are seen"),
        Evaluators(months_held=12, not_who_assigned=True, because="Nobody marks their own teaching"),
    )


@pytest.mark.parametrize(("old", "new", "code", "place"), [
    ("one_of: [simulation]", "one_of: [on_the_job]", "wrong-value", "12:7"),
    ("allowed: [simulation, oral, written]", "allowed: [simulation, by heart]", "wrong-value", "12:29"),
    ("most: 2", "most: 10", "wrong-value", "15:18"),
    ("span: {most: 2, because: Both are seen}", "span: {most: 2}", "missing-key", "15:11"),
    (", because: Nobody marks their own teaching", "", "missing-key", "16:17"),
    ("months_held: 12, not_who_assigned: true, ", "", "wrong-value", "16:17"),
    ("interval_months: 36", "interval_months: 121", "wrong-value", "8:22"),
    ("      affects: The", "      effects: The", "unknown-key", "5:7"),
    ("    required_by: 192.739(a)\n", "", None, ""),
    ("because: At the bench alone, met: false", "met: false", "missing-key", "6:22"),
])  # fmt: skip
def test_a_slip_is_told_with_its_place(
    tmp_path: Path, old: str, new: str, code: str | None, place: str
) -> None:
    assert old in FULL
    tables = tables_of(tmp_path, tasks=FULL.replace(old, new))
    told = [(finding.code, str(finding.place)) for finding in tables.findings]
    assert (told == []) if code is None else (code, f"{tmp_path / 'tasks.yaml'}:{place}") in told


def test_a_task_that_is_required_names_its_paragraph(tmp_path: Path) -> None:
    without = FULL.replace("    required_by: 192.739(a)\n", "").replace("      affects:", "      required:")
    (finding,) = tables_of(tmp_path, tasks=without).findings
    assert (finding.code, finding.place.line) == ("missing-key", 3)
    assert "`required_by`" in finding.mend


def test_every_key_says_what_it_means() -> None:
    assert all(key.meaning.endswith(".") for key in TASK.keys)
