"""The shared tables: what is shipped is sound, and what is broken gives findings and nothing worse."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from trainer import settings
from trainer.procedure.findings import Signal
from trainer.procedure.model import Caution, Hazard
from trainer.procedure.shared_tables import FILES, SharedTables, read_tables
from trainer.records.qualification import CoveredTask

if TYPE_CHECKING:
    from pathlib import Path

GOOD = {
    "tasks": """\
tasks:
  T-31:
    title: Overhaul a main valve
    group: Main valve
    needed: 3
    interval_months: 36
    interval_because: Done monthly by everybody
    abnormal_conditions: [gas alarm, the gauge climbs]
  on: {title: Stand by, interval_months: 12, interval_because: So, abnormal_conditions: gas alarm}
""",
    "cautions": "cautions:\n  pinch: {signal: caution, text: Fingers between parts}\n",
    "tools": "tools:\n  radio: Radio\n  torque_wrench: {name: Torque wrench, use: To tighten to a value}\n",
    "glossary": "terms:\n  as found: Before anything is touched.\n  O-ring: {meaning: A ring of rubber.}\n",
}


def tables_of(folder: Path, **files: str | bytes | None) -> SharedTables:
    """The tables of a folder that holds good files but for those given; None leaves a file out."""
    for name, good in GOOD.items():
        text = files.get(name, good)
        if text is not None:
            (folder / f"{name}.yaml").write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_tables(folder)


def test_tables_are_read(tmp_path: Path) -> None:
    tables = tables_of(tmp_path)
    assert tables.findings == ()
    assert tables.tasks["T-31"] == CoveredTask(
        id="T-31",
        title="Overhaul a main valve",
        interval_months=36,
        interval_because="Done monthly by everybody",
        abnormal_conditions=("gas alarm", "the gauge climbs"),
        group="Main valve",
        needed=3,
    )
    assert (tables.tasks["on"].group, tables.tasks["on"].needed) == ("", 1)
    assert tables.tasks["on"].abnormal_conditions == ("gas alarm",)
    assert tables.cautions == {"pinch": Caution("pinch", Hazard.CAUTION, "Fingers between parts")}
    assert tables.tools == {"radio": "Radio", "torque_wrench": "Torque wrench"}
    assert tables.glossary == {"as found": "Before anything is touched.", "O-ring": "A ring of rubber."}


@pytest.mark.parametrize("name", FILES)
def test_a_missing_file_is_told_and_leaves_its_table_empty(tmp_path: Path, name: str) -> None:
    tables = tables_of(tmp_path, **{name: None})
    (finding,) = tables.findings
    assert (finding.code, finding.signal) == ("yaml", Signal.ERROR)
    assert str(finding.place) == f"{tmp_path / f'{name}.yaml'}:1:1"
    assert getattr(tables, name) == {}
    assert all(getattr(tables, other) for other in FILES if other != name)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("text", ["", "- a\n", "a: [\n", b"\xff", "something: else\n"])
def test_a_broken_file_is_told_and_leaves_its_table_empty(
    tmp_path: Path, name: str, text: str | bytes
) -> None:
    tables = tables_of(tmp_path, **{name: text})
    assert tables.findings != ()
    assert {finding.place.file for finding in tables.findings} == {str(tmp_path / f"{name}.yaml")}
    assert getattr(tables, name) == {}


@pytest.mark.parametrize(("name", "old", "new", "code", "place"), [
    ("tasks", "interval_months: 36", "interval_months: often", "wrong-value", "6:22"),
    ("tasks", "    interval_months: 36\n", "", "missing-key", "3:5"),
    ("tasks", "needed: 3", "need: 3", "unknown-key", "5:5"),
    ("tasks", "  on: {", "  T-31: {", "duplicate-key", "9:3"),
    ("cautions", "signal: caution", "signal: beware", "wrong-value", "2:19"),
    ("cautions", "  pinch:", "  Pinch it:", "wrong-value", "2:3"),
    ("tools", "name: Torque wrench", "called: Torque wrench", "unknown-key", "3:19"),
    ("glossary", "  as found: Before anything is touched.", "  as found:", "wrong-value", "2:12"),
])  # fmt: skip
def test_a_slip_is_told_with_its_place(
    tmp_path: Path, name: str, old: str, new: str, code: str, place: str
) -> None:
    assert old in GOOD[name]
    tables = tables_of(tmp_path, **{name: GOOD[name].replace(old, new)})
    told = [(finding.code, str(finding.place)) for finding in tables.findings]
    assert (code, f"{tmp_path / f'{name}.yaml'}:{place}") in told


def test_a_row_without_values_keeps_its_place_with_what_is_safe(tmp_path: Path) -> None:
    tables = tables_of(tmp_path, tasks="tasks:\n  T-1:\n", cautions="cautions:\n  pinch: {}\n")
    assert tables.findings != ()
    assert tables.tasks["T-1"] == CoveredTask("T-1", "T-1", 12, "", ())
    assert tables.cautions["pinch"] == Caution("pinch", Hazard.CAUTION, "")


def test_the_shipped_tables_are_sound() -> None:
    tables = read_tables(settings.shipped("shared"))
    assert tables.findings == ()
    assert min(len(tables.tasks), len(tables.cautions), len(tables.tools), len(tables.glossary)) >= 5
    assert all(caution.text.endswith(".") for caution in tables.cautions.values())
